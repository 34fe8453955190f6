"""The games below a position, held as a small index of their own: replies to thousands of positions in a moment."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

import chess
import numpy as np

from linewright.games.index.arrays import I64, U16, U32, U64, Bools
from linewright.games.index.move_effects import entries
from linewright.games.index.position_keys import NO_MOVE, position_key
from linewright.games.index.sorting import sort_entries
from linewright.games.query.batch_replay import trace
from linewright.games.query.game_columns import GameColumns
from linewright.games.query.game_filter import ALL_GAMES, DEPTH_BELOW, ENOUGH_BELOW, Band, GameFilter
from linewright.games.query.loaded_games import LoadedGames
from linewright.games.query.position_entries import look_up
from linewright.games.query.reply_counts import count_replies
from linewright.games.query.table_reads import PackedGames
from linewright.games.values import Replies

#: Rating points by which a band is widened at each end, one step after another, before ratings are given up.
WIDENED: Final = (100, 200, 400)


@dataclass(frozen=True, slots=True)
class GamesBelow:
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
        """What was played from a position by these games, reached by any order of moves.

        :param key: the position's, where it is known already.
        """
        first, last = self._entries_of(position_key(position) if key is None else key)
        return count_replies(position, self._games[first:last], self._moves[first:last], self._columns)

    def _entries_of(self, key: int) -> tuple[int, int]:
        """The first entry of a position, and the one behind its last."""
        first, last = (int(self._keys.searchsorted(np.uint64(key), side)) for side in ("left", "right"))
        return first, last

    def years(self) -> U16:
        """The year of each of its games, 0 where unknown, shape (games,)."""
        return self._columns.years[self._marked(self._games)]

    def _marked(self, games: U32) -> Bools:
        """Which games of the base are among some, by number; quicker than sorting millions of entries."""
        marks = np.zeros(len(self._columns.years), dtype=np.bool_)
        marks[games] = True
        return marks

    def since(self, year: int) -> GamesBelow:
        """Those from a year on."""
        return self.among(self._columns.years >= year)

    def among(self, wanted: Bools) -> GamesBelow:
        """Some of the games only.

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
        """The numbers of the games that came to a position, ascending."""
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


def games_below(
    loaded: LoadedGames, root: chess.Board, only: GameFilter = ALL_GAMES, depth: int = DEPTH_BELOW
) -> GamesBelow:
    """The games below a position that meet a filter; where they are too few, its rating band is widened step by step,
    then given up, and the note says so.

    :raises UnusableInput: for a player or an event that no game knows.
    """
    found = only
    games = look_up(loaded, root, only).through()
    wanted = len(games)
    for wider in _wider(only):
        if len(games) >= ENOUGH_BELOW:
            break
        found = wider
        games = look_up(loaded, root, wider).through()
    if root.fen() == chess.STARTING_FEN:  # where all games begin
        plies = np.zeros(len(games), dtype=np.int32)
    else:
        plies = trace(root, games, loaded.packed).plies
    games, plies = games[plies >= 0], plies[plies >= 0]
    keys, numbers, moves = _entries(loaded.packed, games, plies.astype(np.int64), depth)
    note = "" if found == only else _widened_note(wanted, only, found)
    return GamesBelow(root.copy(stack=False), found, len(games), note, keys, numbers, moves, loaded.table.columns())


def _widened_note(wanted: int, only: GameFilter, found: GameFilter) -> str:
    these = {0: "no game here is", 1: "one game here is"}.get(wanted, f"only {wanted} games here are")
    now = found.in_words() or "all games, whatever the ratings"
    return f"{these} of players {only.in_words()}, too few to count by; counted instead: {now}"


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
