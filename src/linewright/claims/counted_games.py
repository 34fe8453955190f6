"""The games base as a check sees it: asked once for each position, and never in the way when it fails."""

from __future__ import annotations

from functools import cached_property
from typing import Final, cast

import chess

from linewright.claims.claim_kind import Base, CountedReplies, Library
from linewright.games.api import StarterTable
from linewright.language.evidence import NOTHING, plain, why
from linewright.lesson.walk import Node
from linewright.support.errors import UnusableInput

#: What to do where games are missing.
ADD_GAMES: Final = why("games.add_games")
#: Why a frequency claim stays undecided without games, and what to do.
NO_BASE: Final = why("games.no_base", todo=ADD_GAMES)
#: Why it stays undecided where only the starter table can be asked, and it doesn't hold the position.
NOT_IN_STARTER: Final = why("games.not_in_starter", todo=ADD_GAMES)


class CountedGames:
    """Replies by position, each asked for once.

    :ivar where: said of the games that are counted, after their number; empty for the user's own base.
    """

    def __init__(self, base: Base | None) -> None:
        self.base = base
        self._kept: dict[str, CountedReplies | None] = {}
        self._starter = base if isinstance(base, StarterTable) else None
        self.where = why("games.in_starter_table") if self._starter else NOTHING
        #: Why there are no replies, with what to do about it.
        self.why_none = NOT_IN_STARTER if self._starter else NO_BASE

    @cached_property
    def library(self) -> Library | None:
        """The games of players; None without a base that knows them."""
        return cast(Library, self.base) if hasattr(self.base, "meetings") else None

    def replies(self, board: chess.Board) -> CountedReplies | None:
        """What was played from a position; None without a base, when it can't be asked, or where the starter table
        doesn't hold the position, which doesn't say that nobody played on from there."""
        if self.base is None or (self._starter and not self._starter.holds(board)):
            return None
        key = board.epd()
        if key not in self._kept:
            try:
                self._kept[key] = self.base.replies(board)
            except UnusableInput as trouble:
                self.why_none = plain(str(trouble))
                self._kept[key] = None
        return self._kept[key]

    def share(self, board: chess.Board, _: Node, after: Node) -> float:
        """How likely (0-1) a move from a position is played, for :class:`linewright.lesson.path_chances.PathChances`;
        1 where there are no games to count.

        It is (games + 1) / (all + 2): Laplace's rule of succession, so that a move without games isn't impossible.
        """
        replies = self.replies(board)
        if replies is None:
            return 1.0
        played = next((reply.games for reply in replies.replies if reply.uci == after.uci), 0)
        return (played + 1) / (replies.total + 2)
