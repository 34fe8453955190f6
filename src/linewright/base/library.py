"""The base's games by who played them: what needs tags only, and no playing through."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cached_property

import chess

from linewright.base.meetings import Meetings, meetings
from linewright.base.naming import plain
from linewright.base.rows import GameTable
from linewright.base.store import Base


class Library:
    """Questions to an open base about players and places. The tags are read at the first question, and kept.

    Use it in one thread, while the base is open.
    """

    def __init__(self, base: Base) -> None:
        self.base = base
        self._con = base.connection

    @cached_property
    def table(self) -> GameTable:
        """Tags and results of all games."""
        return GameTable.load(self._con)

    def meetings(
        self,
        players: Sequence[Sequence[str]],
        least: float,
        position: chess.Board | None = None,
        year: int | None = None,
    ) -> Meetings:
        """The games of one told player, or of two against each other; :func:`linewright.base.meetings.meetings`."""
        return meetings(self._con, self.table, players, least, position, year)

    @cached_property
    def places(self) -> frozenset[str]:
        """The words of the places where the base's games were played, without accents and capitals."""
        rows = self._con.execute("SELECT DISTINCT site FROM games").fetchall()
        return frozenset(word for (site,) in rows for word in plain(site).split() if len(word) > 2)
