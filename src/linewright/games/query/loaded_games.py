"""Tables and moves of a base's games, held in memory."""

from __future__ import annotations

from functools import cached_property

import duckdb

from linewright.games.query.game_columns import GameColumns
from linewright.games.query.played_moves import PlayedMoves
from linewright.games.query.table_reads import GameTable, PackedGames


class LoadedGames:
    """What is read of an open base, each part at the first question that needs it, and kept.

    :ivar con: the open file or folder.
    """

    def __init__(self, con: duckdb.DuckDBPyConnection) -> None:
        self.con = con

    @cached_property
    def columns(self) -> GameColumns:
        """The numbers that replies are counted from; quicker to read than the whole table."""
        return GameColumns.load(self.con)

    @cached_property
    def table(self) -> GameTable:
        """Tags and results of all games."""
        return GameTable.load(self.con)

    @cached_property
    def packed(self) -> PackedGames:
        """The moves of all games."""
        return PackedGames.load(self.con)

    @cached_property
    def played(self) -> PlayedMoves:
        """The position index."""
        return PlayedMoves(self.con)
