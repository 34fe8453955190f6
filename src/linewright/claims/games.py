"""The games base as a check sees it: asked once for each position, and never in the way when it fails."""

from __future__ import annotations

import chess

from linewright.claims.registry import Base, Replies
from linewright.errors import UnusableInput

#: Why a frequency claim stays open without games, and what to do.
NO_BASE = "no games base to count in; add games with “linewright base add FILE”"


class Games:
    """Replies by position, each asked for once."""

    def __init__(self, base: Base | None) -> None:
        self.base = base
        self._kept: dict[str, Replies | None] = {}
        #: Why there are no replies, with what to do about it.
        self.why_none = NO_BASE

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
