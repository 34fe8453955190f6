"""The pieces of work that make a base in parts; each reads and writes files only, wherever it runs.

1. :func:`read_shard` reads one file of games and stages them, with what duplicates are found by.
2. :func:`find_twins` finds the duplicates among the games of all shards whose moves fall into one class.
3. :func:`number_shard` gives a shard's fresh games their numbers and stages their positions by ranges of keys.
4. :func:`shelve_range` sorts one range of keys of all shards onto its shelves.

Every piece can be done again, by whomever, and gives the same.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import asdict, dataclass
from itertools import pairwise
from typing import Any, Final

import numpy as np
import numpy.typing as npt

from linewright.games.index.building import RunGames, sorted_entries
from linewright.games.index.index_layout import SHELF_SHIFT, SHELVES
from linewright.games.index.index_writer import pack
from linewright.games.index.sorting import sort_entries
from linewright.games.ingest.batch_store import packed_texts
from linewright.games.ingest.columns import objects
from linewright.games.ingest.duplicates import KnownGames, NewGames
from linewright.games.ingest.file_blocks import pieces
from linewright.games.ingest.game_validation import ReadGames, read_games
from linewright.games.parquet.arrow import arrow, columns_of, table_of
from linewright.games.parquet.storage import Storage
from linewright.games.values import SkippedGame

#: Classes that games are split into by their moves to find duplicates.
CLASSES: Final = 64

#: Positions of a shard that are sorted at a time, at least.
PIECE: Final = 4_000_000

#: Rows per row group: games fetched, and shelves read, with each game or shelf asked for.
GAME_ROWS, SHELF_ROWS = 20_000, 2_000

#: Skipped games of a shard that are listed.
LISTED: Final = 1000

_STAGED: Final = "staged"
#: Kind of the staged files that duplicates are found by; earlier versions may have left some to go on with.
_COMPARED_KIND: Final = "told"
_COMPARED: Final = ("white", "black", "year", "result")


@dataclass(frozen=True, slots=True)
class ShardRead:
    """What reading a shard gave.

    :param key: tells the file from a later one of its name.
    :param games: sound games, duplicates among them.
    :param positions: of those games.
    :param names: of its sources: the file's, or those in the archive, in their order.
    :param skipped: (file, line, reason, kind) of the first :data:`LISTED`.
    """

    key: str
    games: int
    positions: int
    names: tuple[str, ...]
    skipped: tuple[tuple[str, int, str, str], ...]
    skipped_count: int


@dataclass(frozen=True, slots=True)
class Twins:
    """Duplicates: each by shard and place in it, with the game that it is, given alike; shape (duplicates,)."""

    shard: npt.NDArray[np.int64]
    place: npt.NDArray[np.int64]
    known_shard: npt.NDArray[np.int64]
    known_place: npt.NDArray[np.int64]


def _name(kind: str, number: int) -> str:
    return f"{_STAGED}/{kind}-{number:05}"


def clear(storage: Storage) -> None:
    """Remove what was staged."""
    storage.remove(_STAGED)


def read_shard(storage: Storage, source: str, number: int) -> ShardRead:
    """Read a file's games; one that was read before, and hasn't changed since, isn't read again."""
    place = Storage(source)
    key = f"{source} {place.files.ukey(source)}"
    note = _name("read", number) + ".json"
    if storage.exists(note):
        before = storage.read_json(note)
        if before["key"] == key:
            skips, named = tuple(map(tuple, before.pop("skipped"))), tuple(before.pop("names"))
            return ShardRead(**before, names=named, skipped=skips)
    _, pq = arrow()
    games = positions = 0
    names: dict[str, int] = {}
    skipped: list[SkippedGame] = []
    compared: list[Any] = []
    trouble: list[SkippedGame] = []
    with storage.writing(_name("games", number)) as file:
        writer = None
        for name, read in _read(source, trouble):
            skipped += read.skipped
            if not len(read):
                continue
            rows = _staged_rows(read, names.setdefault(name, len(names)))
            writer = writer or pq.ParquetWriter(file, rows.schema, compression="zstd")
            writer.write_table(rows)
            compared.append(_compared_rows(read, games))
            games += len(read)
            positions += len(read.packed) + len(read)
        if writer:
            writer.close()
    _stage_compared(storage, number, compared)
    skipped += trouble
    done = ShardRead(
        key,
        games,
        positions,
        tuple(names),
        tuple((game.file, game.line, game.reason, game.kind) for game in skipped[:LISTED]),
        len(skipped),
    )
    storage.write_json(note, asdict(done))
    return done


