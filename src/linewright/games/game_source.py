"""What is asked of games, whether they are a user's own base or the counts of the starter table."""

from __future__ import annotations

from abc import abstractmethod
from collections.abc import Sequence
from typing import TYPE_CHECKING, Protocol

import chess

from linewright.games.query.game_filter import ALL_GAMES, DEPTH_BELOW, Colour, GameFilter
from linewright.games.values import NO_DEBUT, Debut, GameRow, GameTags, Order, Player, Replies
from linewright.support.closing import Closing

if TYPE_CHECKING:
    from linewright.games.index.arrays import U16
    from linewright.games.report.model_games import ModelGame
    from linewright.games.report.study_values import Study


class CountsBelow(Protocol):
    """What is counted from a position on: by whole games
    (:class:`linewright.games.query.games_below.GamesBelow`), or by the starter table.
    """

    @property
    def root(self) -> chess.Board: ...
    @property
    def only(self) -> GameFilter: ...
    @property
    def games(self) -> int: ...
    @property
    def note(self) -> str: ...
    def replies(self, position: chess.Board, key: int | None = None) -> Replies: ...
    def years(self) -> U16: ...
    def since(self, year: int) -> CountsBelow: ...


class GameSource(Closing):
    """Games that can be asked about. Use it in one thread; close it, or use it with ``with``.

    Questions for games or names find nothing in a source that holds only counts.
    """

    #: Whether it holds whole games, and so can be asked about them and their players.
    has_games: bool = False

    @property
    def note(self) -> str:
        """Where its counts come from and what to do for more, in one line; empty for the user's own base."""
        return ""

    @abstractmethod
    def size(self) -> tuple[int, int]:
        """How many games it counts, and the largest number of one; numbers begin at 0."""

    @abstractmethod
    def holds(self, position: chess.Board) -> bool:
        """Whether it can tell what is played from a position; else no replies don't say that nobody played on."""

    @abstractmethod
    def replies(self, position: chess.Board) -> Replies:
        """What was played from the position in all its games, reached by any order of moves."""

    @abstractmethod
    def moves_played(self, keys: Sequence[int]) -> dict[int, dict[str, int]]:
        """Games by UCI move for each position that games went on from; for thousands of positions at once.

        :param keys: from :func:`linewright.games.index.position_keys.position_key`.
        """

    @abstractmethod
    def below(self, root: chess.Board, only: GameFilter = ALL_GAMES, depth: int = DEPTH_BELOW) -> CountsBelow:
        """What is counted from a position on, for thousands of positions below it.

        :param depth: half-moves below it that are looked at.
        :raises UnusableInput: for a filter that it can't apply, and a position that it doesn't hold.
        """

    @abstractmethod
    def study(self, position: chess.Board, only: GameFilter = ALL_GAMES, most: int | None = None) -> Study:
        """All that the games know of a position.

        :param most: replies that are studied, most played first; None: all.
        :raises UnusableInput: for a filter that it can't apply, and a position that it doesn't hold.
        """

    def model_games(
        self, position: chess.Board, limit: int, only: GameFilter = ALL_GAMES, side: Colour | None = None
    ) -> tuple[ModelGame, ...]:
        """Games worth showing from a position, best first.

        :param side: the one that the lesson is for; None: either.
        :raises UnusableInput: for a player or an event that no game knows.
        """
        return ()

    def debut(self, position: chess.Board, uci: str) -> Debut:
        """How a reply has fared in all its games, and in which it was played first and last."""
        return NO_DEBUT

    def games(self, position: chess.Board, order: Order, limit: int) -> tuple[GameRow, ...]:
        """Games through the position, the newest or the strongest first, at most ``limit``."""
        return ()

    def tags_through(self, position: chess.Board, most: int) -> tuple[GameTags, ...]:
        """The tags of all games through a position; none where more than ``most`` came there."""
        return ()

    def moves(self, game: int) -> tuple[str, ...]:
        """A whole game's moves in UCI, by its number; none where there is no game of that number."""
        return ()

    def players(self) -> tuple[Player, ...]:
        """Everyone with a game, most games first; each spelling of a name counts as one."""
        return ()

    def opponents(self, name: str, year: int | None = None, through: chess.Board | None = None) -> tuple[str, ...]:
        """Whom a player (spelled as the games do) met, most often met first.

        :param year: only in games of that year; None for all.
        :param through: only in games through this position; None for all.
        """
        return ()
