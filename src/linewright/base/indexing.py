"""The position index: made from the stored games' moves, one run of games after another.

A run's games are replayed once for each range of shelves, so that memory holds the entries of one range at a
time, however many games there are.
"""

from __future__ import annotations

import os
from collections import deque
from collections.abc import Callable, Iterator
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass
from functools import partial
from itertools import pairwise
from typing import Final

import duckdb
import numpy as np
import pyarrow as pa

from linewright.base import schema
from linewright.base.kernels import I64, TABLES, U16, U32, U64, replay, sort_entries
from linewright.base.packing import pack
from linewright.base.shelves import SHELVES

#: Entries per range of shelves: 28 bytes each while they are sorted, in each thread.
RANGE: Final = 4_000_000

#: Positions per run at most: their moves, two bytes each, stay in memory while the run is indexed.
MOST_POSITIONS: Final = 64_000_000

#: A run is indexed anew with the games after it where these are at least this part of its games: so the runs'
#: sizes fall by at least half each, there are few of them, and no game is indexed often.
ABSORBED_PART: Final = 0.5


@dataclass(frozen=True, slots=True)
class RunGames:
    """The games of a run.

    :param moves: packed, all games' in one array.
    :param bounds: where each game's start, and the end of the last, shape (games + 1,).
    :param numbers: the games' numbers, shape (games,).
    """

    moves: U16
    bounds: I64
    numbers: U32

    @property
    def positions(self) -> int:
        return len(self.moves) + len(self.numbers)


def pending(con: duckdb.DuckDBPyConnection) -> bool:
    """Are there games that are not indexed?"""
    first, last = _pending(con)
    return first <= last


def index_games(con: duckdb.DuckDBPyConnection, tick: Callable[[float], None] | None = None) -> None:
    """Index the games that are not yet on the shelves; all in one transaction.

    :param tick: told now and then which part (0-1) of the work is done.
    """
    parts = _parts(con, *_pending(con))
    if not parts:
        return
    with schema.transaction(con):
        first = parts[0][0]
        con.execute("DELETE FROM shelves WHERE run >= ?", [first])
        con.execute("DELETE FROM runs WHERE first >= ?", [first])
        for number, (first, last) in enumerate(parts):
            _index_run(con, first, last, tick and partial(_tick_part, tick, number, len(parts)))


def _tick_part(tick: Callable[[float], None], number: int, parts: int, done: float) -> None:
    tick((number + done) / parts)


def index_anew(con: duckdb.DuckDBPyConnection) -> None:
    """Index all games anew, as after games were removed; all in one transaction."""
    with schema.transaction(con):
        con.execute("DELETE FROM shelves")
        con.execute("DELETE FROM runs")
        for first, last in _parts(con, 0, _last(con)):
            _index_run(con, first, last)


def _last(con: duckdb.DuckDBPyConnection) -> int:
    """The largest game number, -1 for none."""
    return int(con.execute("SELECT coalesce(max(id), -1) FROM games").fetchall()[0][0])


def _pending(con: duckdb.DuckDBPyConnection) -> tuple[int, int]:
    """First and last of the games to be indexed, with the small runs before them."""
    last = _last(con)
    runs = con.execute("SELECT first, last FROM runs ORDER BY first").fetchall()
    first = runs[-1][1] + 1 if runs else 0
    if first > last:
        return first, last
    while runs and last + 1 - first >= ABSORBED_PART * (first - runs[-1][0]):
        first = runs.pop()[0]
    return first, last


