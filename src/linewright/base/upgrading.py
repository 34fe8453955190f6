"""Bringing a base of an older version up to date."""

from __future__ import annotations

from contextlib import suppress
from pathlib import Path
from typing import Final

import duckdb

from linewright.base import schema
from linewright.base.indexing import index_games
from linewright.base.work import discard, locked, unwritable, work_of

#: What version 1 kept of each game; its index is not needed, as the new one is made from the moves.
_GAMES: Final = """
INSERT INTO games BY NAME SELECT id, white, black, white_rating, black_rating, date, year, result, event, site,
    round, eco, '' AS time_control, '' AS others, plies, source, print, moves FROM old.games ORDER BY id
"""


def upgrade(base: Path) -> bool:
    """Make a base of an older version one of today's, in its place; stopped, the old one stays.

    :returns: False where it was up to date.
    :raises UnusableInput: where it is no base, is being changed, or there is no room.
    """
    with locked(base):
        with schema.connect(base, read_only=True) as old:
            if schema.version(old, base) not in schema.UPGRADABLE:
                schema.check(old, base)
                return False
        path = work_of(base)
        discard(path)
        try:
            with schema.connect(path, read_only=False) as con:
                schema.create(con)
                con.execute("ATTACH '{}' AS old (READ_ONLY)".format(str(base).replace("'", "''")))
                con.execute("INSERT INTO sources SELECT * FROM old.sources")
                con.execute(_GAMES)
                con.execute("DETACH old")
                index_games(con)
                con.execute("CHECKPOINT")
            path.replace(base)
        except (OSError, duckdb.Error) as error:
            raise unwritable(base, error) from None
        finally:
            with suppress(OSError):
                discard(path)
    return True
