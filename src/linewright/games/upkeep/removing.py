"""Removing a source's games from a base."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Final

import duckdb

from linewright.games.games_base import GamesBase
from linewright.games.index import schema
from linewright.games.index.building import index_games
from linewright.games.index.work_copy import rebuilding
from linewright.games.names.name_spellings import note_spellings
from linewright.games.upkeep.exporting import source_number

#: Each game that stays, with the source it then counts for: its own, else the first other that holds it.
_KEPT: Final = """
CREATE TEMP TABLE kept AS
SELECT g.id, if(g.source <> $gone, g.source, min(s.source)) AS source
FROM old.games g LEFT JOIN old.sightings s ON s.game = g.id AND s.source <> $gone
GROUP BY g.id, g.source HAVING g.source <> $gone OR min(s.source) IS NOT NULL
"""
_COPIES: Final = (
    "INSERT INTO games BY NAME SELECT g.* REPLACE (k.source AS source) FROM old.games g JOIN kept k ON k.id = g.id"
    " ORDER BY g.id",
    "INSERT INTO sightings SELECT s.* FROM old.sightings s JOIN kept k ON k.id = s.game"
    " WHERE s.source <> $gone AND s.source <> k.source",
    "INSERT INTO sources SELECT id, name, (SELECT count(*) FROM kept WHERE source = s.id) FROM old.sources s"
    " WHERE id <> $gone ORDER BY id",
    "DROP TABLE kept",
)


@dataclass(frozen=True, slots=True)
class RemoveReport:
    """What removing did.

    :param source: whose games were removed.
    :param removed: games that are gone.
    :param kept: games of it that stay, as another source holds them too.
    """

    source: str
    removed: int
    kept: int


def remove_source(base: Path, source: str) -> RemoveReport:
    """Remove a source: its games that no other source holds.

    The base is rebuilt without them and then put in its place; stopped, it is as it was.

    :param source: as ``base info`` names it, or the end of that.
    :raises UnusableInput: no such base or source, another process is changing it, or there is no room.
    """
    GamesBase.open(base).close()  # refuses what is no base, and takes in what a stopped adding had finished
    with rebuilding(base) as con:
        gone = _source(con, base, source)
        before, own = _counts(con, gone)
        con.execute(_KEPT, {"gone": gone})
        with schema.transaction(con):
            for copy in _COPIES:
                con.execute(copy, {"gone": gone} if "$gone" in copy else None)
        name = con.execute("SELECT name FROM old.sources WHERE id = ?", [gone]).fetchall()[0][0]
        index_games(con)
        note_spellings(con)
        removed = before - con.execute("SELECT count(*) FROM games").fetchall()[0][0]
    return RemoveReport(name, removed, own - removed)


def _source(con: duckdb.DuckDBPyConnection, base: Path, source: str) -> int:
    con.execute("USE old")
    try:
        return source_number(con, base, source)
    finally:
        con.execute("USE new")


def _counts(con: duckdb.DuckDBPyConnection, gone: int) -> tuple[int, int]:
    """Games of the base, and of the source."""
    row = con.execute("SELECT count(*), count(*) FILTER (source = ?) FROM old.games", [gone]).fetchall()[0]
    return int(row[0]), int(row[1])
