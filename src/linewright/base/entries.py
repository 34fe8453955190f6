"""Which games went through a position, and what was played there: the one way to ask the position index."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Final

import duckdb
import numpy as np
import numpy.typing as npt
import pyarrow as pa

U16 = npt.NDArray[np.uint16]
U32 = npt.NDArray[np.uint32]

_ENTRIES: Final = "SELECT game, move FROM positions WHERE key = ?"


def entries_at(con: duckdb.DuckDBPyConnection, key: int) -> tuple[U32, U16]:
    """The position's entries: a game that repeats it is there once for each different move, in no order.

    :param key: as :func:`linewright.base.keys.position_key` gives it.
    :returns: game numbers and the packed moves played (``NO_MOVE`` where the game ended), shape (entries,).
    """
    found = con.execute(_ENTRIES, [key]).fetchnumpy()
    return found["game"], found["move"]


@contextmanager
def game_set(con: duckdb.DuckDBPyConnection, games: U32) -> Iterator[None]:
    """Inside, SQL may ask ``... IN (SELECT id FROM through)`` for these games (six times as fast as a parameter)."""
    con.register("through", pa.table({"id": games}))
    try:
        yield
    finally:
        con.unregister("through")
