"""Which games the base has already.

A game is certainly known when another has the same moves, tidied names, date and result. It is also taken for
known when the moves are the same and enough, the years are the same or unknown, the results don't contradict
each other and both names are like (:func:`linewright.games.names.name_spellings.like_names`).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Final

import duckdb
import numpy as np

from linewright.games.index.arrays import I64, U32, U64, Bools
from linewright.games.index.index_reader import in_pieces
from linewright.games.ingest.columns import TableColumns
from linewright.games.ingest.game_validation import ReadGames, move_hashes
from linewright.games.names.name_spellings import like_names

#: Half-moves from which the same moves make it the same game, if names and year agree too: shorter
#: games, mostly drawn in known lines, are played again and again.
ENOUGH_PLIES: Final = 24

#: A game's part that is compared with another's of the same moves.
_COMPARED: Final = ("white", "black", "year", "result")


class KnownGames:
    """The games that a base has, as far as finding duplicates needs: 24 bytes each."""

    def __init__(self, con: duckdb.DuckDBPyConnection | None) -> None:
        """
        :param con: the base; None: there are none before the first to be taken, and these are all.
        """
        self._con = con
        self._prints = _Numbered()
        self._lines = _Numbered()
        if con is not None:
            self._read(con)

    def _read(self, con: duckdb.DuckDBPyConnection) -> None:
        for ids, lengths, prints, moves in in_pieces(con, "SELECT id, plies, print, moves FROM games ORDER BY id"):
            plies = np.array(lengths, dtype=np.int64)
            lines = move_hashes(np.frombuffer(b"".join(moves), dtype="<u2"), plies)
            self._note(np.array(ids, dtype=np.uint32), np.array(prints, dtype=np.uint64), lines, plies)
        self._settle()

    def _note(self, ids: U32, prints: U64, lines: U64, plies: I64) -> None:
        long = plies >= ENOUGH_PLIES
        self._prints.add(prints, ids)
        self._lines.add(lines[long], ids[long])

    def _settle(self) -> None:
        self._prints.settle()
        self._lines.settle()

    def take(self, new: NewGames) -> DuplicateSplit:
        """Find which of the new games are known, and note those that are not, numbered from ``new.first`` up.

        The games noted before must be in the base by now.
        """
        twin = self._prints.first_of(new.prints)
        firsts = np.unique(new.prints, return_index=True)[1]
        fresh = np.zeros(len(new.prints), dtype=np.bool_)
        fresh[firsts] = True
        certain = {i: int(twin[i]) if twin[i] >= 0 else None for i in np.flatnonzero(~fresh | (twin >= 0)).tolist()}
        fresh &= twin < 0
        likely = self._likely(new, fresh)
        fresh[list(likely)] = False
        ids = (new.first + np.cumsum(fresh) - 1).astype(np.uint32)
        self._note(ids[fresh], new.prints[fresh], new.lines[fresh], new.plies[fresh])
        self._settle()
        return DuplicateSplit(fresh, self._known_ids(new, ids, fresh, certain, likely))

    def _likely(self, new: NewGames, fresh: Any) -> dict[int, int]:
        """Of the fresh games those that are known by their moves: with the known game's number, or, of one in the
        same batch, minus its place less one."""
        long = fresh & (new.plies >= ENOUGH_PLIES)
        order = np.argsort(new.lines, kind="stable")
        repeated = np.zeros(len(order), dtype=np.bool_)
        same = new.lines[order][1:] == new.lines[order][:-1]
        repeated[order[1:][same]] = True
        repeated[order[:-1][same]] = True
        candidates = np.flatnonzero(long & (repeated | (self._lines.first_of(new.lines) >= 0))).tolist()
        if not candidates:
            return {}
        others = {i: self._lines.all_of(int(new.lines[i])) for i in candidates}
        compared = self._compared({number for numbers in others.values() for number in numbers})
        found: dict[int, int] = {}
        here: dict[int, list[int]] = {}
        rows = new.columns.take(np.array(candidates)).rows(_COMPARED)
        for i, row in zip(candidates, rows, strict=True):
            line = int(new.lines[i])
            match = next((number for number in others[i] if _same_game(row, compared[number])), None)
            if match is None:
                match = next((-1 - j for j in here.get(line, ()) if _same_game(row, compared[-1 - j])), None)
            if match is None:
                here.setdefault(line, []).append(i)
                compared[-1 - i] = row
            else:
                found[i] = match
        return found

    def _compared(self, numbers: set[int]) -> dict[int, dict[str, Any]]:
        if not numbers or self._con is None:
            return {}
        self._con.register("wanted", {"id": np.array(sorted(numbers), dtype=np.uint32)})
        query = f"SELECT id, {', '.join(_COMPARED)} FROM games WHERE id IN (SELECT id FROM wanted)"
        rows = self._con.execute(query).fetchall()
        self._con.unregister("wanted")
        return {row[0]: dict(zip(_COMPARED, row[1:], strict=True)) for row in rows}

    def _known_ids(
        self, new: NewGames, ids: U32, fresh: Any, certain: dict[int, int | None], likely: dict[int, int]
    ) -> dict[int, int]:
        """Number of the known game for each that isn't fresh."""
        known: dict[int, int] = {}
        for i, number in sorted(likely.items()):
            known[i] = number if number >= 0 else int(ids[-1 - number])
        first = {int(new.prints[i]): i for i in reversed(range(len(new.prints)))} if None in certain.values() else {}
        for i, twin in certain.items():
            if twin is not None:
                known[i] = twin
            else:
                j = first[int(new.prints[i])]
                known[i] = int(ids[j]) if fresh[j] else known[j]
        return known


