"""The base's games by who played them: what needs tags only, and no playing through."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cached_property

import chess

from linewright.games.names.name_lookup import plain
from linewright.games.query.open_base import Base
from linewright.games.query.table_reads import GameTable
from linewright.games.quotes.meetings import Meetings, meetings


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
        """The games of one told player, or of two against each other; ``meetings``."""
        return meetings(self._con, self.table, players, least, position, year)

    @cached_property
    def places(self) -> frozenset[str]:
        """The words of the places where the base's games were played, without accents and capitals."""
        rows = self._con.execute("SELECT DISTINCT site FROM games").fetchall()
        return frozenset(word for (site,) in rows for word in plain(site).split() if len(word) > 2)
