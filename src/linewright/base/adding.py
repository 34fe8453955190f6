"""Adding games: read, tell duplicates, index, store; batch by batch, each wholly or not at all."""

from __future__ import annotations

import os
import time
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Executor, Future, ThreadPoolExecutor
from contextlib import suppress
from itertools import groupby
from pathlib import Path
from typing import Final

import duckdb
import numpy as np
import numpy.typing as npt
import pyarrow as pa

from linewright.base import schema
from linewright.base.headers import Tags
from linewright.base.indexing import index_games
from linewright.base.kernels import U64
from linewright.base.model import AddReport, Progress, SkippedGame
from linewright.base.reading import ReadGames, read_games
from linewright.base.sources import DAMAGE, Block, blocks, find
from linewright.base.splitting import cut
from linewright.base.work import work_on
from linewright.errors import UnusableInput

#: Games read, with the file that each part is from.
Batch = Sequence[tuple[str, ReadGames]]
Bools = npt.NDArray[np.bool_]

#: Positions per batch: what is lost at most when adding is stopped (a few seconds' work), and what memory
#: must hold at once (2 bytes each, and the tags).
BATCH_POSITIONS: Final = 4_000_000

#: Skipped games that the report lists; all are counted.
LISTED_SKIPS: Final = 1000


def add(base: Path, files: Sequence[Path], progress: Callable[[Progress], None] | None = None) -> AddReport:
    """Add the games of the files to a base, which is made where it is missing.

    Games go in by batches; stopped at any moment, the base is as before or after a batch. Adding the same
    files again completes it.

    :param files: PGN, plain or packed (Zstandard, gzip, bzip2, zip), or folders of such.
    :param progress: called after every few megabytes.
    :raises UnusableInput: nothing usable in the files, or the base can't be written.
    """
    paths = find(files)
    with work_on(base) as work:
        with ThreadPoolExecutor(max_workers=1) as thread:  # leaving waits for a batch that is being stored
            job = _Adding(work.con, thread)
            job.run(paths, progress)
        index_games(work.con)
        work.publish = True
    return job.report()


def finish(base: Path) -> None:
    """Take in what a stopped adding had finished; nothing where another is at work, or it can't be written."""
    with suppress(UnusableInput), work_on(base) as work:
        index_games(work.con)
        work.publish = True


class _Adding:
    """One run of the adding job: this thread reads a batch while another stores the one before."""

    def __init__(self, con: duckdb.DuckDBPyConnection, thread: Executor) -> None:
        self._con = con
        known = con.execute("SELECT print FROM games").fetchnumpy()["print"]
        self._known: U64 = np.sort(np.asarray(known, dtype=np.uint64))
        self._batch: list[tuple[str, ReadGames]] = []
        self._thread = thread
        self._storing: Future[int] | None = None
        self._positions = 0
        self._sources: dict[str, int] = {}
        self._skipped: list[SkippedGame] = []
        self._skipped_count = 0
        self._added = self._duplicates = self._seen = 0
        self._start = time.monotonic()

    def report(self) -> AddReport:
        seconds = time.monotonic() - self._start
        return AddReport(self._added, self._duplicates, tuple(self._skipped), self._skipped_count, seconds)

    def run(self, paths: Sequence[Path], progress: Callable[[Progress], None] | None) -> None:
        sizes = [path.stat().st_size for path in paths]
        total, before = sum(sizes), 0
        for path, size in zip(paths, sizes, strict=True):
            for name, read, games in self._games(path):
                self._take(name, games)
                if progress:
                    seconds = time.monotonic() - self._start
                    progress(Progress(name, before + min(read, size), total, self._seen, seconds))
            before += size
        self._commit()
        self._wait()
        if not self._added and not self._duplicates:
            found = f"there are no games in {', '.join(map(str, paths))}"
            if self._skipped:
                found = f"none of {self._skipped_count:,} games found could be added, the first: {self._skipped[0]}"
            raise UnusableInput(found, "Give PGN files of whole games from the start position.")
        if progress:
            progress(Progress(str(paths[-1]), total, total, self._seen, time.monotonic() - self._start))

    def _games(self, path: Path) -> Iterator[tuple[str, int, ReadGames]]:
        """The games of a file, each piece with the bytes read so far; damage ends the file, not the job."""
        trouble: list[str] = []
        read = line = 0
        name = str(path)

        def data(stretch: Iterator[Block]) -> Iterator[bytes]:
            nonlocal read
            for block in stretch:
                read = block.read
                yield block.data

        for name, stretch in groupby(_until_damage(path, trouble), key=lambda block: block.name):
            for piece in cut(data(stretch)):
                line = int(piece.lines[-1]) if len(piece) else line
                yield name, read, read_games(name, piece)
        for reason in trouble:
            self._skip(SkippedGame(name, max(line, 1), reason))

    def _skip(self, game: SkippedGame) -> None:
        self._skipped_count += 1
        if len(self._skipped) < LISTED_SKIPS:
            self._skipped.append(game)

    def _take(self, name: str, games: ReadGames) -> None:
        self._seen += len(games.tags) + len(games.skipped)
        for skipped in games.skipped:
            self._skip(skipped)
        if games.tags:
            self._batch.append((name, games))
            self._positions += len(games.packed) + len(games.tags)
        if self._positions >= BATCH_POSITIONS:
            self._commit()

    def _commit(self) -> None:
        """Give the batch's new games to the storing thread, once it is done with the batch before."""
        if not self._batch:
            return
        batch, self._batch, self._positions = self._batch, [], 0
        prints = np.concatenate([games.prints for _, games in batch])
        fresh = _fresh(prints, self._known)
        self._duplicates += int(np.count_nonzero(~fresh))
        if not fresh.any():
            return
        self._known = np.sort(np.concatenate([self._known, prints[fresh]]))
        self._wait()
        self._storing = self._thread.submit(self._store, batch, fresh)

    def _wait(self) -> None:
        """Wait until the batch that is being stored is in the base."""
        if self._storing is not None:
            self._added += self._storing.result()
            self._storing = None

    def _store(self, batch: Batch, fresh: Bools) -> int:
        """Store the batch in one transaction; the number of games."""
        con = self._con
        with schema.transaction(con):
            first = con.execute("SELECT coalesce(max(id) + 1, 0) FROM games").fetchall()[0][0]
            con.register("new_games", table(batch, fresh, first, self._source_ids(batch, fresh)))
            con.execute("INSERT INTO games BY NAME SELECT * FROM new_games")
        con.unregister("new_games")
        return int(np.count_nonzero(fresh))

    def _source_ids(self, batch: Batch, fresh: Bools) -> list[int]:
        """A source's number for each part of the batch; the sources' counts are brought up to date."""
        numbers, at = [], 0
        for name, games in batch:
            added = int(np.count_nonzero(fresh[at : at + len(games.tags)]))
            at += len(games.tags)
            if name not in self._sources:
                self._sources[name] = self._con.execute(
                    "INSERT INTO sources SELECT coalesce(max(id) + 1, 0), ?, 0 FROM sources RETURNING id",
                    [os.path.abspath(name)],  # noqa: PTH100 - a name in an archive is no path of its own
                ).fetchall()[0][0]
            numbers.append(self._sources[name])
            self._con.execute("UPDATE sources SET games = games + ? WHERE id = ?", [added, self._sources[name]])
        return numbers


