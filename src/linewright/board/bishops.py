"""Good and bad bishops."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Final

import chess

from linewright.board.structure.pawns import Squares

#: The files whose pawns make a bishop good or bad. Common practice: the centre, c and f files included.
_CENTRAL: Final = chess.BB_FILE_C | chess.BB_FILE_D | chess.BB_FILE_E | chess.BB_FILE_F
_MIDDLE: Final = chess.BB_FILE_D | chess.BB_FILE_E


class Quality(StrEnum):
    GOOD = "good"
    BAD = "bad"
    NEITHER = "neither good nor bad"


@dataclass(frozen=True, slots=True)
class Bishop:
    """A bishop judged by its own central pawns.

    :param same: own pawns on the c to f files that stand on its colour.
    :param other: those that stand on the other colour.
    :param outside: it stands in front of all the former, outside its pawn chain: bad by its pawns, but active.
    """

    square: chess.Square
    quality: Quality
    same: Squares
    other: Squares
    outside: bool


def bishops(board: chess.Board, color: chess.Color) -> tuple[Bishop, ...]:
    """The bishops of ``color`` with their quality.

    *Bad*: more of the own pawns on the c to f files stand on its colour than on the other, and one of those on the
    d or e file is fixed, head to head with an enemy pawn; unless it looks at a square of the centre (d4, e4, d5, e5)
    along a diagonal on which no own pawn stands before it, as the bishop on g7 does in the Benoni. *Good*: more of
    them stand on the other colour, a d or e pawn among these, and no fixed d or e pawn on its own. Otherwise neither.

    After Silman, How to Reassess Your Chess (central pawns on the bishop's colour); from memory. That they must be
    more and fixed, and the look at the centre, is ours.
    """
    return tuple(_judged(board, square, color) for square in board.pieces(chess.BISHOP, color))


def _judged(board: chess.Board, square: chess.Square, color: chess.Color) -> Bishop:
    light = bool(chess.BB_LIGHT_SQUARES & chess.BB_SQUARES[square])
    on_colour = chess.BB_LIGHT_SQUARES if light else chess.BB_DARK_SQUARES
    own = board.pieces_mask(chess.PAWN, color) & _CENTRAL
    same, other = (tuple(chess.SquareSet(mask)) for mask in (own & on_colour, own & ~on_colour))
    stuck = any(_fixed(board, s, color) for s in same if _MIDDLE & chess.BB_SQUARES[s])
    if len(same) > len(other) and stuck and not _sees_centre(board, square, color):
        quality = Quality.BAD
    elif len(other) > len(same) and not stuck and any(_MIDDLE & chess.BB_SQUARES[s] for s in other):
        quality = Quality.GOOD
    else:
        quality = Quality.NEITHER
    rank = chess.square_rank(square)
    outside = bool(same) and all(rank > chess.square_rank(s) if color else rank < chess.square_rank(s) for s in same)
    return Bishop(square, quality, same, other, outside)


def _sees_centre(board: chess.Board, square: chess.Square, color: chess.Color) -> bool:
    """Whether a centre square lies on the bishop's diagonals with no pawn before it, pieces left aside; a pawn of its
    own on that square hides it too."""
    pawns = board.pawns
    seen = chess.BB_DIAG_ATTACKS[square][chess.BB_DIAG_MASKS[square] & pawns]
    return bool(seen & chess.BB_CENTER & ~board.pieces_mask(chess.PAWN, color))


def _fixed(board: chess.Board, pawn: chess.Square, color: chess.Color) -> bool:
    """Whether an enemy pawn stands head to head with it."""
    ahead = chess.BB_SQUARES[pawn + (8 if color else -8)]
    return bool(board.pieces_mask(chess.PAWN, not color) & ahead)
