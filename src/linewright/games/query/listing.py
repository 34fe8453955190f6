"""Games through a position, in an order."""

from __future__ import annotations

from typing import Final

import duckdb
import numpy as np

from linewright.games.model import GameRow, Order
from linewright.games.query.batch_replay import board_after, sans, trace
from linewright.games.query.table_reads import GameTable, PackedGames, Played, games_by_number
from linewright.games.report.position_report import Here

#: Moves that a listed game shows from the position asked for.
FOLLOWING_PLIES: Final = 8


def listed(
    con: duckdb.DuckDBPyConnection, table: GameTable, packed: PackedGames, here: Here, order: Order, limit: int
) -> tuple[int, tuple[GameRow, ...]]:
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
    found = tuple(
        game_row(rows[game], packed.of(game), reached) for game, reached in zip(chosen.tolist(), plies, strict=True)
    )
    return len(games), found


def game_row(game: Played, moves: list[int], reached: int) -> GameRow:
    """A game with its next moves.

    :param moves: the whole game's, packed; ``reached`` of them lead to the position asked for.
    """
    return GameRow(
        id=game.id,
        white=game.white,
        black=game.black,
        white_rating=game.white_rating,
        black_rating=game.black_rating,
        result=game.result,
        date=game.date,
        year=game.year,
        event=game.event,
        site=game.site,
        round=game.round,
        eco=game.eco,
        plies=game.plies,
        reached=reached,
        following=sans(board_after(moves[:reached]), moves[reached : reached + FOLLOWING_PLIES]),
        source=game.source,
    )