def _read(source: str, trouble: list[SkippedGame]) -> Iterator[tuple[str, ReadGames]]:
    reasons: list[str] = []
    line, name = 1, source
    with Storage(source).files.open(source, "rb") as raw:
        for name, _, piece in pieces(source, reasons, raw):
            line = int(piece.lines[-1]) if len(piece) else line
            yield name, read_games(name, piece)
    trouble += [SkippedGame(name, line, reason) for reason in reasons]


def _staged_rows(read: ReadGames, source: int) -> Any:
    return table_of(
        read.columns.added(
            plies=read.plies.astype(np.uint16),
            print=read.prints,
            moves=objects(packed_texts(read.packed, read.plies)),
            source=np.full(len(read), source, dtype=np.uint32),
        )
    )


def _compared_rows(read: ReadGames, first: int) -> Any:
    """What duplicates are found by, with each game's place in the shard."""
    more = {"line": read.lines, "print": read.prints, "plies": read.plies}
    return table_of(read.columns.select(_COMPARED).added(**more, place=np.arange(first, first + len(read))))


def _stage_compared(storage: Storage, number: int, parts: list[Any]) -> None:
    """Write what duplicates are found by, one row group for each class of moves."""
    if not parts:
        return
    pa, pq = arrow()
    rows = pa.concat_tables(parts)
    kind = rows["line"].to_numpy() % np.uint64(CLASSES)
    with (
        storage.writing(_name(_COMPARED_KIND, number)) as file,
        pq.ParquetWriter(file, rows.schema, compression="zstd") as writer,
    ):
        for one in range(CLASSES):
            chosen = rows.take(pa.array(np.flatnonzero(kind == one)))
            writer.write_table(chosen, row_group_size=max(len(chosen), 1))


def find_twins(storage: Storage, shards: list[int], kind: int) -> Twins:
    """The duplicates among the games of one class of moves; the first, by shard and place, is kept."""
    pa, pq = arrow()
    parts, numbers = [], []
    for number in shards:
        with storage.reading(_name(_COMPARED_KIND, number)) as file:
            parts.append(pq.ParquetFile(file).read_row_group(kind))
        numbers.append(np.full(len(parts[-1]), number, dtype=np.int64))
    rows = pa.concat_tables(parts)
    shard, places = np.concatenate(numbers), rows["place"].to_numpy()
    new = NewGames(
        0, columns_of(rows.select(_COMPARED)), *(rows[name].to_numpy() for name in ("line", "print", "plies"))
    )
    verdict = KnownGames(None).take(new)
    fresh = np.flatnonzero(verdict.fresh)
    twins = np.array(sorted(verdict.known), dtype=np.int64)
    known = fresh[np.array([verdict.known[i] for i in twins.tolist()], dtype=np.int64)]
    return Twins(shard[twins], places[twins], shard[known], places[known])


