"""Packing sorted entries onto shelves: the writing half of :mod:`linewright.games.index.index_layout`."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, Final

import numpy as np
import numpy.typing as npt

from linewright.games.index.arrays import I64, U16, U32, U64
from linewright.games.index.index_layout import HEADS, SHELF_SHIFT, SHORT_SHIFT
from linewright.games.index.sorting import stable_order

#: Bytes of a string in one row at most: DuckDB gives those from 4096 blocks of their own, which stay mostly empty
#: (measured: 14 MB for 170 such strings).
PIECE: Final = 4000


@dataclass(frozen=True, slots=True)
class Shelved:
    """Rows of the table ``shelves``, shape (rows,) each: the strings in pieces."""

    shelf: list[int]
    lone: list[bytes]
    shared: list[bytes]

    def __len__(self) -> int:
        return len(self.shelf)


def pack(keys: U64, games: U32, moves: U16, low: int, high: int, largest: int) -> Shelved:
    """Pack entries onto their shelves.

    :param keys: ascending, the upper 16 bits in ``low`` to ``high - 1``; so ``games`` and ``moves``, each
        (key, game, move) once.
    :param largest: the largest game number that the base may hold with this run.
    :returns: the shelves that hold anything.
    """
    begins = np.ones(len(keys) + 1, dtype=np.bool_)
    np.not_equal(keys[1:], keys[:-1], out=begins[1:-1])
    alone = begins[1:] & begins[:-1]
    lone = np.flatnonzero(alone)
    shared = np.flatnonzero(~alone)
    bits, width = max(int(largest).bit_length(), 1), 3 if largest < 1 << 24 else 4
    found = Shelved([], [], [])
    for shelf, texts in enumerate(
        zip(
            _lone_strings(keys[lone], games[lone], low, high, bits),
            _shared_strings(keys[shared], games[shared], moves[shared], low, high, width),
            strict=True,
        ),
        start=low,
    ):
        for at in range(0, max(map(len, texts)), PIECE):
            found.shelf.append(shelf)
            found.lone.append(texts[0][at : at + PIECE])
            found.shared.append(texts[1][at : at + PIECE])
    return found


def _shelf_bounds(keys: U64, low: int, high: int) -> I64:
    """The place of each shelf's first key, and the end, shape (high - low + 1,)."""
    firsts = np.arange(low, high).astype(np.uint64) << np.uint64(SHELF_SHIFT)
    return np.append(keys.searchsorted(firsts), len(keys)).astype(np.int64)


def _lone_strings(keys: U64, games: U32, low: int, high: int, bits: int) -> Iterator[bytes]:
    """Each shelf's string of lone entries, empty where it has none."""
    bounds = _shelf_bounds(keys, low, high)
    shorts = _bytes(keys >> np.uint64(SHORT_SHIFT), 2)
    blocks, packed = _in_bits(games, bounds, bits)
    starts, firsts = bounds.tolist(), (blocks * bits).tolist()
    for start, end, first in zip(starts, starts[1:], firsts, strict=False):
        count = end - start
        if not count:
            yield b""
            continue
        yield b"".join(
            (HEADS.pack(count, bits), shorts[2 * start : 2 * end], packed[first : first + (count * bits + 7) // 8])
        )


def _in_bits(numbers: U32, bounds: I64, bits: int) -> tuple[I64, bytes]:
    """Numbers in so many bits each, in blocks of eight, which fill whole bytes; each shelf begins a block.

    :returns: each shelf's first block, and the blocks, ``bits`` bytes each.
    """
    counts = np.diff(bounds)
    blocks = np.concatenate([[0], np.cumsum(-(-counts // 8))]).astype(np.int64)
    eights = np.zeros((int(blocks[-1]), 8), dtype=np.uint64)
    eights.reshape(-1)[np.arange(len(numbers)) + np.repeat(8 * blocks[:-1] - bounds[:-1], counts)] = numbers
    columns = np.ascontiguousarray(eights.T)
    out = np.zeros((len(eights), bits), dtype=np.uint8)
    for place, column in enumerate(columns):
        first = place * bits
        for byte in range(first >> 3, (first + bits + 7) >> 3):
            shift = 8 * byte - first
            part = column >> np.uint64(shift) if shift >= 0 else column << np.uint64(-shift)
            out[:, byte] |= part.astype(np.uint8)
    return blocks, out.tobytes()


def _shared_strings(keys: U64, games: U32, moves: U16, low: int, high: int, width: int) -> Iterator[bytes]:
    """Each shelf's string of shared entries, empty where it has none."""
    firsts, sizes, order = _groups(keys, moves)
    bounds = _shelf_bounds(keys[firsts], low, high)
    starts, held = bounds.tolist(), np.concatenate([[0], np.cumsum(sizes)])[bounds].tolist()
    texts = (
        (8, _bytes(keys[firsts], 8)),
        (2, _bytes(moves[firsts], 2)),
        (4, _bytes(sizes, 4)),
    )
    numbers = _bytes(games[order], width)
    for start, end, first, last in zip(starts, starts[1:], held, held[1:], strict=False):
        if start == end:
            yield b""
            continue
        parts = [text[size * start : size * end] for size, text in texts]
        yield b"".join((HEADS.pack(end - start, width), *parts, numbers[width * first : width * last]))


def _groups(keys: U64, moves: U16) -> tuple[I64, I64, I64]:
    """The groups of entries of a key and move, those of a key in the order in which they begin.

    :returns: each group's first entry, its size, and the order of the entries by group.
    """
    if not len(keys):
        nothing = np.empty(0, dtype=np.int64)
        return nothing, nothing, nothing
    key = np.cumsum(np.concatenate([[False], keys[1:] != keys[:-1]])).astype(np.uint64)
    by_move = stable_order(key << np.uint64(16) | moves)
    ordered, sorted_keys = moves[by_move], key[by_move]
    begins = np.ones(len(keys), dtype=np.bool_)
    begins[1:] = (ordered[1:] != ordered[:-1]) | (sorted_keys[1:] != sorted_keys[:-1])
    starts = np.flatnonzero(begins)
    sizes = np.diff(np.append(starts, len(keys)))
    firsts = by_move[starts]
    turn = np.argsort(firsts)
    sizes = sizes[turn]
    shift = starts[turn] - (np.cumsum(sizes) - sizes)
    return firsts[turn], sizes, by_move[np.arange(len(keys)) + np.repeat(shift, sizes)]


def _bytes(numbers: npt.NDArray[Any], size: int) -> bytes:
    """The lower bytes of numbers, little-endian."""
    wide = numbers.astype("<u8").view(np.uint8).reshape(-1, 8)
    return wide[:, :size].tobytes()
