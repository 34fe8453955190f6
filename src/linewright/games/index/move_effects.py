"""What follows from the moves of many games, once they are played: position keys, and all that changes with a move.

A position's key is the exclusive or of the start position's and of what each move changed, so that the keys of all
games are one running exclusive or. The same goes for the squares that a kind of piece stands on.
"""

from __future__ import annotations

from typing import Final

import numpy as np

from linewright.games.index.arrays import I64, U8, U16, U32, U64
from linewright.games.index.index_layout import SHELF_SHIFT, SHELVES
from linewright.games.index.lockstep import ABREAST, PlayedMen, play
from linewright.games.index.one_game import LOST_RIGHTS, START
from linewright.games.index.position_keys import NO_MOVE, zobrist_tables

#: The squares of a packed move.
SQUARES: Final = 0xFFF


def _lost_rights() -> U8:
    """Castling rights (bits K Q k q) that each packed move's squares cost, shape (4096,)."""
    lost, squares = np.array(LOST_RIGHTS, dtype=np.uint8), np.arange(1 << 12)
    both: U8 = lost[squares & 63] | lost[squares >> 6]
    return both


def castled(moves: U16, played: PlayedMen) -> I64:
    """The places of the castling moves."""
    kings = np.flatnonzero((played.pieces == 6) | (played.pieces == 12))
    wide = moves[kings].astype(np.int64)
    found: I64 = kings[np.abs((wide >> 6 & 7) - (wide & 7)) == 2]
    return found


def took_in_passing(moves: U16, played: PlayedMen) -> I64:
    """The places of the moves by which a pawn took another in passing."""
    pawns = np.flatnonzero(((played.pieces == 1) | (played.pieces == 7)) & (played.taken == 0))
    wide = moves[pawns].astype(np.int64)
    found: I64 = pawns[(wide >> 6 ^ wide) & 7 != 0]
    return found


def beside(moves: I64) -> I64:
    """The square of the pawn that is taken in passing: on the origin's rank and the target's file."""
    return (moves & 56) | (moves >> 6 & 7)


def rook_squares(moves: I64) -> tuple[I64, I64]:
    """Where the rook comes from and goes to in castling moves."""
    target = moves >> 6 & 63
    short = target > (moves & 63)
    return np.where(short, target + 1, target - 2), np.where(short, target - 1, target + 1)


def moving(table: U64) -> U64:
    """By piece << 12 | target << 6 | origin: what moving the piece changes in the exclusive or of a table's numbers.

    :param table: a number for each piece (1-12; 0 is none, and has 0) on each square, shape (13, 64).
    """
    return (table[:, None, :] ^ table[:, :, None]).reshape(-1)


def square_changes(moves: U16, played: PlayedMen, table: U64, moved: U64) -> U64:
    """What each move changes in the exclusive or of a table's numbers, shape (moves,).

    :param table: as :func:`moving` takes it, which gives ``moved``.
    """
    pieces = played.pieces
    changed = moved.take(pieces.astype(np.int64) << 12 | moves & SQUARES)
    at = np.flatnonzero(played.taken > 0)
    changed[at] ^= table[played.taken[at], moves[at] >> 6 & 63]
    at = np.flatnonzero(moves > SQUARES)
    target = moves[at] >> 6 & 63
    changed[at] ^= table[pieces[at], target] ^ table[pieces[at] + (moves[at] >> 12) - 1, target]
    at = took_in_passing(moves, played)
    changed[at] ^= table[8 - pieces[at], beside(moves[at].astype(np.int64))]
    at = castled(moves, played)
    corner, square = rook_squares(moves[at].astype(np.int64))
    rook = pieces[at] - 2
    changed[at] ^= table[rook, corner] ^ table[rook, square]
    return changed


def start_value(table: U64) -> np.uint64:
    """The exclusive or of a table's numbers in the start position."""
    return np.uint64(np.bitwise_xor.reduce(table[np.array(START), np.arange(64)]))


