"""Storing batches of games that were read: those that the base has already are left out."""

from __future__ import annotations

import os
from collections.abc import Sequence
from concurrent.futures import Executor, Future
from dataclasses import dataclass

import duckdb
import numpy as np

from linewright.games.index import schema
from linewright.games.index.arrays import I64, U16, U32, Bools
from linewright.games.index.building import pending
from linewright.games.ingest.columns import TableColumns, objects, selected
from linewright.games.ingest.duplicates import DuplicateSplit, KnownGames, NewGames
from linewright.games.ingest.game_validation import ReadGames

#: Games read, with the file that each part is from.
Batch = Sequence[tuple[str, ReadGames]]


@dataclass(frozen=True, slots=True)
class StoredBatch:
    """What storing a batch did.

    :param games: new ones.
    :param sightings: games that the base had from another source, noted for this one too.
    """

    games: int
    sightings: int


class BatchStore:
    """A base's work file being filled, one batch after another.

    While a batch is stored in a thread of its own, the next may be read: its duplicates are sorted out only when the
    one before is in the base.

    :ivar added: games stored; ``duplicates``: games left out.
    """

    def __init__(self, con: duckdb.DuckDBPyConnection, thread: Executor) -> None:
        self._thread = thread
        self._writer = _BatchWriter(con)
        self._known = KnownGames(con)
        self._next = int(con.execute("SELECT coalesce(max(id) + 1, 0) FROM games").fetchall()[0][0])
        self._storing: Future[StoredBatch] | None = None
        # What a stopped run left is not indexed yet, and must go into the base even if all else is known.
        self._changed = pending(con)
        self.added = self.duplicates = 0

    @property
    def changed(self) -> bool:
        """Is there anything new in the work file, of this run or a stopped one before?"""
        return self._changed

    def store(self, batch: Batch) -> None:
        """Give the batch's new games to the storing thread, once it is done with the batch before."""
        self.wait()
        new = NewGames.of([games for _, games in batch], self._next)
        split = self._known.take(new)
        self.duplicates += len(split.known)
        self._next += int(np.count_nonzero(split.fresh))
        self._storing = self._thread.submit(self._writer.write, batch, new, split)

    def wait(self) -> None:
        """Wait until the batch that is being stored is in the base."""
        if self._storing is None:
            return
        stored = self._storing.result()
        self._storing = None
        self.added += stored.games
        self._changed |= bool(stored.games or stored.sightings)


class _BatchWriter:
    """Writes batches into the base's tables."""

    def __init__(self, con: duckdb.DuckDBPyConnection) -> None:
        self._con = con
        self._sources: dict[str, int] = {}

    def write(self, batch: Batch, new: NewGames, split: DuplicateSplit) -> StoredBatch:
        """Store the batch's new games in one transaction."""
        con = self._con
        fresh, sightings = int(np.count_nonzero(split.fresh)), 0
        with schema.transaction(con):
            sources = self._source_numbers(batch)
            if fresh:
                games = game_rows(batch, new, split.fresh, sources).arrays
                con.register("new_games", games)
                con.execute(f"INSERT INTO games BY NAME SELECT {selected(list(games))} FROM new_games")
                con.unregister("new_games")
            if split.known:
                sightings = self._note_sightings(split.known, sources)
            count = "(SELECT count(*) FROM games WHERE source = sources.id AND id >= ?)"
            con.execute(f"UPDATE sources SET games = games + {count}", [new.first])
        return StoredBatch(fresh, sightings)

    def _source_numbers(self, batch: Batch) -> U32:
        """Each game's source number; a source that was added from before keeps its own."""
        numbers = [np.full(len(games), self._source_number(name), dtype=np.uint32) for name, games in batch]
        return np.concatenate(numbers)

    def _source_number(self, name: str) -> int:
        if name not in self._sources:
            # A name in an archive is no path of its own.
            known = os.path.abspath(name)  # noqa: PTH100
            found = self._con.execute("SELECT id FROM sources WHERE name = ?", [known]).fetchall()
            if not found:
                found = self._con.execute(
                    "INSERT INTO sources SELECT coalesce(max(id) + 1, 0), ?, 0 FROM sources RETURNING id", [known]
                ).fetchall()
            self._sources[name] = int(found[0][0])
        return self._sources[name]

    def _note_sightings(self, known: dict[int, int], sources: U32) -> int:
        """Note for games that the base had from another source that this one holds them too; how many."""
        seen = {"game": np.array(list(known.values()), dtype=np.uint32), "source": sources[list(known)]}
        self._con.register("seen", seen)
        noted = self._con.execute(
            "INSERT INTO sightings SELECT DISTINCT s.game, s.source FROM seen s JOIN games g ON g.id = s.game"
            " WHERE g.source <> s.source EXCEPT SELECT game, source FROM sightings"
        ).fetchall()[0][0]
        self._con.unregister("seen")
        return int(noted)


def game_rows(batch: Batch, new: NewGames, fresh: Bools, sources: U32) -> TableColumns:
    """The batch's fresh games as rows of ``games``.

    :param fresh: shape (games,); ``sources`` each game's source number, alike.
    """
    plies = new.plies
    moves = objects(packed_texts(np.concatenate([games.packed for _, games in batch]), plies))
    columns = new.columns.added(plies=plies.astype(np.uint16), source=sources, print=new.prints, moves=moves)
    if not fresh.all():
        columns = columns.take(fresh)
    return columns.added(id=np.arange(new.first, new.first + len(columns), dtype=np.uint32))


def packed_texts(packed: U16, plies: I64) -> list[bytes]:
    """Each game's moves as the base keeps them.

    :param packed: the moves, game after game; ``plies`` how many each has.
    """
    text = packed.astype("<u2").tobytes()
    ends = (2 * np.cumsum(plies)).tolist()
    return [text[start:end] for start, end in zip([0, *ends[:-1]], ends, strict=True)]
