"""Playing stored games through in search of a pattern, compiled, on all cores."""

from __future__ import annotations

import os
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from typing import Final

import chess
import numpy as np
import numpy.typing as npt

from linewright.base.kernels import jit
from linewright.base.patterns import Pattern
from linewright.base.rows import PackedGames
from linewright.base.tracing import START, step

U8 = npt.NDArray[np.uint8]
U16 = npt.NDArray[np.uint16]
U32 = npt.NDArray[np.uint32]
U64 = npt.NDArray[np.uint64]
I32 = npt.NDArray[np.int32]
I64 = npt.NDArray[np.int64]


def _tables() -> tuple[U64, U64, U64, U64]:
    """Files beside a file (8,); squares ahead of a square, by side (2, 64), on all files; the same on its own and
    the neighbouring files; squares that a pawn attacks, by side (2, 64)."""
    beside = [sum(chess.BB_FILES[f] for f in (file - 1, file + 1) if 0 <= f <= 7) for file in range(8)]
    ahead = np.zeros((2, 64), dtype=np.uint64)
    span = np.zeros((2, 64), dtype=np.uint64)
    attacks = np.zeros((2, 64), dtype=np.uint64)
    for square in range(64):
        file, rank = square & 7, square >> 3
        for side, ranks in ((0, range(rank + 1, 8)), (1, range(rank))):
            mask = sum(chess.BB_RANKS[r] for r in ranks)
            ahead[side, square] = mask
            span[side, square] = mask & (chess.BB_FILES[file] | beside[file])
            attacks[side, square] = chess.BB_PAWN_ATTACKS[chess.WHITE if side == 0 else chess.BLACK][square]
    return np.array(beside, dtype=np.uint64), ahead, span, attacks


#: Baked into the compiled code: handing them from call to call would cost more than the tests themselves.
BESIDE, AHEAD, SPAN, ATTACKS = _tables()
FILES: Final = np.array(chess.BB_FILES, dtype=np.uint64)

#: Usual values of the pieces (:class:`linewright.board.material.Material`).
POINTS: Final = np.array([1, 3, 3, 5, 9, 0], dtype=np.int64)

#: Games that one thread takes at a time.
_STRETCH: Final = 1 << 12


@jit
def _bits(mask: np.uint64) -> int:
    count = 0
    while mask != 0:
        mask &= mask - np.uint64(1)
        count += 1
    return count


@jit
def _lowest(mask: np.uint64) -> int:
    """The lowest square of a set that isn't empty."""
    square = 0
    while mask & np.uint64(0xFF) == 0:
        mask >>= np.uint64(8)
        square += 8
    while mask & np.uint64(1) == 0:
        mask >>= np.uint64(1)
        square += 1
    return square


@jit
def _turned(mask: np.uint64) -> np.uint64:
    """A set seen from the other side of the board."""
    found = np.uint64(0)
    for _ in range(8):
        found = found << np.uint64(8) | (mask & np.uint64(0xFF))
        mask >>= np.uint64(8)
    return found


@jit
def _trait(op: int, own: np.uint64, enemy: np.uint64, side: int, mask: np.uint64) -> bool:
    """Is there a pawn in the mask that is isolated (1), passed (3) or backward (4), as linewright.board.pawns says?"""
    rest = own & mask
    while rest != 0:
        square = _lowest(rest)
        rest &= rest - np.uint64(1)
        neighbours = own & BESIDE[square & 7]
        if op == 1 and neighbours == 0:
            return True
        if op == 3 and enemy & SPAN[side, square] == 0:
            return True
        if (
            op == 4
            and neighbours != 0
            and neighbours & ~AHEAD[side, square] == 0
            and own & FILES[square & 7] & AHEAD[side, square] == 0
        ):
            stop = square + 8 if side == 0 else square - 8
            if ATTACKS[side, stop] & enemy != 0:
                return True
    return False


@jit
def _doubled(own: np.uint64, mask: np.uint64) -> bool:
    for file in range(8):
        stack = own & FILES[file]
        if stack & mask != 0 and stack & (stack - np.uint64(1)) != 0:
            return True
    return False


@jit
def _hanging(own: np.uint64, enemy: np.uint64, side: int) -> bool:
    """As linewright.board.pawns.hanging_pawns."""
    pair = np.uint64(0x0C000000) if side == 0 else np.uint64(0x0C00000000)
    middle = FILES[2] | FILES[3]
    return bool(own & (middle | FILES[1] | FILES[4]) == pair and enemy & middle == 0)


_LIGHT: Final = chess.BB_LIGHT_SQUARES


@jit
def _holds(pieces: U64, op: int, side: int, kind: int, mask: np.uint64, low: int, high: int) -> bool:
    """Whether a condition holds; ``pieces`` are sets by colour (2) and kind less one (6)."""
    other = 1 - side
    light = np.uint64(_LIGHT)
    if op == 0:
        return bool(mask & ~pieces[side, kind - 1] == 0)
    if op == 1 or op == 3 or op == 4:
        return _trait(op, pieces[side, 0], pieces[other, 0], side, mask)
    if op == 2:
        return _doubled(pieces[side, 0], mask)
    if op == 5:
        return _hanging(pieces[side, 0], pieces[other, 0], side)
    if op == 6:
        return low <= _bits(pieces[side, kind - 1] & mask) <= high
    if op == 7:
        if kind == 0:  # bishops and knights together
            more = _bits(pieces[side, 1] | pieces[side, 2]) - _bits(pieces[other, 1] | pieces[other, 2])
        else:
            more = _bits(pieces[side, kind - 1] & mask) - _bits(pieces[other, kind - 1] & mask)
        return low <= more <= high
    if op == 8 or op == 9:
        one, another = pieces[0, 2], pieces[1, 2]
        if _bits(one) != 1 or _bits(another) != 1:
            return False
        return bool(((one & light == 0) != (another & light == 0)) == (op == 8))
    if op == 10:
        return bool(pieces[side, 2] & light != 0 and pieces[side, 2] & ~light != 0)
    total = 0
    for piece in range(1, 5):
        total += _bits(pieces[side, piece]) * (3 if piece <= 2 else 5 if piece == 3 else 9)
    return low <= total <= high


