"""Games through a position, in an order."""

from __future__ import annotations

from typing import Final, TypeAlias

import duckdb
import numpy as np

from linewright.base.model import GameRow, Order
from linewright.base.rows import GameTable, PackedGames, games_by_number
from linewright.base.study import Here
from linewright.base.tracing import board_after, sans, trace

#: A game in a list, with its next moves.
Listed: TypeAlias = GameRow

#: Moves that a listed game shows from the position asked for.
FOLLOWING_PLIES: Final = 8


def listed(
    con: duckdb.DuckDBPyConnection, table: GameTable, packed: PackedGames, here: Here, order: Order, limit: int
) -> tuple[int, tuple[Listed, ...]]:
    """How many games, and the first of them; a game as strong as its players' mean rating, unrated ones last."""
    games = np.unique(here.games)
    if order == "newest":
        years = table.years[games].astype(np.int64)
        dates = np.where(years > 0, table.dates[games], 0)
        chosen = games[np.lexsort((games, dates, years))[::-1][:limit]]
    else:
        white, black = (ratings[games].astype(np.int64) for ratings in (table.white_ratings, table.black_ratings))
        chosen = games[np.lexsort((games, np.where((white > 0) & (black > 0), white + black, 0)))[::-1][:limit]]
    rows = games_by_number(con, chosen.tolist())
    plies = trace(here.position, chosen, packed).plies.tolist()
    found = []
    for game, reached in zip(chosen.tolist(), plies, strict=True):
        moves, row = packed.of(game), rows[game]
        found.append(
            GameRow(
                id=game,
                white=row.white,
                black=row.black,
                white_rating=row.white_rating,
                black_rating=row.black_rating,
                result=row.result,
                date=row.date,
                year=row.year,
                event=row.event,
                site=row.site,
                round=row.round,
                eco=row.eco,
                plies=row.plies,
                reached=reached,
                following=sans(board_after(moves[:reached]), moves[reached : reached + FOLLOWING_PLIES]),
                source=row.source,
            )
        )
    return len(games), tuple(found)
