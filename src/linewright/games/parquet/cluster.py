"""The adding job on a cluster: the pieces of :mod:`linewright.games.parquet.shards`, handed out by Dask.

Needs the extra ``linewright[cluster]``, on the workers too; they must reach the games and the base's storage
under the same names.
"""

from __future__ import annotations

import gc
import os
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import ExitStack, contextmanager
from pathlib import Path
from typing import Any, Final, Literal, cast

import numpy as np

from linewright.games.ingest.sources import find_game_files
from linewright.games.names.name_spellings import note_spellings
from linewright.games.parquet import shards
from linewright.games.parquet.arrow import arrow
from linewright.games.parquet.parquet_base import MANIFEST, SIGHTINGS, SPELLINGS, Manifest, in_place, write_manifest
from linewright.games.parquet.shards import LISTED, ShardRead, Twins
from linewright.games.parquet.storage import Storage
from linewright.games.values import AddReport, Progress, SkipKind, SkippedGame
from linewright.support.errors import UnusableInput
from linewright.support.extras import extra

#: Positions per range of keys: what one worker sorts in memory, some 60 bytes each at the peak.
RANGE: Final = 4_000_000

#: Ranges at most, each a file; beyond, ranges (and the pieces that are sorted into them) grow with the positions.
MOST_RANGES: Final = 1024

#: Seconds to wait for a scheduler's answer.
_PATIENCE: Final = 10

#: Parts of the whole work (measured on 167,000 games on two processes): reading, duplicates, numbering, shelving.
WORK: Final = (0.55, 0.05, 0.25, 0.15)


def add_on(
    address: str, base: Path, files: Sequence[Path], progress: Callable[[Progress], None] | None = None
) -> AddReport:
    """Make a base in parts of the files' games on a cluster; each file is a shard, read by one worker.

    Stopped, it makes no base; started again, files that were read are not read again.

    :param address: a Dask scheduler's (``tcp://host:8786``), or ``local`` for worker processes on this machine.
    :param base: a new or empty folder, or a URL such as ``s3://bucket/base``.
    :param files: as for :func:`linewright.games.ingest.adding.add`, or URLs.
    :raises UnusableInput: no usable game, no cluster there, or the place holds a base.
    """
    arrow()  # refuses early where it is missing
    storage = Storage.at(base)
    sources = _sources(files)
    try:
        if storage.exists(MANIFEST):
            raise UnusableInput(
                f"{storage.root} already holds a games base", "A base in parts is made in one go: name another place."
            )
        with _client(address) as client:
            job = _Job(client, storage, sources, progress)
            job.run()
    except OSError as error:
        raise UnusableInput(
            f"the games base {storage.root} can't be made: {error}",
            "Fix that, then rerun the command; what was read is kept.",
        ) from None
    return job.report()


def _sources(files: Sequence[Path]) -> list[str]:
    """Path or URL of each shard."""
    urls = [place.root for path in files if (place := Storage.at(path)).protocol is not None]
    local = [path for path in files if Storage.at(path).protocol is None]
    return [*(str(path.absolute()) for path in (find_game_files(local) if local else ())), *urls]


@contextmanager
def _client(address: str) -> Iterator[Any]:
    dask = extra("distributed", "cluster")
    with ExitStack() as stack:
        reason = ""
        try:
            if address == "local":
                workers = {"n_workers": os.cpu_count(), "threads_per_worker": 1, "processes": True}
                here = stack.enter_context(dask.LocalCluster(**workers, dashboard_address=":0"))
                client = stack.enter_context(dask.Client(here))
            else:
                client = stack.enter_context(dask.Client(address, timeout=_PATIENCE))
        except (OSError, ValueError) as error:
            reason = (str(error).splitlines() or [type(error).__name__])[0]
        if reason:
            # A client that came to nothing closes itself when it is collected. That must be now: while another
            # client is being made, it would wait forever for the lock that this one holds.
            gc.collect()
            raise UnusableInput(
                f"there is no cluster at {address} ({reason})", "Start its scheduler, or use --on local."
            )
        yield client