@jit
def _all_hold(pieces: U64, program: I64, masks: U64, view: int) -> bool:
    """Whether all conditions hold, seen from White's side (0) or Black's (1)."""
    for at in range(len(program)):
        op, whose, kind = program[at, 0], program[at, 1], program[at, 2]
        low, high, upright = program[at, 3], program[at, 4], program[at, 5]
        side = view if whose == 0 else 1 - view if whose == 1 else whose - 2
        mask = _turned(masks[at]) if upright == 1 and side == 1 else masks[at]
        if not _holds(pieces, op, side, kind, mask, low, high):
            return False
    return True


@jit
def _place(board: U8, pieces: U64) -> None:
    """Set the pieces by colour and kind from the squares."""
    pieces[:] = 0
    for square in range(64):
        if board[square] > 0:
            pieces[(board[square] - 1) // 6, (board[square] - 1) % 6] |= np.uint64(1) << np.uint64(square)


@jit
def _scan(
    start: U8,
    moves: U16,
    bounds: I64,
    games: U32,
    begins: I32,
    program: I64,
    masks: U64,
    first: int,
    last: int,
    least: int,
    either: bool,
    plies: I32,
    stood: I32,
    sides: U8,
) -> None:
    """For each game where the pattern first holds ``least`` positions in a row, for how many in all, and for whom."""
    board = np.empty(64, dtype=np.uint8)
    pieces = np.zeros((2, 6), dtype=np.uint64)
    one = np.uint64(1)
    run = np.zeros(2, dtype=np.int64)
    total = np.zeros(2, dtype=np.int64)
    found = np.zeros(2, dtype=np.int64)
    for number in range(len(games)):
        begin, end = bounds[games[number]], bounds[games[number] + 1]
        board[:] = start
        run[:] = 0
        total[:] = 0
        found[:] = -1
        _place(board, pieces)
        for move in range(begin, end + 1):
            done = move - begin
            if done > last:
                break
            if done >= first and done >= begins[number]:
                for view in range(2 if either else 1):
                    if _all_hold(pieces, program, masks, view):
                        run[view] += 1
                        total[view] += 1
                        if run[view] == least and found[view] < 0:
                            found[view] = done - least + 1
                    else:
                        run[view] = 0
            if move < end:
                packed = np.int64(moves[move])
                origin, target = packed & 63, packed >> 6 & 63
                piece = np.int64(board[origin]) - 1
                # Castling and taking in passing touch other squares of the origin's rank: those are set anew.
                special = (piece % 6 == 5 and abs(target - origin) == 2) or (
                    piece % 6 == 0 and board[target] == 0 and (target - origin) & 7 != 0
                )
                captured = np.int64(board[target])
                step(board, packed)
                if special or packed >> 12 > 0:
                    _place(board, pieces)
                else:
                    pieces[piece // 6, piece % 6] ^= one << np.uint64(origin) | one << np.uint64(target)
                    if captured > 0:
                        pieces[(captured - 1) // 6, (captured - 1) % 6] ^= one << np.uint64(target)
        view = 0
        if found[0] < 0 or (found[1] >= 0 and found[1] < found[0]):
            view = 1
        plies[number] = found[view]
        stood[number] = total[view]
        sides[number] = view


@dataclass(frozen=True, slots=True)
class Scan:
    """Where games show a pattern, shape (games,) each.

    :param plies: half-moves before the first position that shows it; -1: never.
    :param stood: positions that show it.
    :param black: it is Black's side that shows it (of a pattern that names no side).
    """

    plies: I32
    stood: I32
    black: npt.NDArray[np.bool_]


def scan(pattern: Pattern, games: U32, begins: I32, packed: PackedGames) -> Scan:
    """Look for a pattern in games.

    :param begins: half-moves from which on each game counts, shape (games,).
    """
    program = np.array(
        [(c.op, c.whose, c.kind, c.low, c.high, int(c.upright)) for c in pattern.conditions], dtype=np.int64
    )
    masks = np.array([condition.mask for condition in pattern.conditions], dtype=np.uint64)
    last = 1 << 30 if pattern.last is None else pattern.last
    plies, stood = np.zeros(len(games), np.int32), np.zeros(len(games), np.int32)
    sides = np.zeros(len(games), dtype=np.uint8)

    def stretch(at: int) -> None:
        part = slice(at, at + _STRETCH)
        _scan(
            START, packed.moves, packed.bounds, games[part], begins[part], program, masks, pattern.first, last,
            pattern.least, pattern.either, plies[part], stood[part], sides[part],
        )  # fmt: skip

    with ThreadPoolExecutor(max_workers=os.cpu_count() or 1) as pool:
        list(pool.map(stretch, range(0, len(games), _STRETCH)))
    return Scan(plies, stood, sides == 1)