def _parts(con: duckdb.DuckDBPyConnection, first: int, last: int) -> list[tuple[int, int]]:
    """First and last game of each run to be made."""
    if first > last:
        return []
    rows = con.execute("SELECT id, plies FROM games WHERE id BETWEEN ? AND ? ORDER BY id", [first, last]).fetchnumpy()
    ids, positions = rows["id"], np.cumsum(rows["plies"].astype(np.int64) + 1)
    runs = ((positions - 1) // MOST_POSITIONS).astype(np.int64)
    starts = ids[np.flatnonzero(np.diff(runs, prepend=-1))].tolist()
    return list(zip(starts, [*(start - 1 for start in starts[1:]), last], strict=True))


def read_run(con: duckdb.DuckDBPyConnection, first: int, last: int) -> RunGames:
    """The moves of the games from number ``first`` to ``last``."""
    moves: list[U16] = []
    plies: list[I64] = []
    numbers: list[U32] = []
    query = "SELECT id, plies, moves FROM games WHERE id BETWEEN ? AND ? ORDER BY id"
    for piece in con.sql(query, params=[first, last]).to_arrow_reader(1 << 15):
        blobs = piece.column(2)
        bounds = np.frombuffer(blobs.buffers()[1], dtype="<i4")[blobs.offset : blobs.offset + len(blobs) + 1]
        data = np.frombuffer(blobs.buffers()[2], dtype=np.uint8)[bounds[0] : bounds[-1]]
        moves.append(data.view("<u2").copy())
        plies.append(piece.column(1).to_numpy().astype(np.int64))
        numbers.append(piece.column(0).to_numpy().copy())
    ends = np.cumsum(np.concatenate(plies)) if plies else np.empty(0, dtype=np.int64)
    return RunGames(
        np.concatenate(moves) if moves else np.empty(0, dtype=np.uint16),
        np.concatenate([[0], ends]).astype(np.int64),
        np.concatenate(numbers) if numbers else np.empty(0, dtype=np.uint32),
    )


def sorted_entries(games: RunGames, low: int, high: int, room: int) -> tuple[U64, U32, U16]:
    """The entries (key, game, move) of the shelves ``low`` to ``high - 1``, ordered by key, each once.

    :param room: entries expected.
    """
    while True:
        keys, numbers, moves = np.empty(room, np.uint64), np.empty(room, np.uint32), np.empty(room, np.uint16)
        found = replay(TABLES, games.moves, games.bounds, games.numbers, low, high, keys, numbers, moves)
        if found <= room:
            return sort_entries(keys[:found], numbers[:found], moves[:found])
        room = found


def ranges(positions: int) -> list[tuple[int, int]]:
    """Shelves parted so that each range holds some :data:`RANGE` entries: keys are spread evenly."""
    count = min(max(-(-positions // RANGE), 1), SHELVES)
    bounds = [number * SHELVES // count for number in range(count + 1)]
    return list(pairwise(bounds))


def _index_run(
    con: duckdb.DuckDBPyConnection, first: int, last: int, tick: Callable[[float], None] | None = None
) -> None:
    games = read_run(con, first, last)
    pieces = ranges(games.positions)
    room = games.positions // len(pieces) * 6 // 5 + 1024  # the often reached positions make them uneven

    def shelve(piece: tuple[int, int]) -> tuple[pa.Table, int]:
        keys, numbers, moves = sorted_entries(games, *piece, room)
        different = int(np.count_nonzero(keys[1:] != keys[:-1])) + (len(keys) > 0)
        return pack(keys, numbers, moves, *piece, last), different

    positions = 0
    for number, (rows, different) in enumerate(_in_turn(shelve, pieces), start=1):
        positions += different
        con.register("new_shelves", rows)
        con.execute("INSERT INTO shelves SELECT ?, shelf, lone, shared FROM new_shelves", [first])
        con.unregister("new_shelves")
        if tick:
            tick(number / len(pieces))
    con.execute("INSERT INTO runs VALUES (?, ?, ?, ?)", [first, first, last, positions])


def _in_turn(
    shelve: Callable[[tuple[int, int]], tuple[pa.Table, int]], pieces: list[tuple[int, int]]
) -> Iterator[tuple[pa.Table, int]]:
    """The pieces' results in their order, worked out on all cores, a few ahead."""
    workers = os.cpu_count() or 1
    with ThreadPoolExecutor(workers) as threads:
        waiting: deque[Future[tuple[pa.Table, int]]] = deque()
        rest = iter(pieces)
        try:
            while True:
                while len(waiting) <= workers and (piece := next(rest, None)) is not None:
                    waiting.append(threads.submit(shelve, piece))
                if not waiting:
                    return
                yield waiting.popleft().result()
        finally:
            for future in waiting:
                future.cancel()


def count_positions(con: duckdb.DuckDBPyConnection) -> int:
    """Different positions of all games; told by the one run, else counted."""
    runs = con.execute("SELECT positions FROM runs").fetchall()
    if len(runs) == 1:
        return int(runs[0][0])
    parts = [read_run(con, first, last) for first, last in con.execute("SELECT first, last FROM runs").fetchall()]
    total = 0
    for low, high in ranges(sum(part.positions for part in parts)):
        keys = [np.unique(sorted_entries(part, low, high, 2 * RANGE // len(parts))[0]) for part in parts]
        total += len(np.unique(np.concatenate(keys))) if keys else 0
    return total