_PIECES, _OTHERS = zobrist_tables()
_START_KEY: Final = start_value(_PIECES) ^ np.bitwise_xor.reduce(_OTHERS[:4]) ^ _OTHERS[12]
#: Castling rights that a packed move's squares cost, shape (4096,).
LOST: Final = _lost_rights()
#: With the side to move.
_MOVED: Final = moving(_PIECES) ^ _OTHERS[12]


def _change_rights(changed: U64, moves: U16, bounds: I64) -> None:
    """Castling rights are lost by the first move that touches the king's or the rook's square."""
    lost = LOST.take(moves & SQUARES)
    touching = np.flatnonzero(lost > 0)
    lost = lost[touching]
    for right in range(4):
        at = touching[lost >> right & 1 > 0]
        game = np.searchsorted(bounds, at, "right")
        first = np.ones(len(at), dtype=np.bool_)
        first[1:] = game[1:] != game[:-1]
        changed[at[first]] ^= _OTHERS[right]


def running(changes: U64, start: np.uint64, bounds: I64) -> U64:
    """A value before each move and after each game's last, which moves change by exclusive or.

    :param changes: by each move, shape (moves,).
    :returns: shape (moves + games,), game after game.
    """
    after = np.bitwise_xor.accumulate(changes) if len(changes) else changes
    before = np.concatenate([np.zeros(1, np.uint64), after]).take(bounds[:-1])
    games = len(bounds) - 1
    found = np.empty(len(changes) + games, dtype=np.uint64)
    firsts = bounds[:-1] + np.arange(games)
    inner = np.ones(len(found), dtype=np.bool_)
    inner[firsts] = False
    found[inner] = after ^ np.repeat(before ^ start, np.diff(bounds))
    found[firsts] = start
    return found


def position_keys(moves: U16, bounds: I64, played: PlayedMen) -> U64:
    """The key (``position_key``) of each position, the last of each game included."""
    changes = square_changes(moves, played, _PIECES, _MOVED)
    _change_rights(changes, moves, bounds)
    keys = running(changes, _START_KEY, bounds)
    at = np.flatnonzero(played.passing)
    game = np.searchsorted(bounds, at, "right") - 1
    keys[at + game + 1] ^= _OTHERS[4 + (moves[at] >> 6 & 7)]
    return keys


def moves_played(moves: U16, bounds: I64) -> U16:
    """The move played in each position, ``NO_MOVE`` in each game's last; shape (moves + games,)."""
    found = np.full(len(moves) + len(bounds) - 1, NO_MOVE, dtype=np.uint16)
    inner = np.ones(len(found), dtype=np.bool_)
    inner[bounds[1:] + np.arange(len(bounds) - 1)] = False
    found[inner] = moves
    return found


def entries(moves: U16, bounds: I64, numbers: U32, low: int = 0, high: int = SHELVES) -> tuple[U64, U32, U16]:
    """The entries (key, game, move) of legal games' positions, game after game, the last position included.

    :param moves: packed, as ``bounds`` in the form of :func:`linewright.games.index.lockstep.play`.
    :param numbers: the games' numbers, shape (games,).
    :param low: the first shelf wanted, ``high`` one past the last.
    """
    parts = []
    for first in range(0, max(len(numbers), 1), ABREAST):
        ends = bounds[first : first + ABREAST + 1]
        these, ends = moves[ends[0] : ends[-1]], ends - ends[0]
        keys = position_keys(these, ends, play(these, ends))
        games = np.repeat(numbers[first : first + ABREAST], np.diff(ends) + 1)
        found = (keys, games, moves_played(these, ends))
        if (low, high) != (0, SHELVES):
            shelf = keys >> np.uint64(SHELF_SHIFT)
            wanted = (shelf >= low) & (shelf < high)
            found = (keys[wanted], games[wanted], found[2][wanted])
        parts.append(found)
    if len(parts) == 1:
        return parts[0]
    keys_of, games_of, played_of = zip(*parts, strict=True)
    return np.concatenate(keys_of), np.concatenate(games_of), np.concatenate(played_of)
