"""Which games went through a position, and what was played there: the one way to ask the position index."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from typing import Any, Final

import duckdb
import numpy as np

from linewright.games.index.arrays import U16, U32
from linewright.games.index.index_layout import joined, lone_games, shared_entries, shelf_of
from linewright.games.index.one_game import move_played_at

_SHELF: Final = "SELECT run, lone, shared FROM shelves WHERE shelf = ?"


def entries_at(con: duckdb.DuckDBPyConnection, key: int) -> tuple[U32, U16]:
    """The position's entries: a game that repeats it is there once for each different move, in no order.

    :param key: as :func:`linewright.games.index.position_keys.position_key` gives it.
    :returns: game numbers and the packed moves played (``NO_MOVE`` where the game ended), shape (entries,).
    """
    shelves = joined(con.execute(_SHELF, [shelf_of(key)]).fetchall())
    parts = [shared_entries(shared, key) for _, shared in shelves]
    candidates = [game for lone, _ in shelves for game in lone_games(lone, key)]
    if candidates:
        played = [
            (game, move)
            for game, moves in moves_of(con, candidates)
            if (move := move_played_at(moves, key)) is not None
        ]
        parts.append(
            (
                np.array([game for game, _ in played], dtype=np.uint32),
                np.array([move for _, move in played], dtype=np.uint16),
            )
        )
    if len(parts) == 1:
        return parts[0]
    if not parts:
        return np.empty(0, dtype=np.uint32), np.empty(0, dtype=np.uint16)
    return np.concatenate([games for games, _ in parts]), np.concatenate([moves for _, moves in parts])


def moves_of(con: duckdb.DuckDBPyConnection, games: Iterable[int]) -> list[tuple[int, list[int]]]:
    """Number and packed moves of each of a few games."""
    numbers = ", ".join(map(str, games))
    found = con.execute(f"SELECT id, moves FROM games WHERE id IN ({numbers})").fetchall()
    return [(game, moves_list(moves)) for game, moves in found]


def moves_list(moves: bytes) -> list[int]:
    """A game's packed moves, from the column ``games.moves``."""
    numbers: list[int] = np.frombuffer(moves, dtype="<u2").tolist()
    return numbers


def in_pieces(
    con: duckdb.DuckDBPyConnection, query: str, values: Sequence[Any] = (), size: int = 1 << 15
) -> Iterator[tuple[tuple[Any, ...], ...]]:
    """The rows of a query in pieces of some ``size``, each as its columns."""
    con.execute(query, list(values))
    while rows := con.fetchmany(size):
        yield tuple(zip(*rows, strict=True))


@contextmanager
def game_set(con: duckdb.DuckDBPyConnection, games: U32) -> Iterator[None]:
    """Inside, SQL may ask ``... IN (SELECT id FROM through)`` for these games (six times as fast as a parameter)."""
    con.register("through", {"id": games})
    try:
        yield
    finally:
        con.unregister("through")
