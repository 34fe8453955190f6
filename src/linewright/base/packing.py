"""Packing sorted entries onto shelves: the writing half of :mod:`linewright.base.shelves`, compiled."""

from __future__ import annotations

from typing import Any, Final

import numpy as np
import numpy.typing as npt
import pyarrow as pa

from linewright.base.kernels import I64, U8, U16, U32, U64, jit
from linewright.base.shelves import HEAD

I32 = npt.NDArray[np.int32]

#: Bytes of a shared group beside its games: key, move, count.
_GROUP: Final = 14

#: Bytes of a string in one row at most: DuckDB gives those from 4096 blocks of their own, which stay mostly empty
#: (measured: 14 MB for 170 such strings).
PIECE: Final = 4000

#: Packed moves are below this (promotion piece 5 << 12, and the squares).
_MOVES: Final = 6 << 12


@jit
def _measure(keys: U64, moves: U16, low: int, lone: I64, groups: I64, shared: I64) -> None:
    """Count each shelf's lone entries, groups and shared entries.

    :param keys: ascending; those of one key stand together, so ``moves``.
    :param low: shelf of the counts' first place.
    """
    seen = np.full(_MOVES, -1, dtype=np.int64)
    at = 0
    while at < len(keys):
        end = at + 1
        while end < len(keys) and keys[end] == keys[at]:
            end += 1
        shelf = np.int64(keys[at] >> np.uint64(48)) - low
        if end - at == 1:
            lone[shelf] += 1
        else:
            shared[shelf] += end - at
            for i in range(at, end):
                if seen[moves[i]] != at:
                    seen[moves[i]] = at
                    groups[shelf] += 1
        at = end


@jit
def _put(out: U8, at: Any, number: Any, size: int) -> None:
    for byte in range(size):
        out[at + byte] = number >> (8 * byte) & 255


@jit
def _fill(
    keys: U64,
    games: U32,
    moves: U16,
    low: int,
    lone: I64,
    groups: I64,
    bits: int,
    width: int,
    lone_at: I64,
    shared_at: I64,
    lone_out: U8,
    shared_out: U8,
) -> None:
    """Write the shelves; ``lone_at`` and ``shared_at`` give where each starts, ``lone_out`` is all zero."""
    place = np.full(_MOVES, -1, dtype=np.int64)
    counts = np.zeros(_MOVES, dtype=np.int64)
    order = np.empty(_MOVES, dtype=np.int64)
    current = -1
    lone_done, groups_done, games_done = 0, 0, 0
    at = 0
    while at < len(keys):
        end = at + 1
        while end < len(keys) and keys[end] == keys[at]:
            end += 1
        shelf = int(np.int64(keys[at] >> np.uint64(48))) - low
        if shelf != current:
            current = shelf
            lone_done, groups_done, games_done = 0, 0, 0
            if lone[shelf] > 0:
                _put(lone_out, lone_at[shelf], int(lone[shelf]), 4)
                lone_out[lone_at[shelf] + 4] = bits
            if groups[shelf] > 0:
                _put(shared_out, shared_at[shelf], groups[shelf], 4)
                shared_out[shared_at[shelf] + 4] = width
        if end - at == 1:
            start = lone_at[shelf] + HEAD
            short = np.int64(keys[at] >> np.uint64(32)) & 65535
            _put(lone_out, start + 2 * lone_done, short, 2)
            first = lone_done * bits
            byte = start + 2 * lone[shelf] + (first >> 3)
            rest = np.int64(games[at]) << (first & 7)
            while rest > 0:
                lone_out[byte] |= rest & 255
                rest >>= 8
                byte += 1
            lone_done += 1
        else:
            start = shared_at[shelf] + HEAD
            size = groups[shelf]
            found = 0
            for i in range(at, end):
                if counts[moves[i]] == 0:
                    order[found] = moves[i]
                    found += 1
                counts[moves[i]] += 1
            for number in range(found):
                group = groups_done + number
                move = order[number]
                for byte in range(8):
                    shared_out[start + 8 * group + byte] = keys[at] >> np.uint64(8 * byte) & np.uint64(255)
                _put(shared_out, start + 8 * size + 2 * group, move, 2)
                _put(shared_out, start + 10 * size + 4 * group, counts[move], 4)
                place[move] = games_done
                games_done += counts[move]
                counts[move] = 0
            for i in range(at, end):
                _put(shared_out, start + 14 * size + width * place[moves[i]], np.int64(games[i]), width)
                place[moves[i]] += 1
            groups_done += found
        at = end


def pack(keys: U64, games: U32, moves: U16, low: int, high: int, largest: int) -> pa.Table:
    """Pack entries onto their shelves.

    :param keys: ascending, the upper 16 bits in ``low`` to ``high - 1``; so ``games`` and ``moves``, each
        (key, game, move) once.
    :param largest: the largest game number that the base may hold with this run.
    :returns: the shelves that hold anything: ``shelf``, ``lone``, ``shared``, the strings in pieces.
    """
    lone, groups, shared = (np.zeros(high - low, dtype=np.int64) for _ in range(3))
    _measure(keys, moves, low, lone, groups, shared)
    bits = max(int(largest).bit_length(), 1)
    width = 3 if largest < 1 << 24 else 4
    lone_at = _starts(np.where(lone > 0, HEAD + 2 * lone + (lone * bits + 7) // 8, 0))
    shared_at = _starts(np.where(groups > 0, HEAD + _GROUP * groups + width * shared, 0))
    lone_out = np.zeros(int(lone_at[-1]), dtype=np.uint8)
    shared_out = np.empty(int(shared_at[-1]), dtype=np.uint8)
    _fill(keys, games, moves, low, lone, groups, bits, width, lone_at, shared_at, lone_out, shared_out)
    held = np.flatnonzero((lone > 0) | (groups > 0))
    pieces = np.maximum(np.maximum(_pieces(lone_at), _pieces(shared_at))[held], 1)
    shelf = np.repeat(held, pieces)
    number = np.arange(len(shelf)) - np.repeat(np.cumsum(pieces) - pieces, pieces)
    return pa.table(
        {
            "shelf": (low + shelf).astype(np.uint16),
            "lone": _cut(lone_out, lone_at, shelf, number),
            "shared": _cut(shared_out, shared_at, shelf, number),
        }
    )


def _starts(sizes: I64) -> I64:
    return np.concatenate([[0], np.cumsum(sizes)]).astype(np.int64)


def _pieces(bounds: I64) -> I64:
    """Pieces that each string between the bounds is cut into."""
    return -(-np.diff(bounds) // PIECE)


def _cut(data: U8, bounds: I64, shelf: I64, number: I64) -> pa.Array:
    """The strings in pieces: the ``number``-th of the string of each ``shelf``, empty behind its last."""
    starts = np.minimum(bounds[shelf] + PIECE * number, bounds[shelf + 1])
    offsets = pa.py_buffer(np.append(starts, bounds[-1]).astype(np.int64))
    return pa.LargeBinaryArray.from_buffers(pa.large_binary(), len(shelf), [None, offsets, pa.py_buffer(data)])
