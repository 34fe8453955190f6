"""Adding games: read, sort out duplicates, store, index; batch by batch, each wholly or not at all.

Three share the work: one unpacks and cuts the files (``file_blocks``), one reads the games, one stores a
batch while the next is read (``batch_store``). When all games are in, their positions are indexed on all cores.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterable, Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from pathlib import Path
from typing import Final

from linewright.games.index.building import index_games
from linewright.games.index.work_copy import work_on
from linewright.games.ingest.batch_store import Batch, BatchStore
from linewright.games.ingest.file_blocks import pieces_ahead
from linewright.games.ingest.game_validation import ReadGames, read_games
from linewright.games.ingest.sources import find_game_files
from linewright.games.names.name_spellings import note_spellings
from linewright.games.parquet.parquet_base import is_in_parts
from linewright.games.values import AddReport, Progress, SkippedGame
from linewright.support.errors import UnusableInput

#: Positions per batch: what is lost at most when adding is stopped (a second's work), and what memory
#: must hold at once (2 bytes each, and the tags).
BATCH_POSITIONS: Final = 2_000_000

#: Skipped games that the report lists; all are counted.
LISTED_SKIPS: Final = 1000

#: Part of the whole time that reading takes; indexing takes the rest (measured on 167,000 games).
READING_PART: Final = 0.7

#: Called with how far adding has come.
Watcher = Callable[[Progress], None]


def add_games(base: Path, files: Sequence[Path], progress: Watcher | None = None) -> AddReport:
    """Add the games of the files to a base, which is made where it is missing.

    Games go in by batches, into a work file that takes the base's place when all is done: queries go on
    meanwhile. Stopped at any moment, nothing that was finished is lost; adding the same files again completes
    the work.

    :param files: PGN, plain or packed (Zstandard, gzip, bzip2, zip), or folders of such.
    :param progress: called after every few megabytes.
    :raises UnusableInput: nothing usable in the files, another process is changing the base, or it can't be
        written.
    """
    if is_in_parts(base):
        raise UnusableInput(
            f"{base} is a folder", "For a base in parts add --on local or a cluster's address; otherwise name a file."
        )
    tally = Tally(find_game_files(files), progress)
    with work_on(base) as work:
        with ThreadPoolExecutor(max_workers=1) as thread:  # leaving waits for a batch that is being stored
            store = BatchStore(work.con, thread)
            for batch in batches(games_of(tally)):
                store.store(batch)
            store.wait()
        if not store.added and not store.duplicates:
            raise tally.nothing_usable()
        index_games(work.con, tally.indexed)
        note_spellings(work.con)
        tally.indexed(1.0)
        work.publish = store.changed
    return tally.report(store.added, store.duplicates)


def finish(base: Path) -> None:
    """Take in what a stopped adding had finished; nothing where another is at work, or it can't be written."""
    with suppress(UnusableInput), work_on(base) as work:
        index_games(work.con)
        note_spellings(work.con)
        work.publish = True


class Tally:
    """How far a run has come, for whoever watches it, and what was left out."""

    def __init__(self, paths: Sequence[Path], watcher: Watcher | None) -> None:
        self.paths = paths
        self._watcher = watcher
        self._total = sum(path.stat().st_size for path in paths)
        self._start = time.monotonic()
        self._seen = 0
        self._skipped: list[SkippedGame] = []
        self._skipped_count = 0

    def count(self, games: ReadGames) -> None:
        """Count games that were read, and those left out of them."""
        self._seen += len(games) + len(games.skipped)
        for game in games.skipped:
            self.skip(game)

    def skip(self, game: SkippedGame) -> None:
        """Count a game, or the rest of a file, that is left out."""
        self._skipped_count += 1
        if len(self._skipped) < LISTED_SKIPS:
            self._skipped.append(game)

    def read(self, name: str, size: int) -> None:
        """Show that reading has come to a file, with so many bytes read of all."""
        self._show(name, READING_PART * size)

    def indexed(self, part: float) -> None:
        """Show which part (0-1) of the positions is indexed."""
        self._show("sorting positions", self._total * (READING_PART + (1 - READING_PART) * part))

    def _show(self, name: str, done: float) -> None:
        if self._watcher:
            self._watcher(Progress(name, int(done), self._total, self._seen, time.monotonic() - self._start))

    def nothing_usable(self) -> UnusableInput:
        """The refusal where no game was found."""
        found = f"there are no games in {', '.join(map(str, self.paths))}"
        if self._skipped:
            found = f"none of {self._skipped_count:,} games found could be added, the first: {self._skipped[0]}"
        return UnusableInput(found, "Give PGN files of whole games from the start position.")

    def report(self, added: int, duplicates: int) -> AddReport:
        seconds = time.monotonic() - self._start
        return AddReport(added, duplicates, tuple(self._skipped), self._skipped_count, seconds)


def games_of(tally: Tally) -> Iterator[tuple[str, ReadGames]]:
    """The games of all files, piece by piece, each with its file's name; counted, and shown when they are used."""
    before = 0
    for path in tally.paths:
        size = path.stat().st_size
        for name, read, games in _games_of_file(path, tally):
            tally.count(games)
            yield name, games
            tally.read(name, before + min(read, size))
        before += size


def _games_of_file(path: Path, tally: Tally) -> Iterator[tuple[str, int, ReadGames]]:
    """The games of a file, each piece with the bytes read so far; damage ends the file, not the job."""
    trouble: list[str] = []
    line, name = 1, str(path)
    for name, read, piece in pieces_ahead(path, trouble):
        line = int(piece.lines[-1]) if len(piece) else line
        yield name, read, read_games(name, piece)
    for reason in trouble:
        tally.skip(SkippedGame(name, line, reason))


def batches(games: Iterable[tuple[str, ReadGames]]) -> Iterator[Batch]:
    """Pieces of files put together until they have :data:`BATCH_POSITIONS`; the rest last."""
    batch: list[tuple[str, ReadGames]] = []
    positions = 0
    for name, read in games:
        if len(read):
            batch.append((name, read))
            positions += len(read.packed) + len(read)
        if positions >= BATCH_POSITIONS:
            yield batch
            batch, positions = [], 0
    if batch:
        yield batch
