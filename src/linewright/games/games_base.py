"""The user's own games base, open for queries: one class for all that can be asked of it."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING

import chess
import duckdb

from linewright.games.game_source import GameSource
from linewright.games.index import schema
from linewright.games.index.index_reader import entries_at, moves_of
from linewright.games.index.position_keys import position_key, unpack_move
from linewright.games.query.game_filter import ALL_GAMES, DEPTH_BELOW, Colour, GameFilter
from linewright.games.query.loaded_games import LoadedGames
from linewright.games.query.position_entries import look_up
from linewright.games.query.reply_counts import count_replies
from linewright.games.values import BaseInfo, Debut, GameRow, GameTags, Order, Player, Replies
from linewright.support.errors import UnusableInput

# What answers a rarer question is imported with the first such question: a talk is read without reports, patterns
# and quotes, and starting takes a tenth of a second less.
if TYPE_CHECKING:
    from linewright.games.index.arrays import U16
    from linewright.games.patterns.pattern_parser import BoardPattern
    from linewright.games.patterns.pattern_search import PatternAnswer
    from linewright.games.query.games_below import GamesBelow
    from linewright.games.quotes.meetings import Meetings
    from linewright.games.quotes.quote_parser import DescribedGame
    from linewright.games.quotes.quote_values import QuoteAnswer
    from linewright.games.report.model_games import ModelGame
    from linewright.games.report.study_values import Study


class GamesBase(GameSource):
    """A games base, open for queries. Use it in one thread.

    Tables and moves of all games are read at the first question that needs them, and kept.
    """

    has_games = True

    def __init__(self, con: duckdb.DuckDBPyConnection, path: Path, size: int) -> None:
        self._con = con
        self._path = path
        self._bytes = size
        self._loaded = LoadedGames(con)

    @classmethod
    def open(cls, path: Path) -> GamesBase:
        """Open the base in the file ``path`` for queries only, or a base in parts in a folder or at a URL.

        What an adding that was stopped had finished is taken in first; one at work goes on undisturbed.

        :raises UnusableInput: where it is missing, empty, in use or no base.
        """
        from linewright.games.index.work_copy import left_over
        from linewright.games.parquet import parquet_base

        if parquet_base.is_in_parts(path):
            con, manifest = parquet_base.connect(path)
            return cls(con, path, manifest.size)
        if left_over(path):
            from linewright.games.ingest.adding import finish

            finish(path)
        return cls(_connect(path), path, path.stat().st_size)

    @property
    def loaded(self) -> LoadedGames:
        """Tables and moves themselves, for this folder's tests and tools; nothing else should ask them."""
        return self._loaded

    def close(self) -> None:
        """Let go of the file, and of what was read from it."""
        self._loaded = LoadedGames(self._con)
        self._con.close()

    # -- of the whole base -------------------------------------------------------------------------------------

    def info(self) -> BaseInfo:
        """What the base holds; counts every position: seconds for a large base."""
        from linewright.games.query.base_info import base_info

        return base_info(self._con, self._path, self._bytes)

    def size(self) -> tuple[int, int]:
        """How many games the base holds, and the largest number of one; numbers begin at 0."""
        table = self._loaded.table
        return int((table.plies > 0).sum()), len(table.plies) - 1

    # -- counts of a position ----------------------------------------------------------------------------------

    def holds(self, position: chess.Board) -> bool:
        """Whether the base can tell what is played from a position: always."""
        return True

    def replies(self, position: chess.Board, only: GameFilter = ALL_GAMES) -> Replies:
        """What was played from the position in the games that meet a filter, reached by any order of moves.

        :raises UnusableInput: for a player or an event that no game knows.
        """
        if only:
            here = look_up(self._loaded, position, only)
            return count_replies(position, here.games, here.moves, self._loaded.table.columns())
        return count_replies(position, *entries_at(self._con, position_key(position)), self._loaded.columns)

    def moves_played(self, keys: Sequence[int]) -> dict[int, dict[str, int]]:
        """Games by UCI move for each position that games went on from; for thousands of positions at once.

        :param keys: from :func:`position_key`.
        """
        return self._loaded.played.ask(keys)

    def below(self, root: chess.Board, only: GameFilter = ALL_GAMES, depth: int = DEPTH_BELOW) -> GamesBelow:
        """The games that came to a position, as an index of their own, for thousands of positions below it.

        :param depth: half-moves below it that are looked at.
        :raises UnusableInput: for a player or an event that no game knows.
        """
        from linewright.games.query.games_below import games_below

        return games_below(self._loaded, root, only, depth)

    # -- reports -----------------------------------------------------------------------------------------------

    def study(self, position: chess.Board, only: GameFilter = ALL_GAMES, most: int | None = None) -> Study:
        """All that the games know of a position: the replies with expectation, trend, plans and novelty, and by
        which moves games came there.

        :param most: replies that are studied, most played first; None: all.
        :raises UnusableInput: for a player or an event that no game knows.
        """
        from linewright.games.report.position_report import study

        return study(self._loaded, position, only, most)

    def model_games(
        self, position: chess.Board, limit: int, only: GameFilter = ALL_GAMES, side: Colour | None = None
    ) -> tuple[ModelGame, ...]:
        """Games worth showing from a position, best first; ``model_games.rank`` states the formula.

        :param side: the one that the lesson is for; None: either.
        :raises UnusableInput: for a player or an event that no game knows.
        """
        from linewright.games.report.model_games import rank

        return rank(self._loaded, look_up(self._loaded, position, only), limit, side)

    def debut(self, position: chess.Board, uci: str) -> Debut:
        """How a reply has fared in all its games, and in which it was played first and last."""
        from linewright.games.query.first_last_played import find_debut

        return find_debut(self._loaded, position, uci)

    # -- games -------------------------------------------------------------------------------------------------

    def games(self, position: chess.Board, order: Order, limit: int) -> tuple[GameRow, ...]:
        """Games through the position, the newest or the strongest first, at most ``limit``; needs no table of all."""
        from linewright.games.query.listing import first_games

        return first_games(self._con, position, order, limit)

    def list_games(
        self, position: chess.Board, order: Order, limit: int, only: GameFilter = ALL_GAMES
    ) -> tuple[int, tuple[GameRow, ...]]:
        """Games through a position that meet a filter: how many, and the first ``limit`` of them.

        :raises UnusableInput: for a player or an event that no game knows.
        """
        from linewright.games.query.listing import list_games

        return list_games(self._loaded, look_up(self._loaded, position, only), order, limit)

    def tags_through(self, position: chess.Board, most: int) -> tuple[GameTags, ...]:
        """The tags of all games through a position; none where more than ``most`` came there."""
        from linewright.games.query.table_reads import games_by_number

        through = look_up(self._loaded, position).games
        if len(through) > most:
            return ()
        return tuple(games_by_number(self._con, sorted(set(through.tolist()))).values())

    def moves(self, game: int) -> tuple[str, ...]:
        """A whole game's moves in UCI, by its number; none where there is no game of that number."""
        return tuple(unpack_move(move) for _, moves in moves_of(self._con, [game]) for move in moves)

    def find_pattern(
        self, pattern: BoardPattern, limit: int, position: chess.Board | None = None, only: GameFilter = ALL_GAMES
    ) -> PatternAnswer:
        """Games that show a pattern, the strongest first.

        :param pattern: :func:`linewright.games.patterns.pattern_parser.parse_pattern` reads one.
        :param position: only games through it, from it on; None: all games.
        :raises UnusableInput: for a player or an event that no game knows.
        """
        from linewright.games.patterns.pattern_search import find_pattern

        return find_pattern(self._loaded, pattern, limit, position, only)

    def find_quoted(self, described: DescribedGame) -> QuoteAnswer:
        """The game that a half-remembered description means, and where the two differ; else the nearest games.

        :param described: typed parts, or :func:`linewright.games.quotes.quote_parser.parse_description` of words.
        :raises UnusableInput: where neither a move nor a player is named.
        """
        from linewright.games.quotes.quote_search import find_quoted

        return find_quoted(self._loaded, self._tokens, described)

    # -- players and places ------------------------------------------------------------------------------------

    def players(self) -> tuple[Player, ...]:
        """Everyone with a game in the base, most games first; each spelling of a name counts as one."""
        from linewright.games.query.player_queries import players

        return players(self._con)

    def opponents(self, name: str, year: int | None = None, through: chess.Board | None = None) -> tuple[str, ...]:
        """Whom a player (spelled as the games do) met, most often met first.

        :param year: only in games of that year; None for all.
        :param through: only in games through this position; None for all.
        """
        from linewright.games.query.player_queries import opponents

        return opponents(self._con, name, year, through)

    def meetings(
        self,
        players: Sequence[Sequence[str]],
        least: float,
        position: chess.Board | None = None,
        year: int | None = None,
    ) -> Meetings:
        """The games of one named player, or of two against each other; see ``quotes.meetings.meetings``."""
        from linewright.games.quotes.meetings import meetings

        return meetings(self._loaded, players, least, position, year)

    @cached_property
    def places(self) -> frozenset[str]:
        """The words of the places where the base's games were played, without accents and capitals."""
        from linewright.games.query.player_queries import places

        return places(self._con)

    @cached_property
    def _tokens(self) -> U16:
        """The moves of all games as they are described: piece, target, capture."""
        from linewright.games.quotes.alignment import tokens_of

        return tokens_of(self._loaded.packed)


def _connect(path: Path) -> duckdb.DuckDBPyConnection:
    con = schema.connect(path, read_only=True)
    try:
        if not schema.check(con, path):
            raise UnusableInput(f"the games base {path} holds no games", "Add some: linewright base add FILE")
    except duckdb.Error as error:
        con.close()
        raise UnusableInput(
            f"the games base {path} can't be read: {str(error).splitlines()[0]}",
            "Move it away and add the games again.",
        ) from None
    except BaseException:
        con.close()
        raise
    return con