class _Job:
    """One run of the job."""

    def __init__(
        self, client: Any, storage: Storage, sources: Sequence[str], progress: Callable[[Progress], None] | None
    ) -> None:
        self._client = client
        self._storage = storage
        self._sources = sources
        self._progress = progress
        self._start = time.monotonic()
        self._games = 0
        self._read: list[ShardRead] = []
        self._twins = 0

    def report(self) -> AddReport:
        skipped = [game for read in self._read for game in read.skipped][:LISTED]
        games = tuple(SkippedGame(file, line, reason, cast(SkipKind, kind)) for file, line, reason, kind in skipped)
        count = sum(read.skipped_count for read in self._read)
        return AddReport(self._games - self._twins, self._twins, games, count, time.monotonic() - self._start)

    def run(self) -> None:
        storage = self._storage
        self._read = self._all(0, shards.read_shard, [(storage, name, i) for i, name in enumerate(self._sources)])
        self._games = sum(read.games for read in self._read)
        if not self._games:
            count = sum(read.skipped_count for read in self._read)
            raise UnusableInput(
                f"none of {count:,} games found could be added" if count else "there are no games in the files",
                "Give PGN files of whole games from the start position.",
            )
        held = [i for i, read in enumerate(self._read) if read.games]
        found = self._all(1, shards.find_twins, [(storage, held, kind) for kind in range(shards.CLASSES)])
        twins = _joined(found)
        self._twins = len(twins.shard)
        starts, numbers = _numbering(self._read, held, twins)
        names = list(dict.fromkeys(name for i in held for name in self._read[i].names))
        source = {name: number for number, name in enumerate(names)}
        positions = sum(read.positions for read in self._read)
        ranges = min(max(-(-positions // RANGE), 1), MOST_RANGES)
        piece = max(shards.PIECE, positions // MOST_RANGES)
        numbered = self._all(
            2,
            shards.number_shard,
            [
                (
                    storage,
                    i,
                    starts[i],
                    np.sort(twins.place[twins.shard == i]),
                    tuple(source[name] for name in self._read[i].names),
                    ranges,
                    piece,
                )
                for i in held
            ],
        )
        last = self._games - self._twins - 1
        shelved = self._all(3, shards.shelve_range, [(storage, held, number, ranges, last) for number in range(ranges)])
        counts = np.zeros(len(names), dtype=np.int64)
        for i, (_, games) in zip(held, numbered, strict=True):
            np.add.at(counts, [source[name] for name in self._read[i].names], games)
        self._finish(
            tuple(name for name, _ in numbered),
            tuple(name for name, _ in shelved),
            sum(different for _, different in shelved),
            tuple(zip(range(len(names)), names, counts.tolist(), strict=True)),
            numbers,
            twins,
            source,
        )

    def _finish(
        self,
        games: tuple[str, ...],
        positions: tuple[str, ...],
        different: int,
        sources: tuple[tuple[int, str, int], ...],
        numbers: Callable[[Any, Any], Any],
        twins: Twins,
        source: dict[str, int],
    ) -> None:
        """Write what concerns all games, and the manifest last."""
        storage = self._storage
        with in_place(storage, games, ()) as con:
            note_spellings(con)
            spellings = con.sql("SELECT * FROM spellings").to_arrow_table()
            sightings = self._sightings(con, numbers, twins, source)
        _, pq = arrow()
        for name, table in ((SPELLINGS, spellings), (SIGHTINGS, sightings)):
            with storage.writing(name) as file:
                pq.write_table(table, file)
        size = sum(storage.size(name) for name in (*games, *positions, SPELLINGS, SIGHTINGS))
        kept = self._games - self._twins
        write_manifest(storage, Manifest(kept, different, size, games, positions, sources))
        shards.clear(storage)

    def _sightings(self, con: Any, numbers: Callable[[Any, Any], Any], twins: Twins, source: dict[str, int]) -> Any:
        """The other sources of games that several hold; a shard of several sources names the first."""
        seen = np.array([source[read.names[0]] if read.names else 0 for read in self._read], dtype=np.uint32)
        games = numbers(twins.known_shard, twins.known_place).astype(np.uint32)
        con.register("seen", {"game": games, "source": seen[twins.shard]})
        return con.sql(
            "SELECT DISTINCT s.game, s.source FROM seen s JOIN games g ON g.id = s.game WHERE g.source <> s.source"
            " ORDER BY ALL"
        ).to_arrow_table()

    def _all(self, stage: Literal[0, 1, 2, 3], work: Callable[..., Any], pieces: list[tuple[Any, ...]]) -> list[Any]:
        """Do all pieces of a stage on the cluster; their results in order."""
        futures = [self._client.submit(work, *piece, pure=False) for piece in pieces]
        for done, _ in enumerate(extra("distributed", "cluster").as_completed(futures), start=1):
            self._tell(work.__name__.replace("_", " "), sum(WORK[:stage]) + WORK[stage] * done / len(pieces))
        results: list[Any] = self._client.gather(futures)
        return results

    def _tell(self, name: str, part: float) -> None:
        if self._progress:
            total = 1000
            self._progress(Progress(name, int(part * total), total, self._games, time.monotonic() - self._start))


def _joined(found: Sequence[Twins]) -> Twins:
    names = ("shard", "place", "known_shard", "known_place")
    return Twins(*(np.concatenate([getattr(twins, name) for twins in found]) for name in names))


def _numbering(
    read: Sequence[ShardRead], held: Sequence[int], twins: Twins
) -> tuple[dict[int, int], Callable[[Any, Any], Any]]:
    """The number of each shard's first game, and the function from shards and places to numbers."""
    places = {i: np.sort(twins.place[twins.shard == i]) for i in held}
    starts: dict[int, int] = {}
    at = 0
    for i in held:
        starts[i] = at
        at += read[i].games - len(places[i])

    def numbers(shard: Any, place: Any) -> Any:
        found = [
            starts[i] + at - int(np.searchsorted(places[i], at))
            for i, at in zip(shard.tolist(), place.tolist(), strict=True)
        ]
        return np.array(found, dtype=np.int64)

    return starts, numbers