@dataclass(frozen=True, slots=True)
class NewGames:
    """Games read, about to be added.

    :param first: number that the first fresh one gets.
    :param columns: their rows; the rest is as in :class:`linewright.games.ingest.game_validation.ReadGames`.
    """

    first: int
    columns: TableColumns
    lines: U64
    prints: U64
    plies: I64

    @classmethod
    def of(cls, parts: Sequence[ReadGames], first: int) -> NewGames:
        """The games of some stretches of text, one behind the other."""
        return cls(
            first,
            TableColumns.joined([games.columns for games in parts]),
            np.concatenate([games.lines for games in parts]),
            np.concatenate([games.prints for games in parts]),
            np.concatenate([games.plies for games in parts]),
        )


@dataclass(frozen=True, slots=True)
class DuplicateSplit:
    """Which games are fresh, shape (games,), and for each other one the number of the game that it is."""

    fresh: Bools
    known: dict[int, int]


def _same_game(one: dict[str, Any], other: dict[str, Any]) -> bool:
    """Of the same moves: can the two be one game?"""
    for part in ("year", "result"):
        if one[part] is not None and other[part] is not None and one[part] != other[part]:
            return False
    if not any(one[side] and other[side] for side in ("white", "black")):
        return False  # nobody is known in both: nothing but the moves speaks for it
    return like_names(one["white"], other["white"]) and like_names(one["black"], other["black"])


class _Numbered:
    """Hashes with game numbers, looked up by hash."""

    def __init__(self) -> None:
        self._hashes = np.empty(0, dtype=np.uint64)
        self._ids = np.empty(0, dtype=np.uint32)
        self._new: list[tuple[U64, U32]] = []

    def add(self, hashes: U64, ids: U32) -> None:
        self._new.append((hashes, ids))

    def settle(self) -> None:
        """Make what was added known."""
        hashes = np.concatenate([self._hashes, *(hashes for hashes, _ in self._new)])
        ids = np.concatenate([self._ids, *(ids for _, ids in self._new)])
        order = np.argsort(hashes, kind="stable")
        self._hashes, self._ids, self._new = hashes[order], ids[order], []

    def first_of(self, hashes: U64) -> I64:
        """Number of the first game with each hash, -1 for none."""
        if not len(self._hashes):
            return np.full(len(hashes), -1, dtype=np.int64)
        at = np.minimum(np.searchsorted(self._hashes, hashes), len(self._hashes) - 1)
        return np.where(self._hashes[at] == hashes, self._ids[at].astype(np.int64), -1)

    def all_of(self, wanted: int) -> list[int]:
        """Numbers of all games with a hash."""
        value = np.uint64(wanted)
        first, last = np.searchsorted(self._hashes, value, "left"), np.searchsorted(self._hashes, value, "right")
        numbers: list[int] = self._ids[first:last].tolist()
        return numbers
