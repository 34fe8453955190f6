"""The base's one DuckDB file: its tables, and opening it with clear refusals.

``positions`` holds one row for each game, position and move played there, in runs sorted by key (one run per
batch added), so that DuckDB's per-block minima and maxima lead straight to a key.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Final

import duckdb

from linewright.errors import UnusableInput

#: Raised whenever the tables change; a base of another version is refused.
VERSION: Final = 1

#: ``result``: White's half-points (0-2), NULL where unknown; ``print``: hash for telling duplicates;
#: ``moves``: 16-bit packed moves, little-endian (left uncompressed: fetching one game then takes a
#: tenth of the time); ``positions.move``: packed move, 0 in a last position.
TABLES: Final = """
CREATE TABLE meta (name VARCHAR PRIMARY KEY, value VARCHAR NOT NULL);
CREATE TABLE sources (id UINTEGER, name VARCHAR NOT NULL, games UINTEGER NOT NULL);
CREATE TABLE games (
    id UINTEGER NOT NULL, white VARCHAR NOT NULL, black VARCHAR NOT NULL,
    white_rating USMALLINT, black_rating USMALLINT, date VARCHAR NOT NULL, year USMALLINT, result UTINYINT,
    event VARCHAR NOT NULL, site VARCHAR NOT NULL, round VARCHAR NOT NULL, eco VARCHAR NOT NULL,
    plies USMALLINT NOT NULL, source UINTEGER NOT NULL, print UBIGINT NOT NULL,
    moves BLOB NOT NULL USING COMPRESSION uncompressed
);
"""

POSITIONS: Final = "CREATE TABLE {name} (key UBIGINT NOT NULL, game UINTEGER NOT NULL, move USMALLINT NOT NULL)"

#: Memory that DuckDB may take of its own.
MEMORY: Final = "512MB"


def connect(path: Path, *, read_only: bool) -> duckdb.DuckDBPyConnection:
    """Open the file.

    :raises UnusableInput: where it is missing (reading only), in use, not to be opened, or no base.
    """
    try:
        if read_only:
            path.stat()
        return duckdb.connect(path, read_only=read_only, config={"memory_limit": MEMORY})
    except FileNotFoundError:
        todo = "Make one: linewright base add GAMES.pgn"
        raise UnusableInput(f"there is no games base at {path}", todo) from None
    except (OSError, duckdb.Error) as error:
        raise _refusal(path, error) from None


def _refusal(path: Path, error: Exception) -> UnusableInput:
    text = str(error)
    if "lock" in text or "different configuration" in text:
        return UnusableInput(
            f"the games base {path} is in use by another process",
            "Let it finish (only one can add at a time, and none can ask meanwhile), then try again.",
        )
    if "ermission denied" in text:
        return UnusableInput(f"the games base {path} can't be opened: no permission", "Allow it.")
    first = text.splitlines()[0] if text else type(error).__name__
    return UnusableInput(
        f"{path} is no games base that can be read ({first})",
        "Name another with --base, or move this file away and add the games again.",
    )


def check(con: duckdb.DuckDBPyConnection, path: Path) -> bool:
    """Is there a base of this version in the file? False: the file holds nothing yet.

    :raises UnusableInput: for other tables or another version.
    """
    tables = {row[0] for row in con.execute("SELECT table_name FROM duckdb_tables()").fetchall()}
    if not tables:
        return False
    found = []
    if "meta" in tables:
        found = con.execute("SELECT value FROM meta WHERE name = 'version'").fetchall()
    if not found:
        raise UnusableInput(f"{path} is a database, but no games base", "Name another file with --base.")
    if found[0][0] != str(VERSION):
        raise UnusableInput(
            f"the games base {path} is of version {found[0][0]}, this program reads version {VERSION}",
            "Move the file away and add the games again.",
        )
    return True


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
        con.execute(POSITIONS.format(name="positions"))
        con.execute("INSERT INTO meta VALUES ('version', ?), ('runs', '0')", [str(VERSION)])


def log_of(path: Path) -> Path:
    """DuckDB's write-ahead log beside the base: what is committed and not yet in the file itself."""
    return path.with_name(path.name + ".wal")


def make(path: Path) -> None:
    """Make an empty base, so that a stop at any moment leaves either none or a sound one.

    It is made in a folder of its own beside ``path`` and then put there; one that another process has put
    there meanwhile is kept.

    :raises UnusableInput: where it can't be written.
    """
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        with TemporaryDirectory(dir=path.parent, prefix=".new-base-") as folder:
            fresh = Path(folder) / path.name
            with duckdb.connect(fresh) as con:
                create(con)
            with suppress(FileExistsError):
                if not path.exists():  # a log without its base is of no use, and would spoil the new one
                    log_of(path).unlink(missing_ok=True)
                os.link(fresh, path)
    except (OSError, duckdb.Error) as error:
        reason = error.strerror if isinstance(error, OSError) else str(error).splitlines()[0]
        raise UnusableInput(
            f"no games base can be made at {path}: {reason}", "Make room, allow writing there, or name --base."
        ) from None
