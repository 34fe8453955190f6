"""Sorting the entries of the position index."""

from __future__ import annotations

import numpy as np

from linewright.games.index.arrays import I64, U16, U32, U64, Bools


def sort_entries(keys: U64, games: U32, moves: U16) -> tuple[U64, U32, U16]:
    """Entries ordered by key, then as they came, each (key, game, move) once.

    The entries of one game must stand together.
    """
    order = stable_order(keys)
    keys, games, moves = keys.take(order), games.take(order), moves.take(order)
    again = _repeats(keys, games, moves)
    if again.any():
        kept = ~again
        return keys[kept], games[kept], moves[kept]
    return keys, games, moves


def stable_order(keys: U64) -> I64:
    """The order of numbers by size, equal ones as they came.

    NumPy sorts plain numbers several times as fast as it finds an order: so the lower bits, which hardly ever decide,
    give way to the places, and what they do decide is put right at the end.
    """
    bits = np.uint64(max(len(keys) - 1, 1).bit_length())
    spread = _spread(keys)
    upper = keys << spread >> bits << bits
    placed = np.sort(upper | np.arange(len(keys), dtype=np.uint64))
    mask = (np.uint64(1) << bits) - np.uint64(1)
    order = (placed & mask).astype(np.int64)
    placed >>= bits
    ties = np.flatnonzero(placed[1:] == placed[:-1])
    ties = ties[keys[order[ties]] != keys[order[ties + 1]]]
    # Two different numbers with the same upper bits: chance brings a few among millions of keys.
    for at in ties.tolist():
        first, last = _tied(placed, at)
        order[first:last] = order[first:last][np.argsort(keys[order[first:last]], kind="stable")]
    return order


def _spread(keys: U64) -> np.uint64:
    """Upper bits that all the keys have in common, which need no sorting."""
    if not len(keys):
        return np.uint64(0)
    different = int(np.bitwise_or.reduce(keys ^ keys[0]))
    return np.uint64(min(64 - different.bit_length(), 63))


def _tied(placed: U64, at: int) -> tuple[int, int]:
    """The stretch of equal values around a place."""
    return int(placed.searchsorted(placed[at], "left")), int(placed.searchsorted(placed[at], "right"))


def _repeats(keys: U64, games: U32, moves: U16) -> Bools:
    """Which entries have stood before: a game that repeats a position and goes on alike."""
    again = np.zeros(len(keys), dtype=np.bool_)
    same = (keys[1:] == keys[:-1]) & (games[1:] == games[:-1])
    places = np.flatnonzero(same)
    if not len(places):
        return again
    # Places of entries that stand with one of the same key and game, and the number of their stretch.
    inside = np.union1d(places, places + 1)
    stretch = np.cumsum(np.concatenate([[True], ~same[inside[1:] - 1]]))
    firsts = np.unique(stretch << 16 | moves[inside], return_index=True)[1]
    again[inside] = True
    again[inside[firsts]] = False
    return again
