"""What a base holds, in figures."""

from __future__ import annotations

from pathlib import Path
from typing import Final

import duckdb

from linewright.games.index.building import count_positions
from linewright.games.values import BaseInfo

_INFO: Final = """
SELECT count(*), min(year), max(year), count(white_rating + black_rating),
    (SELECT count(*) FROM (SELECT white FROM games WHERE white <> '' UNION
        SELECT black FROM games WHERE black <> '')) - (SELECT count(*) FROM spellings)
FROM games
"""


def base_info(con: duckdb.DuckDBPyConnection, path: Path, size: int) -> BaseInfo:
    """Count everything, positions too: seconds for a large base.

    :param size: bytes on disk.
    """
    games, first, last, rated, players = con.execute(_INFO).fetchall()[0]
    positions = count_positions(con)
    sources = con.execute("SELECT name, games FROM sources ORDER BY id").fetchall()
    return BaseInfo(path, games, positions, players, first, last, rated, tuple(sources), size)
