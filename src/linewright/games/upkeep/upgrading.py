"""Bringing a base of an older version up to date."""

from __future__ import annotations

from pathlib import Path
from typing import Final

import duckdb
import numpy as np

from linewright.games.index import schema
from linewright.games.index.building import index_games
from linewright.games.index.index_reader import in_pieces
from linewright.games.index.work_copy import rebuilding
from linewright.games.ingest.columns import UNKNOWN
from linewright.games.ingest.game_validation import move_hashes, prints_of
from linewright.games.ingest.tagging import tag_hashes
from linewright.games.names.name_spellings import note_spellings

#: What version 1 kept of each game; its index and prints are rebuilt from the moves and names.
_KEPT: Final = """
INSERT INTO games BY NAME
SELECT g.* REPLACE (p.print AS print), '' AS time_control, '' AS others
FROM old.games g JOIN prints p ON p.id = g.id ORDER BY g.id
"""
_TOLD: Final = "SELECT id, white, black, date, result, plies, moves FROM old.games ORDER BY id"


def upgrade_base(base: Path) -> bool:
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
    numbers, prints = [np.empty(0, np.uint32)], [np.empty(0, np.uint64)]
    for ids, white, black, date, results, lengths, moves in in_pieces(con, _TOLD):
        plies = np.array(lengths, dtype=np.int64)
        lines = move_hashes(np.frombuffer(b"".join(moves), dtype="<u2"), plies)
        known = np.array([UNKNOWN if result is None else result for result in results], dtype=np.uint8)
        numbers.append(np.array(ids, dtype=np.uint32))
        prints.append(prints_of(lines, tag_hashes(white, black, date), known))
    con.register("prints", {"id": np.concatenate(numbers), "print": np.concatenate(prints)})
    con.execute(_KEPT)
    con.unregister("prints")
