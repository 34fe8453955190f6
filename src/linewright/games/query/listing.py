"""Games through a position, in an order."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict
from typing import Final

import chess
import duckdb
import numpy as np

from linewright.games.index.index_reader import entries_at, game_set, moves_of
from linewright.games.index.position_keys import position_key
from linewright.games.query.batch_replay import board_after, sans, trace, unpacked
from linewright.games.query.loaded_games import LoadedGames
from linewright.games.query.position_entries import PositionEntries
from linewright.games.query.table_reads import games_by_number
from linewright.games.values import FOLLOWING_PLIES, GameRow, GameTags, Order

_ORDERS: Final[dict[Order, str]] = {
    "newest": "year DESC NULLS LAST, date DESC, id DESC",
    # A game is as strong as its players' mean rating; one unrated player counts as unknown.
    "strongest": "white_rating + black_rating DESC NULLS LAST, id DESC",
}
_CHOSEN: Final = """
SELECT id FROM games WHERE id IN (SELECT id FROM through) ORDER BY {order} LIMIT ?
"""


def first_games(con: duckdb.DuckDBPyConnection, position: chess.Board, order: Order, limit: int) -> tuple[GameRow, ...]:
    """The first of all games through a position, chosen by the database: no table of all games need be read."""
    through, _ = entries_at(con, position_key(position))
    with game_set(con, through):
        chosen = [row[0] for row in con.execute(_CHOSEN.format(order=_ORDERS[order]), [limit]).fetchall()]
    if not chosen:
        return ()
    rows, moves = games_by_number(con, chosen), dict(moves_of(con, chosen))
    return tuple(game_row(rows[game], moves[game], _plies_to(position, moves[game])) for game in chosen)


def _plies_to(position: chess.Board, packed: Sequence[int]) -> int:
    """After how many half-moves the game first reached the position."""
    key, occupied = position_key(position), position.occupied
    board = chess.Board()
    plies = 0
    # The occupied squares differ nearly always, and cost nothing to compare.
    while plies < len(packed) and not (board.occupied == occupied and position_key(board) == key):
        board.push(unpacked(packed[plies]))
        plies += 1
    return plies


def list_games(loaded: LoadedGames, here: PositionEntries, order: Order, limit: int) -> tuple[int, tuple[GameRow, ...]]:
    """How many games, and the first of them; a game as strong as its players' mean rating, unrated ones last."""
    table, packed, games = loaded.table, loaded.packed, here.through()
    if order == "newest":
        years = table.years[games].astype(np.int64)
        dates = np.where(years > 0, table.dates[games], 0)
        chosen = games[np.lexsort((games, dates, years))[::-1][:limit]]
    else:
        white, black = (ratings[games].astype(np.int64) for ratings in (table.white_ratings, table.black_ratings))
        chosen = games[np.lexsort((games, np.where((white > 0) & (black > 0), white + black, 0)))[::-1][:limit]]
    rows = games_by_number(loaded.con, chosen.tolist())
    plies = trace(here.position, chosen, packed).plies.tolist()
    found = tuple(
        game_row(rows[game], packed.of(game), reached) for game, reached in zip(chosen.tolist(), plies, strict=True)
    )
    return len(games), found


def game_row(game: GameTags, moves: Sequence[int], reached: int) -> GameRow:
    """A game with its next moves.

    :param moves: the whole game's, packed; ``reached`` of them lead to the position asked for.
    """
    board, onward = board_after(moves[:reached]), moves[reached : reached + FOLLOWING_PLIES]
    return GameRow(**asdict(game), reached=reached, following=sans(board, onward))
