"""The games below a position, held as a small index of their own: replies to thousands of positions in a moment."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Final, Protocol

import chess
import numpy as np
import numpy.typing as npt

from linewright.games.index.arrays import I64, U16, U32, U64
from linewright.games.index.move_effects import entries
from linewright.games.index.position_keys import NO_MOVE, position_key
from linewright.games.index.sorting import sort_entries
from linewright.games.model import Replies
from linewright.games.query.batch_replay import trace
from linewright.games.query.filters import Band, GameFilter
from linewright.games.query.loaded_games import Archive
from linewright.games.query.memory import GameColumns
from linewright.games.query.replies import counted
from linewright.games.query.table_reads import PackedGames
from linewright.games.report.position_report import look_up
from linewright.plan.reach import Counted

#: Half-moves below the first position that are looked at: twelve moves, beyond which no line is taught by shares.
DEPTH: Final = 24
#: Games that a band must have below the first position; with fewer, shares of a first reply of 10 % are off by more
#: than 4 points (one standard deviation, binomial), and the band is widened.
ENOUGH: Final = 60
#: Rating points by which a band is widened at each end, one step after another, before ratings are given up.
WIDENED: Final = (100, 200, 400)


@dataclass(frozen=True, slots=True)
class Field:
    """The games of a base that came to a position, by position and move, from there on.

    Games that came to a later position without passing the first one aren't counted: what a pupil meets is what
    follows from it.

    :param root: the first position.
    :param only: the filter that the games meet.
    :param games: how many came there.
    :param note: what was done where too few games met the wanted filter, for the user; else empty.
    """

    root: chess.Board
    only: GameFilter
    games: int
    note: str
    _keys: U64
    _games: U32
    _moves: U16
    _columns: GameColumns

    def replies(self, position: chess.Board, key: int | None = None) -> Replies:
        """What was played from a position by the field's games, reached by any order of moves.

        :param key: the position's, where it is known already.
        """
        first, last = self._entries_of(position_key(position) if key is None else key)
        return counted(position, self._games[first:last], self._moves[first:last], self._columns)

    def _entries_of(self, key: int) -> tuple[int, int]:
        """The first entry of a position, and the one behind its last."""
        first, last = (int(self._keys.searchsorted(np.uint64(key), side)) for side in ("left", "right"))
        return first, last

    def years(self) -> U16:
        """The year of each of its games, 0 where unknown, shape (games,)."""
        return self._columns.years[self._marked(self._games)]

    def _marked(self, games: U32) -> npt.NDArray[np.bool_]:
        """Which games of the base are among some, by number; quicker than sorting millions of entries."""
        marks = np.zeros(len(self._columns.years), dtype=np.bool_)
        marks[games] = True
        return marks

    def since(self, year: int) -> Field:
        """The field of its games from a year on."""
        return self.among(self._columns.years >= year)

    def among(self, wanted: npt.NDArray[np.bool_]) -> Field:
        """The field of some of its games only.

        :param wanted: by game number, shape (games of the base,).
        """
        inside = wanted[self._games]
        games = self._games[inside]
        return replace(
            self,
            games=int(self._marked(games).sum()),
            _keys=self._keys[inside],
            _games=games,
            _moves=self._moves[inside],
        )

    def games_at(self, position: chess.Board) -> U32:
        """The numbers of the field's games that came to a position, ascending."""
        first, last = self._entries_of(position_key(position))
        return np.unique(self._games[first:last])

    def moves_of(self, position: chess.Board, games: U32) -> U16:
        """The packed move that each of some games played from a position, when first there; 0 where it ended or never
        came.

        :param games: numbers, ascending.
        """
        first, last = self._entries_of(position_key(position))
        here, moves = self._games[first:last], self._moves[first:last]
        order = np.argsort(here, kind="stable")
        here, moves = here[order], moves[order]
        at = np.minimum(here.searchsorted(games), max(len(here) - 1, 0))
        if not len(here):
            return np.zeros(len(games), dtype=np.uint16)
        return np.where(here[at] == games, moves[at], NO_MOVE).astype(np.uint16)


