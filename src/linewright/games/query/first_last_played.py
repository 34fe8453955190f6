"""How a reply has fared in all its games, and in which it was played first and last."""

from __future__ import annotations

import chess
import numpy as np

from linewright.games.index.position_keys import pack_move
from linewright.games.ingest.columns import UNKNOWN
from linewright.games.query.loaded_games import LoadedGames
from linewright.games.query.position_entries import look_up
from linewright.games.query.table_reads import games_by_number
from linewright.games.values import NO_DEBUT, Debut


def find_debut(loaded: LoadedGames, position: chess.Board, uci: str) -> Debut:
    """The reply's games; :data:`NO_DEBUT` where there is none."""
    table = loaded.table
    here = look_up(loaded, position)
    games = np.unique(here.games[here.moves == pack_move(chess.Move.from_uci(uci))])
    if not len(games):
        return NO_DEBUT
    order = games[np.lexsort((games, table.dates[games]))]  # games without a date come last
    dated = order[table.years[order] > 0]
    first, last = (int(one) for one in ((dated if len(dated) else order)[[0, -1]]))
    rows = games_by_number(loaded.con, [first, last])
    halves = table.half_points[games]
    halves = halves[halves != UNKNOWN]
    points = float(halves.sum()) / 2
    return Debut(rows.get(first), rows.get(last), points if position.turn else len(halves) - points, len(halves))
