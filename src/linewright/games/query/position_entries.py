"""The games that came to a position and meet a filter, with what was played there."""

from __future__ import annotations

from dataclasses import dataclass

import chess
import numpy as np

from linewright.games.index.arrays import U16, U32
from linewright.games.index.index_reader import entries_at
from linewright.games.index.position_keys import NO_MOVE, position_key
from linewright.games.query.filtering import fitting
from linewright.games.query.game_filter import ALL_GAMES, GameFilter
from linewright.games.query.loaded_games import LoadedGames


@dataclass(frozen=True, slots=True)
class PositionEntries:
    """A position's entries that meet a filter.

    :param games: game numbers, shape (entries,); ``moves`` played, alike; a game stands once for each of its moves.
    """

    position: chess.Board
    games: U32
    moves: U16

    @property
    def white(self) -> bool:
        return self.position.turn == chess.WHITE

    def through(self) -> U32:
        """The games that came here, each once, ascending."""
        return np.unique(self.games)

    def going_on(self) -> U32:
        """Those that went on from here."""
        return np.unique(self.games[self.moves != NO_MOVE])


def look_up(loaded: LoadedGames, position: chess.Board, only: GameFilter = ALL_GAMES) -> PositionEntries:
    """The entries of a position, by every order of moves.

    :raises UnusableInput: for a player or an event that no game knows.
    """
    games, moves = entries_at(loaded.con, position_key(position))
    if only:
        fits = fitting(games, only, loaded.table)
        games, moves = games[fits], moves[fits]
    return PositionEntries(position, games, moves)
