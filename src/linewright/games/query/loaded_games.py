"""The base's games held in memory for questions that go beyond counting: the one door to all of them."""

from __future__ import annotations

from functools import cached_property

import chess
import numpy as np
import numpy.typing as npt

from linewright.games.model import GameRow, Order, Replies
from linewright.games.patterns.patterns import Pattern
from linewright.games.patterns.search import Found, find
from linewright.games.query.filters import Colour, GameFilter, fitting
from linewright.games.query.listing import listed
from linewright.games.query.player_queries import Library
from linewright.games.query.table_reads import PackedGames
from linewright.games.quotes.alignment import tokens_of
from linewright.games.quotes.model import Quote
from linewright.games.quotes.quote_parser import ToldGame
from linewright.games.quotes.search import quote
from linewright.games.report.model import Study
from linewright.games.report.model_games import ModelGame, rank
from linewright.games.report.position_report import look_up, replies_of, study

ALL_GAMES = GameFilter()


class Archive(Library):
    """Questions to an open base. Tables and moves are read at the first question that needs them, and kept.

    Use it in one thread, while the base is open.
    """

    @cached_property
    def packed(self) -> PackedGames:
        """Moves of all games."""
        return PackedGames.load(self._con)

    @cached_property
    def tokens(self) -> npt.NDArray[np.uint16]:
        """Moves of all games as they are told: piece, target, capture."""
        return tokens_of(self.packed)

    def replies(self, position: chess.Board, only: GameFilter = ALL_GAMES) -> Replies:
        """What was played from a position in the games that meet a filter, reached by any order of moves.

        :raises UnusableInput: for a player or an event that no game knows.
        """
        return replies_of(look_up(self._con, self.table, position, only), self.table)

    def study(self, position: chess.Board, only: GameFilter = ALL_GAMES, most: int | None = None) -> Study:
        """All that the games know of a position: the replies with expectation, trend, plans and novelty, and by
        which moves games came there.

        :param most: replies that are studied, most played first; None: all.
        :raises UnusableInput: for a player or an event that no game knows.
        """
        return study(self._con, self.table, self.packed, position, only, most)

    def games(
        self, position: chess.Board, order: Order, limit: int, only: GameFilter = ALL_GAMES
    ) -> tuple[int, tuple[GameRow, ...]]:
        """Games through a position that meet a filter: how many, and the first ``limit`` of them.

        :raises UnusableInput: for a player or an event that no game knows.
        """
        here = look_up(self._con, self.table, position, only)
        return listed(self._con, self.table, self.packed, here, order, limit)

    def model_games(
        self, position: chess.Board, limit: int, only: GameFilter = ALL_GAMES, side: Colour | None = None
    ) -> tuple[ModelGame, ...]:
        """Games worth showing from a position, best first; ``rank`` states the formula.

        :param side: the one that the lesson is for; None: either.
        :raises UnusableInput: for a player or an event that no game knows.
        """
        here = look_up(self._con, self.table, position, only)
        return rank(self._con, self.table, self.packed, here, limit, side)

    def find(
        self, pattern: Pattern, limit: int, position: chess.Board | None = None, only: GameFilter = ALL_GAMES
    ) -> Found:
        """Games that show a pattern, the strongest first.

        :param pattern: :func:`linewright.games.patterns.patterns.parse_pattern` reads one.
        :param position: only games through it, from it on; None: all games.
        :raises UnusableInput: for a player or an event that no game knows.
        """
        if position is not None:
            games = np.unique(look_up(self._con, self.table, position, only).games)
        else:
            games = np.flatnonzero(self.table.plies > 0).astype(np.uint32)
            games = games[fitting(games, only, self.table)]
        return find(self._con, self.table, self.packed, pattern, games, position, limit)

    def quote(self, told: ToldGame) -> Quote:
        """The game that a half-remembered telling means, where the two part; else the nearest games.

        :param told: typed parts, or :func:`linewright.games.quotes.quote_parser.parse_told` of words.
        :raises UnusableInput: where neither a move nor a player was told.
        """
        return quote(self._con, self.table, self.packed, self.tokens, told)
