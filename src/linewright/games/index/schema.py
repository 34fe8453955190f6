"""The base's one DuckDB file: its tables, and opening it with clear refusals.

``games`` holds each game once. The position index (``shelves``, in the form of
``index_layout``) is made from the games' moves, one run of games after another, and each run's
rows are in the order of shelves, so that DuckDB's per-block minima and maxima lead straight to one.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Final

import duckdb

from linewright.support.errors import UnusableInput

#: Raised whenever the tables change; a base of another version is refused.
VERSION: Final = 2

#: Versions that :mod:`linewright.games.upkeep.upgrading` can bring up to date.
UPGRADABLE: Final = ("1",)

#: ``result``: White's half-points (0-2), NULL where unknown; ``print``: hash for finding duplicates;
#: ``moves``: 16-bit packed moves, little-endian (left uncompressed: fetching one game then takes a
#: tenth of the time); ``others``: the tag pairs that have no column, as PGN lines; ``sightings``: the sources
#: beside ``games.source`` that hold the game too; ``spellings``: names that stand for another spelling's
#: player; ``runs``: the games ``first`` to ``last`` whose positions are on the shelves of this ``run``, and how
#: many different positions they have.
TABLES: Final = """
CREATE TABLE meta (name VARCHAR PRIMARY KEY, value VARCHAR NOT NULL);
CREATE TABLE sources (id UINTEGER, name VARCHAR NOT NULL, games UINTEGER NOT NULL);
CREATE TABLE games (
    id UINTEGER NOT NULL, white VARCHAR NOT NULL, black VARCHAR NOT NULL,
    white_rating USMALLINT, black_rating USMALLINT, date VARCHAR NOT NULL, year USMALLINT, result UTINYINT,
    event VARCHAR NOT NULL, site VARCHAR NOT NULL, round VARCHAR NOT NULL, eco VARCHAR NOT NULL,
    time_control VARCHAR NOT NULL, others VARCHAR NOT NULL,
    plies USMALLINT NOT NULL, source UINTEGER NOT NULL, print UBIGINT NOT NULL,
    moves BLOB NOT NULL USING COMPRESSION uncompressed
);
CREATE TABLE sightings (game UINTEGER NOT NULL, source UINTEGER NOT NULL);
CREATE TABLE spellings (name VARCHAR NOT NULL, player VARCHAR NOT NULL);
CREATE TABLE runs (run UINTEGER NOT NULL, first UINTEGER NOT NULL, last UINTEGER NOT NULL, positions UBIGINT NOT NULL);
CREATE TABLE shelves (
    run UINTEGER NOT NULL, shelf USMALLINT NOT NULL,
    lone BLOB NOT NULL USING COMPRESSION uncompressed, shared BLOB NOT NULL USING COMPRESSION uncompressed
);
"""

#: Memory that DuckDB may take of its own for asking, and for adding, which has need of memory beside it.
MEMORY, ADDING_MEMORY = "512MB", "256MB"


def connect(path: Path, *, read_only: bool) -> duckdb.DuckDBPyConnection:
    """Open the file.

    :raises UnusableInput: where it is missing (reading only), in use, not to be opened, or no base.
    """
    try:
        if read_only:
            path.stat()
        return opened(path, MEMORY if read_only else ADDING_MEMORY, read_only=read_only)
    except FileNotFoundError:
        todo = "Make one with: linewright base add GAMES.pgn"
        raise UnusableInput(f"there is no games base at {path}", todo) from None
    except (OSError, duckdb.Error) as error:
        raise _refusal(path, error) from None


def opened(path: Path | str, memory: str, *, read_only: bool = False) -> duckdb.DuckDBPyConnection:
    """A connection that prints nothing: DuckDB would draw a bar of its own beside ours wherever a query takes more than
    two seconds.

    :raises: what DuckDB raises.
    """
    con = duckdb.connect(path, read_only=read_only, config={"memory_limit": memory})
    con.execute("SET enable_progress_bar = false")
    return con


def _refusal(path: Path, error: Exception) -> UnusableInput:
    text = str(error)
    if "lock" in text or "different configuration" in text:
        return UnusableInput(
            f"the games base {path} is in use by another process",
            "Let it finish, then try again.",
        )
    if "ermission denied" in text:
        return UnusableInput(f"the games base {path} can't be opened: no permission", "Check the file's permissions.")
    first = text.splitlines()[0] if text else type(error).__name__
    return UnusableInput(
        f"{path} is not a readable games base ({first})",
        "Name another with --base, or move this file away and add the games again.",
    )


def version(con: duckdb.DuckDBPyConnection, path: Path) -> str | None:
    """The version of the base in the file; None: the file holds nothing yet.

    :raises UnusableInput: for other tables.
    """
    tables = {row[0] for row in con.execute("SELECT table_name FROM duckdb_tables()").fetchall()}
    if not tables:
        return None
    found = []
    if "meta" in tables:
        found = con.execute("SELECT value FROM meta WHERE name = 'version'").fetchall()
    if not found:
        raise UnusableInput(f"{path} is a database, but not a games base", "Name another file with --base.")
    return str(found[0][0])


def check(con: duckdb.DuckDBPyConnection, path: Path) -> bool:
    """Is there a base of this version in the file? False: the file holds nothing yet.

    :raises UnusableInput: for other tables or another version.
    """
    found = version(con, path)
    if found not in (None, str(VERSION)):
        todo = "Move the file away and add the games again."
        if found in UPGRADABLE:
            todo = f"Bring it up to date (nothing is lost): linewright base upgrade --base {path}"
        elif found.isdigit() and int(found) > VERSION:
            todo = "Use the newer Linewright that made it."
        raise UnusableInput(f"the games base {path} is of version {found}, this program reads version {VERSION}", todo)
    return found is not None


@contextmanager
def transaction(con: duckdb.DuckDBPyConnection) -> Iterator[None]:
    """All of what is done inside, or none of it."""
    con.execute("BEGIN")
    try:
        yield
        con.execute("COMMIT")
    except BaseException:
        with suppress(duckdb.Error):  # where committing failed it is rolled back already
            con.execute("ROLLBACK")
        raise


def create(con: duckdb.DuckDBPyConnection) -> None:
    """Make the tables, all or none."""
    with transaction(con):
        con.execute(TABLES)
        con.execute("INSERT INTO meta VALUES ('version', ?)", [str(VERSION)])


def log_of(path: Path) -> Path:
    """DuckDB's write-ahead log beside the base: what is committed and not yet in the file itself."""
    return path.with_name(path.name + ".wal")
