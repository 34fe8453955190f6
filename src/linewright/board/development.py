"""Development: pieces off their first squares."""

from __future__ import annotations

import chess

#: First squares of the pieces on White's back rank (FIDE Laws, article 2.3).
_HOME = {
    chess.KNIGHT: (chess.B1, chess.G1),
    chess.BISHOP: (chess.C1, chess.F1),
    chess.QUEEN: (chess.D1,),
    chess.ROOK: (chess.A1, chess.H1),
}
MINORS: tuple[chess.PieceType, ...] = (chess.KNIGHT, chess.BISHOP)


def pieces_out(
    board: chess.Board, color: chess.Color, kinds: tuple[chess.PieceType, ...] = MINORS
) -> tuple[chess.Square, ...]:
    """Squares of the pieces of ``kinds`` that stand off the first squares of their kind.

    Captured pieces don't count, and a piece that went back home counts as undeveloped. Common practice: trainers
    count knights and bishops; some count the queen and a rook that has moved too, so ``kinds`` can say so.
    """
    out: list[chess.Square] = []
    for kind in kinds:
        homes = [square if color else chess.square_mirror(square) for square in _HOME[kind]]
        out += [square for square in board.pieces(kind, color) if square not in homes]
    return tuple(sorted(out))
