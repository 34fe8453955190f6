"""A base in parts: the tables of :mod:`linewright.games.index.schema` as sorted Parquet files, asked in place.

=========================  ====================================================================================
``base.json``              version, files, sources, counts; written last, so that without it there is no base
``games/*.parquet``        ``games`` by number
``positions/*.parquet``    ``shelves`` by key: each file holds a range of shelves, each shelf a range of keys
``sightings.parquet``      as in the schema, so ``spellings.parquet``
=========================  ====================================================================================

Asked through the same code as a base in one file, it gives the same answers.
"""

from __future__ import annotations

import os
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

import duckdb

from linewright.games.index import schema
from linewright.games.parquet.storage import Storage
from linewright.support.errors import UnusableInput

MANIFEST: Final = "base.json"
SIGHTINGS, SPELLINGS = "sightings.parquet", "spellings.parquet"


@dataclass(frozen=True, slots=True)
class Manifest:
    """What a base in parts consists of.

    :param games: how many games; ``positions``: different ones; ``size``: bytes of all files.
    :param game_files: names of the files in their order; so ``position_files``.
    :param sources: number, name and games of each.
    """

    games: int
    positions: int
    size: int
    game_files: tuple[str, ...]
    position_files: tuple[str, ...]
    sources: tuple[tuple[int, str, int], ...]


def is_in_parts(path: Path) -> bool:
    """Whether the path names a base in parts (a folder or a URL) rather than a single file."""
    # Not Path.is_dir, which raises for a folder that can't be looked into: opening the file says that better.
    return Storage.at(path).protocol is not None or os.path.isdir(path)  # noqa: PTH112


def write_manifest(storage: Storage, manifest: Manifest) -> None:
    """Make the files a base."""
    fields = {name: getattr(manifest, name) for name in manifest.__slots__}
    storage.write_json(MANIFEST, {"version": schema.VERSION, **fields})


def read_manifest(path: Path) -> Manifest:
    """
    :raises UnusableInput: where there is no base in parts, or one of another version.
    """
    storage = Storage.at(path)
    try:
        kept: dict[str, Any] = storage.read_json(MANIFEST)
    except FileNotFoundError:
        raise UnusableInput(
            f"there is no games base at {path}", f"Make one: linewright base add --on local --base {path} GAMES.pgn"
        ) from None
    except (OSError, ValueError, ImportError) as error:
        raise UnusableInput(
            f"the games base {path} can't be read: {error}", "Check the place and your rights."
        ) from None
    if kept.pop("version", None) != schema.VERSION:
        raise UnusableInput(f"the games base {path} is of another version", "Make it again from its games.")
    sources = tuple((number, name, games) for number, name, games in kept.pop("sources"))
    games, positions = tuple(kept.pop("game_files")), tuple(kept.pop("position_files"))
    return Manifest(**kept, game_files=games, position_files=positions, sources=sources)


def connect(path: Path) -> tuple[duckdb.DuckDBPyConnection, Manifest]:
    """Open a base in parts for queries: its files as the schema's tables.

    :raises UnusableInput: where there is none.
    """
    manifest = read_manifest(path)
    con = in_place(Storage.at(path), manifest.game_files, manifest.position_files)
    con.executemany("INSERT INTO sources VALUES (?, ?, ?)", [list(source) for source in manifest.sources])
    for table, name in (("sightings", SIGHTINGS), ("spellings", SPELLINGS)):
        con.execute(f"INSERT INTO {table} SELECT * FROM read_parquet(?)", [Storage.at(path).path(name)])
    if manifest.games:
        con.execute("INSERT INTO runs VALUES (0, 0, ?, ?)", [manifest.games - 1, manifest.positions])
    return con, manifest


def in_place(
    storage: Storage, game_files: tuple[str, ...], position_files: tuple[str, ...]
) -> duckdb.DuckDBPyConnection:
    """The schema's tables, with ``games`` and ``shelves`` read from the files (none: empty)."""
    con = schema.opened(":memory:", schema.MEMORY)
    if storage.protocol is not None:
        con.register_filesystem(storage.files)
    schema.create(con)
    for table, names in (("games", game_files), ("shelves", position_files)):
        if names:
            files = ", ".join("'{}'".format(storage.path(name).replace("'", "''")) for name in names)
            con.execute(f"DROP TABLE {table}")
            con.execute(f"CREATE VIEW {table} AS SELECT * FROM read_parquet([{files}])")
    return con
