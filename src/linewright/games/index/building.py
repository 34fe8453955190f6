"""The position index: made from the stored games' moves, one run of games after another.

A run's games are replayed once for each few ranges of shelves, so that memory holds only those ranges' entries at a
time, however many games there are.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from concurrent.futures import Executor, ThreadPoolExecutor
from dataclasses import dataclass
from functools import partial
from itertools import pairwise
from typing import Final

import duckdb
import numpy as np

from linewright.games.index import schema
from linewright.games.index.arrays import I64, U16, U32, U64
from linewright.games.index.index_layout import SHELF_SHIFT, SHELVES
from linewright.games.index.index_writer import Shelved, pack
from linewright.games.index.move_effects import entries
from linewright.games.index.sorting import sort_entries
from linewright.games.ingest.columns import objects

#: Entries per range of shelves: some 60 bytes each while they are sorted and packed, in each thread.
RANGE: Final = 1_000_000

#: Ranges that a run's games are replayed for at a time: 14 bytes for each entry of theirs.
RANGES_AT_ONCE: Final = 16

#: Games read at a time, and replayed in each thread.
_PIECE: Final = 1 << 14

#: Positions per run at most: their moves, two bytes each, stay in memory while the run is indexed.
MOST_POSITIONS: Final = 64_000_000

#: A run is indexed again with the games after it where these are at least this part of its games: so the runs'
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

    :param tick: called now and then with which part (0-1) of the work is done.
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
    for start in range(first, last + 1, _PIECE):
        rows = con.execute(query, [start, min(start + _PIECE - 1, last)]).fetchnumpy()
        moves.append(np.frombuffer(b"".join(rows["moves"].tolist()), dtype="<u2"))
        plies.append(rows["plies"].astype(np.int64))
        numbers.append(rows["id"])
    ends = np.cumsum(np.concatenate(plies)) if plies else np.empty(0, dtype=np.int64)
    return RunGames(
        np.concatenate(moves) if moves else np.empty(0, dtype=np.uint16),
        np.concatenate([[0], ends]).astype(np.int64),
        np.concatenate(numbers) if numbers else np.empty(0, dtype=np.uint32),
    )


Entries = tuple[U64, U32, U16]


def entries_by_range(games: RunGames, pieces: list[tuple[int, int]], threads: Executor) -> list[Entries]:
    """The entries (key, game, move) of each of some ranges of shelves, in the order of games.

    :param pieces: the first shelf of each, and one past its last; each begins where the one before ends.
    """

    low, high = pieces[0][0], pieces[-1][1]
    piece_of = np.repeat(np.arange(len(pieces), dtype=np.uint8), [last - first for first, last in pieces])

    def replayed(first: int) -> list[Entries]:
        bounds = games.bounds[first : first + _PIECE + 1]
        moves = games.moves[bounds[0] : bounds[-1]]
        found = entries(moves, bounds - bounds[0], games.numbers[first : first + _PIECE], low, high)
        if len(pieces) == 1:
            return [found]
        piece = piece_of.take((found[0] >> np.uint64(SHELF_SHIFT)).astype(np.int64) - low)
        order = np.argsort(piece, kind="stable")
        ends = np.cumsum(np.bincount(piece, minlength=len(pieces)))[:-1]
        columns = (np.split(column.take(order), ends) for column in found)
        return list(zip(*columns, strict=True))

    parts = list(threads.map(replayed, range(0, len(games.numbers), _PIECE)))
    return [_joined([part[number] for part in parts]) for number in range(len(pieces))]


def _joined(parts: list[Entries]) -> Entries:
    if not parts:
        return np.empty(0, np.uint64), np.empty(0, np.uint32), np.empty(0, np.uint16)
    keys, numbers, moves = zip(*parts, strict=True)
    return np.concatenate(keys), np.concatenate(numbers), np.concatenate(moves)


def sorted_entries(games: RunGames, low: int, high: int) -> Entries:
    """The entries (key, game, move) of the shelves ``low`` to ``high - 1``, ordered by key, each once."""
    with ThreadPoolExecutor(1) as thread:
        return sort_entries(*entries_by_range(games, [(low, high)], thread)[0])


def ranges(positions: int) -> list[tuple[int, int]]:
    """Shelves divided so that each range holds some :data:`RANGE` entries: keys are spread evenly."""
    count = min(max(-(-positions // RANGE), 1), SHELVES)
    bounds = [number * SHELVES // count for number in range(count + 1)]
    return list(pairwise(bounds))


def _index_run(
    con: duckdb.DuckDBPyConnection, first: int, last: int, tick: Callable[[float], None] | None = None
) -> None:
    games = read_run(con, first, last)
    pieces = ranges(games.positions)
    positions = 0
    for number, (rows, different) in enumerate(_shelved(games, pieces, last), start=1):
        positions += different
        if len(rows):
            shelf = np.array(rows.shelf, dtype=np.uint16)
            con.register("new_shelves", {"shelf": shelf, "lone": objects(rows.lone), "shared": objects(rows.shared)})
            con.execute("INSERT INTO shelves SELECT ?, shelf, lone, shared FROM new_shelves", [first])
            con.unregister("new_shelves")
        if tick:
            tick(number / len(pieces))
    con.execute("INSERT INTO runs VALUES (?, ?, ?, ?)", [first, first, last, positions])


def _shelved(games: RunGames, pieces: list[tuple[int, int]], last: int) -> Iterator[tuple[Shelved, int]]:
    """Each range's shelves, and its different positions; worked out on all cores, a few ahead."""

    def shelve(found: Entries, piece: tuple[int, int]) -> tuple[Shelved, int]:
        keys, numbers, moves = sort_entries(*found)
        different = int(np.count_nonzero(keys[1:] != keys[:-1])) + (len(keys) > 0)
        return pack(keys, numbers, moves, *piece, last), different

    with ThreadPoolExecutor(os.cpu_count() or 1) as threads:
        for first in range(0, len(pieces), RANGES_AT_ONCE):
            these = pieces[first : first + RANGES_AT_ONCE]
            found = entries_by_range(games, these, threads)
            yield from threads.map(shelve, found, these)


def count_positions(con: duckdb.DuckDBPyConnection) -> int:
    """Different positions of all games; known from the one run, else counted."""
    runs = con.execute("SELECT positions FROM runs").fetchall()
    if len(runs) == 1:
        return int(runs[0][0])
    parts = [read_run(con, first, last) for first, last in con.execute("SELECT first, last FROM runs").fetchall()]
    total = 0
    for low, high in ranges(sum(part.positions for part in parts)):
        keys = [np.unique(sorted_entries(part, low, high)[0]) for part in parts]
        total += len(np.unique(np.concatenate(keys))) if keys else 0
    return total
