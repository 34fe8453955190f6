"""Outposts, holes and the squares in front of weak pawns.

After Nimzowitsch, My System (outpost, blockade), and Silman, How to Reassess Your Chess (holes as homes for
knights); from memory.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import chess

from linewright.board.structure.pawns import Squares, backward, isolated, passed

#: Ranks, seen from the side (1 = its first), on which a square can be an outpost: beyond its own camp, and not so
#: far that pieces merely pass through. Common practice.
OUTPOST_RANKS: Final = (4, 5, 6)
#: Ranks, seen from the side, on which a square of its own can be a hole: where its pawns could have guarded it.
HOLE_RANKS: Final = (3, 4)


@dataclass(frozen=True, slots=True)
class Outpost:
    """A square that no enemy pawn can ever attack, held by an own pawn.

    :param occupied: an own knight or bishop stands on it.
    """

    square: chess.Square
    occupied: bool


def outposts(board: chess.Board, color: chess.Color) -> tuple[Outpost, ...]:
    """The outposts of ``color``: squares on its fourth to sixth rank that a pawn of its own guards and that no
    enemy pawn attacks, or could attack by advancing on its own file. No own pawn may stand on it.

    What a pawn could reach by taking is left aside. Whether a piece can get there is, too.
    """
    pieces = board.occupied_co[color] & (board.knights | board.bishops)
    found = []
    for square in chess.scan_forward(_on_ranks(OUTPOST_RANKS, color) & ~board.pieces_mask(chess.PAWN, color)):
        own_pawns = chess.BB_PAWN_ATTACKS[not color][square] & board.pieces_mask(chess.PAWN, color)
        if own_pawns and not can_guard(board, square, not color):
            found.append(Outpost(square, bool(pieces & chess.BB_SQUARES[square])))
    return tuple(found)


def holes(board: chess.Board, color: chess.Color) -> Squares:
    """The holes in the camp of ``color``: squares on its third and fourth rank that none of its pawns guards or can
    come to guard by advancing; those on which its own pawns stand are left out.

    Weak squares in the strict sense; at the start there are none.
    """
    own = board.pieces_mask(chess.PAWN, color)
    squares = chess.scan_forward(_on_ranks(HOLE_RANKS, color) & ~own)
    return tuple(square for square in squares if not can_guard(board, square, color))


def weak_squares(board: chess.Board, color: chess.Color) -> Squares:
    """The holes of ``color`` that matter: the other side attacks them, or has a man there. Common practice."""
    enemy = not color
    return tuple(s for s in holes(board, color) if board.is_attacked_by(enemy, s) or board.color_at(s) == enemy)


def can_guard(board: chess.Board, square: chess.Square, color: chess.Color) -> bool:
    """Whether a pawn of ``color`` attacks the square or could come to attack it by advancing on its own file; what
    stands in its way is left aside."""
    rank, file = chess.square_rank(square), chess.square_file(square)
    own = board.pieces_mask(chess.PAWN, color)
    for beside in (file - 1, file + 1):
        if 0 <= beside <= 7:
            for pawn in chess.scan_forward(own & chess.BB_FILES[beside]):
                at = chess.square_rank(pawn)
                if at < rank if color else at > rank:
                    return True
    return False


def blockades(board: chess.Board, color: chess.Color) -> Squares:
    """The pawns of ``color`` that are blockaded: isolated, backward or passed pawns with an enemy piece (not a pawn)
    right in front of them. After Nimzowitsch; from memory."""
    wanted = {*isolated(board, color), *backward(board, color), *passed(board, color)}
    pieces = board.occupied_co[not color] & ~board.pawns
    return tuple(sorted(s for s in wanted if pieces & chess.BB_SQUARES[s + (8 if color else -8)]))


def _on_ranks(ranks: tuple[int, ...], color: chess.Color) -> chess.Bitboard:
    mask = 0
    for rank in ranks:
        mask |= chess.BB_RANKS[rank - 1 if color else 8 - rank]
    return mask
