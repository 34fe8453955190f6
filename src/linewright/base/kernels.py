"""The adding job's inner loops, compiled by numba: keys by replay, and the sort by key."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeVar, cast

import numba
import numpy as np
import numpy.typing as npt

from linewright.base.keys import NO_MOVE, zobrist_tables
from linewright.base.replaying import LOST_RIGHTS, START

F = TypeVar("F", bound=Callable[..., Any])

U8 = npt.NDArray[np.uint8]
U16 = npt.NDArray[np.uint16]
U32 = npt.NDArray[np.uint32]
U64 = npt.NDArray[np.uint64]
I32 = npt.NDArray[np.int32]
I64 = npt.NDArray[np.int64]


def jit(function: F) -> F:
    """Compile a loop and keep the result on disk, so that a second start is quick.

    Where no folder for that can be written (neither beside the code nor in the user's cache), it is compiled
    anew in each process.
    """
    try:
        return cast(F, numba.njit(cache=True, nogil=True)(function))
    except RuntimeError:
        return cast(F, numba.njit(nogil=True)(function))


def _right_numbers(castling: U64) -> U64:
    """Key number of each of the 16 sets of castling rights."""
    sets = np.zeros(16, dtype=np.uint64)
    for rights in range(16):
        for bit in range(4):
            if rights >> bit & 1:
                sets[rights] ^= castling[bit]
    return sets


PIECES, _OTHERS = zobrist_tables()
RIGHTS = _right_numbers(_OTHERS[:4])
EN_PASSANT = _OTHERS[4:12].copy()
WHITE_TO_MOVE = _OTHERS[12:].copy()
TABLES = (
    PIECES,
    RIGHTS,
    EN_PASSANT,
    WHITE_TO_MOVE,
    np.array(START, dtype=np.uint8),
    np.array(LOST_RIGHTS, dtype=np.uint8),
)


@jit
def replay(
    tables: Any, moves: U16, bounds: I64, numbers: U32, low: int, high: int, keys: U64, games: U32, played: U16
) -> int:
    """Play legal games from the start position; write the entries of the positions in some of the shelves.

    :param tables: :data:`TABLES`.
    :param moves: packed (:func:`linewright.base.keys.unpack_move`), all games' in one array.
    :param bounds: where each game's moves start in it, and the end of the last, shape (games + 1,).
    :param numbers: the games' numbers, shape (games,).
    :param low: the first shelf wanted, by the key's upper 16 bits; ``high`` one past the last.
    :param keys: out, as ``games`` and ``played``: the positions of game after game, the last one included, and
        the move played there, else NO_MOVE; what finds no room is counted only.
    :returns: entries found.
    """
    pieces, rights_numbers, en_passant, white_to_move, start, lost_rights = tables
    board = np.empty(64, dtype=np.uint8)
    placed_at_start = np.uint64(0)
    for square in range(64):
        placed_at_start ^= pieces[start[square], square]
    at = 0
    for game in range(len(bounds) - 1):
        board[:] = start
        rights = 15
        white = True
        placed = placed_at_start
        passing = np.uint64(0)
        for move in range(bounds[game], bounds[game + 1]):
            turn = white_to_move[0] if white else np.uint64(0)
            key = placed ^ rights_numbers[rights] ^ passing ^ turn
            packed = np.int64(moves[move])
            if low <= np.int64(key >> np.uint64(48)) < high:
                if at < len(keys):
                    keys[at], games[at], played[at] = key, numbers[game], packed
                at += 1
            origin = packed & 63
            target = packed >> 6 & 63
            promotion = packed >> 12
            piece = board[origin]
            taken = board[target]
            own_pawn = 1 if white else 7
            placed ^= pieces[piece, origin] ^ pieces[taken, target]
            board[origin] = 0
            passing = np.uint64(0)
            if piece == own_pawn:
                if taken == 0 and (target - origin) & 7 != 0:  # en passant: the pawn beside goes
                    beside = (origin & 56) | (target & 7)
                    placed ^= pieces[board[beside], beside]
                    board[beside] = 0
                elif abs(target - origin) == 16:
                    other_pawn = 7 if white else 1
                    file = target & 7
                    if (file > 0 and board[target - 1] == other_pawn) or (file < 7 and board[target + 1] == other_pawn):
                        passing = en_passant[file]
                if promotion > 0:
                    piece = np.uint8(own_pawn + promotion - 1)
            elif (piece == 6 or piece == 12) and abs(target - origin) == 2:  # castling: the rook follows
                corner = target + 1 if target > origin else target - 2
                beside = target - 1 if target > origin else target + 1
                rook = board[corner]
                placed ^= pieces[rook, corner] ^ pieces[rook, beside]
                board[corner] = 0
                board[beside] = rook
            board[target] = piece
            placed ^= pieces[piece, target]
            rights &= ~(lost_rights[origin] | lost_rights[target])
            white = not white
        turn = white_to_move[0] if white else np.uint64(0)
        key = placed ^ rights_numbers[rights] ^ passing ^ turn
        if low <= np.int64(key >> np.uint64(48)) < high:
            if at < len(keys):
                keys[at], games[at], played[at] = key, numbers[game], NO_MOVE
            at += 1
    return at


#: Bits of the key per pass of the radix sort; three passes order the top 33 bits, which leaves only chance
#: neighbours for the last, comparing pass (among four million entries about a thousand).
_DIGIT = 11
_PASSES = 3


@jit
def _radix_pass(shift: int, keys: U64, games: U32, moves: U16, to_keys: U64, to_games: U32, to_moves: U16) -> None:
    """Order the entries by one digit of the key, keeping the order of equals."""
    mask = np.uint64((1 << _DIGIT) - 1)
    places = np.zeros((1 << _DIGIT) + 1, dtype=np.int64)
    for i in range(len(keys)):
        places[np.int64(keys[i] >> np.uint64(shift) & mask) + 1] += 1
    for digit in range(1 << _DIGIT):
        places[digit + 1] += places[digit]
    for i in range(len(keys)):
        digit_here = np.int64(keys[i] >> np.uint64(shift) & mask)
        place = places[digit_here]
        places[digit_here] = place + 1
        to_keys[place] = keys[i]
        to_games[place] = games[i]
        to_moves[place] = moves[i]


@jit
def _settle(keys: U64, games: U32, moves: U16) -> int:
    """Order what the radix passes left, then drop repeats of (key, game, move); the number kept."""
    for i in range(1, len(keys)):
        key, game, move = keys[i], games[i], moves[i]
        j = i - 1
        while j >= 0 and keys[j] > key:
            keys[j + 1], games[j + 1], moves[j + 1] = keys[j], games[j], moves[j]
            j -= 1
        keys[j + 1], games[j + 1], moves[j + 1] = key, game, move
    kept = 0
    for i in range(len(keys)):
        j = kept - 1
        again = False
        while j >= 0 and keys[j] == keys[i] and games[j] == games[i] and not again:
            again = moves[j] == moves[i]
            j -= 1
        if not again:
            keys[kept], games[kept], moves[kept] = keys[i], games[i], moves[i]
            kept += 1
    return kept


def sort_entries(keys: U64, games: U32, moves: U16) -> tuple[U64, U32, U16]:
    """Entries ordered by key, then as they came, each (key, game, move) once; the inputs are used up.

    The entries of one game must stand together.
    """
    spare = (np.empty_like(keys), np.empty_like(games), np.empty_like(moves))
    entries = (keys, games, moves)
    for number in range(_PASSES):
        _radix_pass(64 - _DIGIT * (_PASSES - number), *entries, *spare)
        entries, spare = spare, entries
    kept = _settle(*entries)
    return entries[0][:kept], entries[1][:kept], entries[2][:kept]