#: What is asked of a field; a :class:`Field` is one, kept answers another.
Ask = Callable[[chess.Board], Replies]


class Counts(Protocol):
    """What is counted below a position; a :class:`Field` is one."""

    def replies(self, position: chess.Board, key: int | None = None) -> Replies: ...


def kept(field: Counts) -> Ask:
    """A field that remembers its answers: the same positions are asked for again and again."""
    known: dict[int, Replies] = {}

    def ask(board: chess.Board) -> Replies:
        key = position_key(board)
        if key not in known:
            known[key] = field.replies(board, key)
        return known[key]

    return ask


def games_at(ask: Ask, side: chess.Color) -> Counted:
    """The games that chances were counted from, at each of the opponent's turns."""
    return lambda board: 0 if board.turn == side else ask(board).total


def field_below(archive: Archive, root: chess.Board, only: GameFilter, depth: int = DEPTH) -> Field:
    """The games below a position that meet a filter; where they are too few, its rating band is widened step by step,
    then given up, and the note says so."""
    here = look_up(archive.base.connection, archive.table, root, only)
    wanted, found = len(np.unique(here.games)), only
    for wider in _wider(only):
        if len(np.unique(here.games)) >= ENOUGH:
            break
        found = wider
        here = look_up(archive.base.connection, archive.table, root, wider)
    games = np.unique(here.games)
    note = ""
    if found != only:
        now = found.told() or "all games, whatever the ratings"
        these = {0: "no game here is", 1: "one game here is"}.get(wanted, f"only {wanted} games here are")
        note = f"{these} of players {only.told()}, too few to count by; counted instead: {now}"
    if root.fen() == chess.STARTING_FEN:  # where all games begin
        plies = np.zeros(len(games), dtype=np.int32)
    else:
        plies = trace(root, games, archive.packed).plies
    games, plies = games[plies >= 0], plies[plies >= 0]
    keys, numbers, moves = _entries(archive.packed, games, plies.astype(np.int64), depth)
    table = archive.table
    columns = GameColumns(table.half_points, table.white_ratings, table.black_ratings, table.years)
    return Field(root.copy(stack=False), found, len(games), note, keys, numbers, moves, columns)


def _wider(only: GameFilter) -> tuple[GameFilter, ...]:
    if only.ratings is None:
        return ()
    low, high = only.ratings
    bands: list[Band | None] = [
        (None if low is None else max(low - by, 0), None if high is None else high + by) for by in WIDENED
    ]
    return tuple(replace(only, ratings=band) for band in (*bands, None))


def _entries(packed: PackedGames, games: U32, plies: I64, depth: int) -> tuple[U64, U32, U16]:
    """Each position from the first one on, at most ``depth`` half-moves on: key, game and move, ordered by key."""
    starts, full = packed.bounds[games.astype(np.int64)], np.diff(packed.bounds)[games.astype(np.int64)]
    lengths = np.minimum(full, plies + depth)
    bounds = np.concatenate([[0], np.cumsum(lengths)]).astype(np.int64)
    at = np.arange(bounds[-1]) + np.repeat(starts - bounds[:-1], lengths)
    moves = packed.moves[at] if len(at) else np.empty(0, np.uint16)
    keys, numbers, played = entries(moves, bounds, games)
    room = len(keys)
    firsts = bounds[:-1] + np.arange(len(games))
    done = np.arange(room) - np.repeat(firsts, lengths + 1)
    # A game that is cut didn't end there: its last position says nothing.
    cut = np.repeat(full > lengths, lengths + 1) & (played == NO_MOVE)
    kept = (done >= np.repeat(plies, lengths + 1)) & ~cut
    return sort_entries(keys[kept], numbers[kept], played[kept])
