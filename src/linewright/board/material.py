"""Material: what each side has, and how the two differ."""

from __future__ import annotations

from dataclasses import dataclass

import chess


@dataclass(frozen=True, slots=True)
class Material:
    """Counts of pieces, or their difference between the sides (then they may be negative)."""

    queens: int
    rooks: int
    bishops: int
    knights: int
    pawns: int

    @property
    def minors(self) -> int:
        """Bishops and knights together: trainers call a bishop for a knight level."""
        return self.bishops + self.knights

    @property
    def points(self) -> int:
        """Value in pawns on the usual scale: pawn 1, knight and bishop 3, rook 5, queen 9. Common practice."""
        return 9 * self.queens + 5 * self.rooks + 3 * self.minors + self.pawns


def material(board: chess.Board, color: chess.Color) -> Material:
    """What ``color`` has on the board."""
    q, r, b, n, p = (
        len(board.pieces(kind, color)) for kind in (chess.QUEEN, chess.ROOK, chess.BISHOP, chess.KNIGHT, chess.PAWN)
    )
    return Material(q, r, b, n, p)


def balance(board: chess.Board, color: chess.Color) -> Material:
    """What ``color`` has more than the other side, piece by piece."""
    own, other = material(board, color), material(board, not color)
    return Material(
        own.queens - other.queens,
        own.rooks - other.rooks,
        own.bishops - other.bishops,
        own.knights - other.knights,
        own.pawns - other.pawns,
    )


def bishop_pair(board: chess.Board, color: chess.Color) -> bool:
    """Whether ``color`` has a bishop on light and one on dark squares. Common practice."""
    own = board.pieces(chess.BISHOP, color)
    return bool(own & chess.BB_LIGHT_SQUARES) and bool(own & chess.BB_DARK_SQUARES)


def opposite_bishops(board: chess.Board) -> bool:
    """Whether each side has exactly one bishop and the two run on squares of different colour.

    Common practice.
    """
    white, black = board.pieces(chess.BISHOP, chess.WHITE), board.pieces(chess.BISHOP, chess.BLACK)
    if len(white) != 1 or len(black) != 1:
        return False
    return bool(white & chess.BB_LIGHT_SQUARES) != bool(black & chess.BB_LIGHT_SQUARES)
