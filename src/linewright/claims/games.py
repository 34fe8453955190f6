"""The games base as a check sees it: asked once for each position, and never in the way when it fails."""

from __future__ import annotations

from functools import cached_property
from typing import cast

import chess

from linewright.claims.registry import Base, Library, Replies
from linewright.errors import UnusableInput

#: Why a frequency claim stays undecided without games, and what to do.
NO_BASE = "no games base to count in; add games with “linewright base add FILE”"


class Games:
    """Replies by position, each asked for once."""

    def __init__(self, base: Base | None) -> None:
        self.base = base
        self._kept: dict[str, Replies | None] = {}
        #: Why there are no replies, with what to do about it.
        self.why_none = NO_BASE

    @cached_property
    def library(self) -> Library | None:
        """The games of players; None without a base that knows them."""
        from linewright.base.library import Library as PlayersOf  # needed only by talks that quote games
        from linewright.base.store import Base as OpenBase

        if isinstance(self.base, OpenBase):
            return PlayersOf(self.base)
        return cast(Library, self.base) if hasattr(self.base, "meetings") else None

    def replies(self, board: chess.Board) -> Replies | None:
        """What was played from a position; None without a base, or when it can't be asked."""
        if self.base is None:
            return None
        key = board.epd()
        if key not in self._kept:
            try:
                self._kept[key] = self.base.replies(board)
            except UnusableInput as trouble:
                self.why_none = str(trouble)
                self._kept[key] = None
        return self._kept[key]
