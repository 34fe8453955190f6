"""Adding games: read, tell duplicates, store, index; batch by batch, each wholly or not at all.

Three share the work: one unpacks and cuts the files (``file_blocks``), one reads the games, one stores a
batch while the next is read. When all games are in, their positions are indexed on all cores.
"""

from __future__ import annotations

import os
import time
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Executor, Future, ThreadPoolExecutor
from contextlib import suppress
from pathlib import Path
from typing import Final

import duckdb
import numpy as np
import numpy.typing as npt

from linewright.games.index import schema
from linewright.games.index.building import index_games, pending
from linewright.games.ingest.columns import Columns, objects, selected
from linewright.games.ingest.duplicates import KnownGames, NewGames, Verdict
from linewright.games.ingest.file_blocks import pieces_ahead
from linewright.games.ingest.game_validation import ReadGames, read_games
from linewright.games.ingest.sources import find_game_files
from linewright.games.ingest.work_copy import work_on
from linewright.games.names.name_spellings import note_spellings
from linewright.games.parquet.parquet_base import is_parted
from linewright.games.values import AddReport, Progress, SkippedGame
from linewright.support.errors import UnusableInput

#: Games read, with the file that each part is from.
Batch = Sequence[tuple[str, ReadGames]]

#: Positions per batch: what is lost at most when adding is stopped (a second's work), and what memory
#: must hold at once (2 bytes each, and the tags).
BATCH_POSITIONS: Final = 2_000_000

#: Skipped games that the report lists; all are counted.
LISTED_SKIPS: Final = 1000

#: Proportion of the whole time that reading takes; indexing takes the rest (measured on 167,000 games).
READING_PART: Final = 0.7


def add(base: Path, files: Sequence[Path], progress: Callable[[Progress], None] | None = None) -> AddReport:
    """Add the games of the files to a base, which is made where it is missing.

    Games go in by batches, into a work file that takes the base's place when all is done: asking goes on
    meanwhile. Stopped at any moment, nothing that was finished is lost; adding the same files again completes
    the work.

    :param files: PGN, plain or packed (Zstandard, gzip, bzip2, zip), or folders of such.
    :param progress: called after every few megabytes.
    :raises UnusableInput: nothing usable in the files, another process is changing the base, or it can't be
        written.
    """
    if is_parted(base):
        raise UnusableInput(
            f"{base} is a folder", "For a base in parts add --on local or a cluster's address; otherwise name a file."
        )
    paths = find_game_files(files)
    with work_on(base) as work:
        with ThreadPoolExecutor(max_workers=1) as thread:  # leaving waits for a batch that is being stored
            job = _Adding(work.con, thread, paths, progress)
            job.run()
        job.index()
        work.publish = job.changed
    return job.report()


def finish(base: Path) -> None:
    """Take in what a stopped adding had finished; nothing where another is at work, or it can't be written."""
    with suppress(UnusableInput), work_on(base) as work:
        index_games(work.con)
        note_spellings(work.con)
        work.publish = True


