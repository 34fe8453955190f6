"""Bringing a base of an older version up to date."""

from __future__ import annotations

from pathlib import Path
from typing import Final

import duckdb
import numpy as np
import pyarrow as pa

from linewright.base import schema
from linewright.base.indexing import index_games
from linewright.base.players import note_spellings
from linewright.base.reading import move_hashes, prints_of
from linewright.base.tagging import UNKNOWN, tag_hashes
from linewright.base.work import rebuilding

#: What version 1 kept of each game; its index and prints are rebuilt from the moves and names.
_GAMES: Final = """
SELECT id, white, black, white_rating, black_rating, date, year, result, event, site, round, eco,
    '' AS time_control, '' AS others, plies, source, moves FROM old.games ORDER BY id
"""

#: Games per piece.
_PIECE: Final = 1 << 15


def upgrade(base: Path) -> bool:
    """Make a base of an older version one of today's, in its place; stopped, the old one stays.

    :returns: False where it was up to date.
    :raises UnusableInput: where it is no base, is being changed, or there is no room.
    """
    with schema.connect(base, read_only=True) as old:
        if schema.version(old, base) not in schema.UPGRADABLE:
            schema.check(old, base)
            return False
    with rebuilding(base) as con:
        con.execute("INSERT INTO sources SELECT * FROM old.sources")
        with schema.transaction(con):
            _copy_games(con)
        index_games(con)
        note_spellings(con)
    return True


def _copy_games(con: duckdb.DuckDBPyConnection) -> None:
    for piece in con.cursor().sql(_GAMES).to_arrow_reader(_PIECE):
        games = pa.Table.from_batches([piece])
        plies = games["plies"].to_numpy().astype(np.int64)
        lines = np.empty(len(games), dtype=np.uint64)
        move_hashes(np.frombuffer(b"".join(games["moves"].to_pylist()), dtype="<u2"), plies, lines)
        hashes = tag_hashes(*(games[name].combine_chunks() for name in ("white", "black", "date")))
        results = games["result"].fill_null(UNKNOWN).to_numpy()
        con.register("copied", games.append_column("print", pa.array(prints_of(lines, hashes, results))))
        con.execute("INSERT INTO games BY NAME SELECT * FROM copied")
        con.unregister("copied")
