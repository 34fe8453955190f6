"""Position keys (64-bit Zobrist) and packed moves.

The key is the published Polyglot opening-book key: one random number per piece and square, castling right,
en-passant file (only where a pawn stands ready to capture) and side to move, combined by exclusive or.
Source of numbers and rules: the Polyglot book format as :mod:`chess.polyglot` gives it.
"""

from __future__ import annotations

from typing import Final

import chess
import chess.polyglot
import numpy as np
import numpy.typing as npt

#: The move of a game's last position: nothing was played. (a1a1 is no move, so 0 is free.)
NO_MOVE: Final = 0

_PROMOTION_SHIFT: Final = 12


def position_key(board: chess.Board) -> int:
    """The Polyglot key of a position, 0 <= key < 2**64; equal for transpositions, whatever the clocks."""
    return chess.polyglot.zobrist_hash(board)


def unpack_move(packed: int) -> str:
    """UCI of a packed move: from-square, to-square << 6, piece type promoted to (2-5, else 0) << 12."""
    promotion = packed >> _PROMOTION_SHIFT
    letter = chess.piece_symbol(promotion) if promotion else ""
    return chess.SQUARE_NAMES[packed & 63] + chess.SQUARE_NAMES[packed >> 6 & 63] + letter


def pack_move(move: chess.Move) -> int:
    """The reverse of :func:`unpack_move` for a move as :class:`chess.Move`, castling as the king's move."""
    return move.from_square | move.to_square << 6 | (move.promotion or 0) << _PROMOTION_SHIFT


def zobrist_tables() -> tuple[npt.NDArray[np.uint64], npt.NDArray[np.uint64]]:
    """The published numbers laid out for the replay.

    :returns: ``pieces`` of shape (13, 64), row 0 for an empty square (all zero), rows 1-6 white pawn to
        king, 7-12 black; and ``others`` of shape (13,): castling K Q k q, then the en-passant files a to h,
        then "white is to move".
    """
    numbers = np.array(chess.polyglot.POLYGLOT_RANDOM_ARRAY, dtype=np.uint64)
    pieces = np.zeros((13, 64), dtype=np.uint64)
    for kind in range(6):  # the published order is black pawn, white pawn, black knight, white knight, ...
        pieces[7 + kind] = numbers[128 * kind : 128 * kind + 64]
        pieces[1 + kind] = numbers[128 * kind + 64 : 128 * kind + 128]
    return pieces, numbers[768:781].copy()