class _Adding:
    """One run of the adding job."""

    def __init__(
        self,
        con: duckdb.DuckDBPyConnection,
        thread: Executor,
        paths: Sequence[Path],
        progress: Callable[[Progress], None] | None,
    ) -> None:
        self._con = con
        self._thread = thread
        self._paths = paths
        self._progress = progress
        self._total = sum(path.stat().st_size for path in paths)
        # What a stopped run left is not indexed yet, and must go into the base even if all else is known.
        self._resumed = pending(con)
        self._known = KnownGames(con)
        self._next = con.execute("SELECT coalesce(max(id) + 1, 0) FROM games").fetchall()[0][0]
        self._batch: list[tuple[str, ReadGames]] = []
        self._storing: Future[int] | None = None
        self._positions = 0
        self._sources: dict[str, int] = {}
        self._skipped: list[SkippedGame] = []
        self._skipped_count = 0
        self._added = self._duplicates = self._seen = self._sightings = 0
        self._start = time.monotonic()

    @property
    def changed(self) -> bool:
        """Is there anything new in the work file, of this run or a stopped one before?"""
        return bool(self._added or self._sightings or self._resumed)

    def report(self) -> AddReport:
        seconds = time.monotonic() - self._start
        return AddReport(self._added, self._duplicates, tuple(self._skipped), self._skipped_count, seconds)

    def run(self) -> None:
        """Read and store all games.

        :raises UnusableInput: where no game is found.
        """
        before = 0
        for path in self._paths:
            size = path.stat().st_size
            for name, read, games in self._games(path):
                self._take(name, games)
                self._tell(name, READING_PART * (before + min(read, size)))
            before += size
        self._commit()
        self._wait()
        if not self._added and not self._duplicates:
            found = f"there are no games in {', '.join(map(str, self._paths))}"
            if self._skipped:
                found = f"none of {self._skipped_count:,} games found could be added, the first: {self._skipped[0]}"
            raise UnusableInput(found, "Give PGN files of whole games from the start position.")

    def index(self) -> None:
        """Index the new games' positions."""
        name = "sorting positions"
        index_games(self._con, lambda part: self._tell(name, self._total * (READING_PART + (1 - READING_PART) * part)))
        note_spellings(self._con)
        self._tell(name, self._total)

    def _tell(self, name: str, done: float) -> None:
        if self._progress:
            seconds = time.monotonic() - self._start
            self._progress(Progress(name, int(done), self._total, self._seen, seconds))

    def _games(self, path: Path) -> Iterator[tuple[str, int, ReadGames]]:
        """The games of a file, each piece with the bytes read so far; damage ends the file, not the job."""
        trouble: list[str] = []
        line, name = 1, str(path)
        for name, read, piece in pieces_ahead(path, trouble):
            line = int(piece.lines[-1]) if len(piece) else line
            yield name, read, read_games(name, piece)
        for reason in trouble:
            self._skip(SkippedGame(name, line, reason))

    def _skip(self, game: SkippedGame) -> None:
        self._skipped_count += 1
        if len(self._skipped) < LISTED_SKIPS:
            self._skipped.append(game)

    def _take(self, name: str, games: ReadGames) -> None:
        self._seen += len(games) + len(games.skipped)
        for skipped in games.skipped:
            self._skip(skipped)
        if len(games):
            self._batch.append((name, games))
            self._positions += len(games.packed) + len(games)
        if self._positions >= BATCH_POSITIONS:
            self._commit()

    def _commit(self) -> None:
        """Give the batch's new games to the storing thread, once it is done with the batch before."""
        if not self._batch:
            return
        batch, self._batch, self._positions = self._batch, [], 0
        self._wait()
        parts = [games for _, games in batch]
        new = NewGames(
            self._next,
            Columns.joined([games.columns for games in parts]),
            np.concatenate([games.lines for games in parts]),
            np.concatenate([games.prints for games in parts]),
            np.concatenate([games.plies for games in parts]),
        )
        verdict = self._known.take(new)
        self._duplicates += len(verdict.known)
        self._next += int(np.count_nonzero(verdict.fresh))
        self._storing = self._thread.submit(self._store, batch, new, verdict)

    def _wait(self) -> None:
        """Wait until the batch that is being stored is in the base."""
        if self._storing is not None:
            self._added += self._storing.result()
            self._storing = None

    def _store(self, batch: Batch, new: NewGames, verdict: Verdict) -> int:
        """Store the batch in one transaction; the number of games."""
        con = self._con
        fresh = int(np.count_nonzero(verdict.fresh))
        with schema.transaction(con):
            sources = self._source_numbers(batch)
            if fresh:
                games = rows(batch, new, verdict.fresh, sources).arrays
                con.register("new_games", games)
                con.execute(f"INSERT INTO games BY NAME SELECT {selected(list(games))} FROM new_games")
                con.unregister("new_games")
            if verdict.known:
                self._note_sightings(verdict.known, sources)
            count = "(SELECT count(*) FROM games WHERE source = sources.id AND id >= ?)"
            con.execute(f"UPDATE sources SET games = games + {count}", [new.first])
        return fresh

    def _source_numbers(self, batch: Batch) -> npt.NDArray[np.uint32]:
        """Each game's source number; a source that was added from before keeps its own."""
        numbers = []
        for name, games in batch:
            if name not in self._sources:
                # A name in an archive is no path of its own.
                known = os.path.abspath(name)  # noqa: PTH100
                found = self._con.execute("SELECT id FROM sources WHERE name = ?", [known]).fetchall()
                self._sources[name] = (
                    found
                    or self._con.execute(
                        "INSERT INTO sources SELECT coalesce(max(id) + 1, 0), ?, 0 FROM sources RETURNING id", [known]
                    ).fetchall()
                )[0][0]
            numbers.append(np.full(len(games), self._sources[name], dtype=np.uint32))
        return np.concatenate(numbers)

    def _note_sightings(self, known: dict[int, int], sources: npt.NDArray[np.uint32]) -> None:
        """Note for games that the base had from another source that this one holds them too."""
        seen = {"game": np.array(list(known.values()), dtype=np.uint32), "source": sources[list(known)]}
        self._con.register("seen", seen)
        self._sightings += self._con.execute(
            "INSERT INTO sightings SELECT DISTINCT s.game, s.source FROM seen s JOIN games g ON g.id = s.game"
            " WHERE g.source <> s.source EXCEPT SELECT game, source FROM sightings"
        ).fetchall()[0][0]
        self._con.unregister("seen")


def rows(batch: Batch, new: NewGames, fresh: npt.NDArray[np.bool_], sources: npt.NDArray[np.uint32]) -> Columns:
    """The batch's fresh games as rows of ``games``.

    :param sources: each game's source number, shape (games,).
    """
    plies = new.plies
    moves = objects(packed_texts(np.concatenate([games.packed for _, games in batch]), plies))
    columns = new.columns.added(plies=plies.astype(np.uint16), source=sources, print=new.prints, moves=moves)
    if not fresh.all():
        columns = columns.take(fresh)
    return columns.added(id=np.arange(new.first, new.first + len(columns), dtype=np.uint32))


def packed_texts(packed: npt.NDArray[np.uint16], plies: npt.NDArray[np.int64]) -> list[bytes]:
    """Each game's moves as the base keeps them.

    :param packed: the moves, game after game; ``plies`` how many each has.
    """
    text = packed.astype("<u2").tobytes()
    ends = (2 * np.cumsum(plies)).tolist()
    return [text[start:end] for start, end in zip([0, *ends[:-1]], ends, strict=True)]