def number_shard(
    storage: Storage,
    number: int,
    first: int,
    twins: npt.NDArray[np.int64],
    sources: tuple[int, ...],
    ranges: int,
    piece: int = PIECE,
) -> tuple[str, npt.NDArray[np.int64]]:
    """Write a shard's games but for the ``twins`` (places), numbered from ``first``, and stage their positions.

    :param sources: number of each of the shard's sources.
    :param ranges: into how many ranges of keys positions are divided.
    :param piece: positions that are sorted at a time.
    :returns: the games' file, and how many games each source has.
    """
    pa, pq = arrow()
    name = f"games/{number:05}.parquet"
    counts = np.zeros(len(sources), dtype=np.int64)
    begin, at = 0, first
    schema = pa.schema([("key", pa.uint64()), ("game", pa.uint32()), ("move", pa.uint16())])
    with (
        storage.reading(_name("games", number)) as staged,
        storage.writing(name) as file,
        storage.writing(_name("entries", number)) as entries,
        pq.ParquetWriter(entries, schema, compression="zstd", use_dictionary=False) as index,
    ):
        writer = None
        for rows in _staged(staged, piece):
            fresh = np.ones(len(rows), dtype=np.bool_)
            fresh[twins[(twins >= begin) & (twins < begin + len(rows))] - begin] = False
            begin += len(rows)
            rows = rows.filter(pa.array(fresh))
            source = rows["source"].to_numpy()
            counts += np.bincount(source, minlength=len(sources))
            rows = rows.set_column(
                rows.schema.get_field_index("source"), "source", pa.array(np.array(sources, np.uint32)[source])
            )
            rows = rows.append_column("id", pa.array(np.arange(at, at + len(rows), dtype=np.uint32)))
            writer = writer or pq.ParquetWriter(file, rows.schema, compression="zstd")
            writer.write_table(rows, row_group_size=GAME_ROWS)
            _stage_entries(index, rows, ranges, schema)
            at += len(rows)
        if writer:
            writer.close()
    return name, counts


def _staged(file: Any, size: int) -> Iterator[Any]:
    """A shard's staged games in pieces of some ``size`` positions."""
    pa, pq = arrow()
    held: list[Any] = []
    positions = 0
    staged = pq.ParquetFile(file)
    for group in range(staged.num_row_groups):
        held.append(staged.read_row_group(group))
        positions += int(held[-1]["plies"].to_numpy().sum(dtype=np.int64)) + len(held[-1])
        if positions >= size:
            yield pa.concat_tables(held)
            held, positions = [], 0
    if held:
        yield pa.concat_tables(held)


def range_bounds(ranges: int) -> npt.NDArray[np.int64]:
    """The first shelf of each range, and the end."""
    return np.arange(ranges + 1) * SHELVES // ranges


def _stage_entries(index: Any, rows: Any, ranges: int, schema: Any) -> None:
    """Write a piece's positions by key, one row group for each range."""
    pa, _ = arrow()
    plies = rows["plies"].to_numpy().astype(np.int64)
    moves = np.frombuffer(b"".join(rows["moves"].to_pylist()), dtype="<u2")
    games = RunGames(moves, np.concatenate([[0], np.cumsum(plies)]), rows["id"].to_numpy())
    keys, numbers, played = sorted_entries(games, 0, SHELVES)
    table = pa.table([keys, numbers, played], schema=schema)
    firsts = range_bounds(ranges)[1:-1].astype(np.uint64) << np.uint64(SHELF_SHIFT)
    cuts = [0, *np.searchsorted(keys, firsts).tolist(), len(keys)]
    for low, high in pairwise(cuts):
        index.write_table(table.slice(low, high - low), row_group_size=max(high - low, 1))


def shelve_range(storage: Storage, shards: list[int], number: int, ranges: int, last: int) -> tuple[str, int]:
    """Sort one range of keys of all shards onto shelves; the file, and how many different positions it has.

    :param last: the largest game number.
    """
    pa, pq = arrow()
    bounds = range_bounds(ranges)
    low, high = int(bounds[number]), int(bounds[number + 1])
    parts = []
    for shard in shards:
        with storage.reading(_name("entries", shard)) as file:
            staged = pq.ParquetFile(file)
            parts += [staged.read_row_group(group) for group in range(number, staged.num_row_groups, ranges)]
    rows = pa.concat_tables(parts).combine_chunks()
    keys, games, moves = sort_entries(*(rows[name].to_numpy() for name in ("key", "game", "move")))
    packed = pack(keys, games, moves, low, high, last)
    shelves = pa.table(
        {
            "run": np.zeros(len(packed), dtype=np.uint32),
            "shelf": np.array(packed.shelf, dtype=np.uint16),
            "lone": pa.array(packed.lone, pa.large_binary()),
            "shared": pa.array(packed.shared, pa.large_binary()),
        }
    )
    name = f"positions/{number:05}.parquet"
    with storage.writing(name) as file:
        pq.write_table(shelves, file, compression="none", row_group_size=SHELF_ROWS, use_dictionary=False)
    return name, int(np.count_nonzero(keys[1:] != keys[:-1])) + (len(keys) > 0)