def _until_damage(path: Path, trouble: list[str]) -> Iterator[Block]:
    """The blocks of a file; where it turns out damaged, the reason goes to ``trouble``."""
    try:
        yield from blocks(path)
    except DAMAGE as error:
        trouble.append(f"the file is damaged or cut short after this game ({error or type(error).__name__})")


def _fresh(prints: U64, known: U64) -> Bools:
    """Which games are new: the first of their print here, and not among the sorted ``known``."""
    fresh = np.zeros(len(prints), dtype=np.bool_)
    fresh[np.unique(prints, return_index=True)[1]] = True
    if len(known):
        at = np.minimum(np.searchsorted(known, prints), len(known) - 1)
        fresh &= known[at] != prints
    return fresh


def table(batch: Batch, fresh: Bools, first: int, sources: Sequence[int]) -> pa.Table:
    """The batch as rows of ``games``.

    :param fresh: which of the batch's games to take, shape (games,).
    :param first: number of the first of them.
    :param sources: source number of each part of the batch.
    """
    plies = np.concatenate([games.plies for _, games in batch])
    packed = np.concatenate([games.packed for _, games in batch])
    if not fresh.all():
        packed, plies = packed[np.repeat(fresh, plies)], plies[fresh]
    rows = _game_rows(batch, fresh, sources)
    ends = np.concatenate([[0], np.cumsum(2 * plies)]).astype(np.int32)
    moves = pa.py_buffer(packed.astype("<u2"))
    rows["id"] = pa.array(np.arange(first, first + len(plies), dtype=np.uint32))
    rows["plies"] = pa.array(plies.astype(np.uint16))
    rows["print"] = pa.array(np.concatenate([games.prints for _, games in batch])[fresh])
    rows["moves"] = pa.BinaryArray.from_buffers(pa.binary(), len(plies), [None, pa.py_buffer(ends), moves])
    return pa.table(rows)


def _game_rows(batch: Batch, fresh: Bools, sources: Sequence[int]) -> dict[str, pa.Array]:
    """The columns of ``games`` that come from the tags."""
    wanted = iter(fresh.tolist())
    kept: list[Tags] = []
    source: list[int] = []
    for number, (_, games) in zip(sources, batch, strict=True):
        new = [tags for tags in games.tags if next(wanted)]
        kept += new
        source += [number] * len(new)
    texts = ("white", "black", "date", "event", "site", "round", "eco", "time_control", "others")
    rows = {name: pa.array([getattr(tags, name) for tags in kept], pa.string()) for name in texts}
    for name in ("white_rating", "black_rating", "year"):
        rows[name] = pa.array([getattr(tags, name) for tags in kept], pa.uint16())
    rows["result"] = pa.array([tags.half_points for tags in kept], pa.uint8())
    rows["source"] = pa.array(source, pa.uint32())
    return rows
