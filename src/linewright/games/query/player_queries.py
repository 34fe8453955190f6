"""Who is in a base, and who met whom."""

from __future__ import annotations

from typing import Final

import chess
import duckdb
import numpy as np

from linewright.games.index.index_reader import entries_at, game_set
from linewright.games.index.position_keys import position_key
from linewright.games.names.name_lookup import plain
from linewright.games.values import Player

_PLAYERS: Final = """
SELECT name, count(*) AS games, min(year), max(year)
FROM (SELECT white AS name, year FROM games UNION ALL SELECT black, year FROM games)
WHERE name <> '' GROUP BY name ORDER BY games DESC, name
"""
_NO_GAMES: Final = np.empty(0, dtype=np.uint32)
_OPPONENTS: Final = """
SELECT if(white = $name, black, white) AS other FROM games
WHERE (white = $name OR black = $name) AND ($year IS NULL OR year = $year)
    AND ($anywhere OR id IN (SELECT id FROM through))
GROUP BY other HAVING other <> '' ORDER BY count(*) DESC, other
"""


def players(con: duckdb.DuckDBPyConnection) -> tuple[Player, ...]:
    """Everyone with a game in the base, most games first; each spelling of a name counts as one."""
    return tuple(Player(*row) for row in con.execute(_PLAYERS).fetchall())


def opponents(
    con: duckdb.DuckDBPyConnection, name: str, year: int | None, through: chess.Board | None
) -> tuple[str, ...]:
    """Whom a player (spelled as the games do) met, most often met first.

    :param year: only in games of that year; None for all.
    :param through: only in games through this position; None for all.
    """
    games = _NO_GAMES if through is None else entries_at(con, position_key(through))[0]
    asked = {"name": name, "year": year, "anywhere": through is None}
    with game_set(con, games):
        return tuple(row[0] for row in con.execute(_OPPONENTS, asked).fetchall())


def places(con: duckdb.DuckDBPyConnection) -> frozenset[str]:
    """The words of the places where the games were played, without accents and capitals."""
    rows = con.execute("SELECT DISTINCT site FROM games").fetchall()
    return frozenset(word for (site,) in rows for word in plain(site).split() if len(word) > 2)
