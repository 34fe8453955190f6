"""The position index as it is stored: entries (key, game, move) packed onto shelves, and taken off again.

A shelf holds the positions whose keys share the upper 16 bits. Most positions of a base occur in one game
only; such a *lone* entry is kept as 16 more bits of its key and the game's number in as few bits as the
largest number needs; its move and the rest of the key are found by replaying the game. *Shared* positions
are kept by whole key and move with the games' numbers after it. A shelf's two byte strings, all numbers
little-endian:

========  =============================================================================================
lone      u32 entries · u8 bits per game · u16 key bits of each, ascending · games, that many bits each
shared    u32 groups · u8 bytes per game · u64 key of each group, ascending · u16 its move ·
          u32 its games' number · games, that many bytes each
========  =============================================================================================

In the table ``shelves`` a string may be cut into pieces: it is what all rows of its run and shelf hold, joined in
their order.
"""

from __future__ import annotations

from collections.abc import Iterable
from itertools import groupby
from operator import itemgetter
from struct import Struct
from typing import Any, Final

import numpy as np
import numpy.typing as npt

U16 = npt.NDArray[np.uint16]
U32 = npt.NDArray[np.uint32]
U64 = npt.NDArray[np.uint64]

#: Shelves: the upper 16 bits of a key.
SHELVES: Final = 1 << 16
SHELF_SHIFT: Final = 48

#: The next 16 bits, kept of a lone entry's key.
SHORT_SHIFT: Final = 32

#: A string's first five bytes.
HEADS: Final = Struct("<IB")
HEAD: Final = HEADS.size


def shelf_of(key: int) -> int:
    """The shelf that a key's entries are on."""
    return key >> SHELF_SHIFT


def joined(rows: Iterable[tuple[int, bytes, bytes]]) -> list[tuple[bytes, bytes]]:
    """The two strings of each run, from the rows (run, lone, shared) of one shelf in their order."""
    runs = [list(pieces) for _, pieces in groupby(rows, key=itemgetter(0))]
    return [(b"".join(row[1] for row in run), b"".join(row[2] for row in run)) for run in runs]


def shared_groups(shared: Any, key: int) -> list[tuple[int, int]]:
    """The groups of a key: each move with the number of its games."""
    found = _groups(shared, key)
    if found is None:
        return []
    first, last, _, moves, counts, _ = found
    return list(zip(moves[first:last].tolist(), counts[first:last].tolist(), strict=True))


def shared_entries(shared: Any, key: int) -> tuple[U32, U16]:
    """The games and moves of a key's groups, shape (entries,) each."""
    found = _groups(shared, key)
    if found is None:
        return np.empty(0, dtype=np.uint32), np.empty(0, dtype=np.uint16)
    first, last, width, moves, counts, games_at = found
    before, size = int(counts[:first].sum()), int(counts[first:last].sum())
    games = _wide(np.frombuffer(shared, np.uint8, size * width, games_at + before * width), width)
    return games, np.repeat(moves[first:last], counts[first:last])


def _groups(shared: Any, key: int) -> tuple[int, int, int, U16, U32, int] | None:
    """First group of a key and one past its last, bytes per game, moves, counts, offset of the games."""
    if len(shared) < HEAD:
        return None
    size, width = HEADS.unpack_from(shared)
    keys = np.frombuffer(shared, "<u8", size, HEAD)
    wanted = np.uint64(key)
    first, last = int(keys.searchsorted(wanted, "left")), int(keys.searchsorted(wanted, "right"))
    if first == last:
        return None
    moves = np.frombuffer(shared, "<u2", size, HEAD + 8 * size)
    counts = np.frombuffer(shared, "<u4", size, HEAD + 10 * size)
    return first, last, width, moves, counts, HEAD + 14 * size


def _wide(packed: npt.NDArray[np.uint8], width: int) -> U32:
    """Numbers of 3 or 4 bytes as 32-bit numbers."""
    if width == 4:
        return packed.view("<u4")
    wide = np.zeros((len(packed) // width, 4), dtype=np.uint8)
    wide[:, :width] = packed.reshape(-1, width)
    return wide.view("<u4").reshape(-1)


def lone_games(lone: Any, key: int) -> list[int]:
    """Games that may have a lone entry for the key: its next 16 bits agree, a replay must settle the rest."""
    if len(lone) < HEAD:
        return []
    size, bits = HEADS.unpack_from(lone)
    shorts = np.frombuffer(lone, "<u2", size, HEAD)
    wanted = np.uint16(key >> SHORT_SHIFT & 0xFFFF)
    at = int(shorts.searchsorted(wanted, "left"))
    found = []
    while at < size and shorts[at] == wanted:
        first = at * bits
        start = HEAD + 2 * size + (first >> 3)
        number = int.from_bytes(memoryview(lone)[start : start + 5], "little") >> (first & 7)
        found.append(number & ((1 << bits) - 1))
        at += 1
    return found
