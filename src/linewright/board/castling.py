"""Castling: who may still castle, and on which side (FIDE Laws, article 3.8)."""

from __future__ import annotations

from enum import StrEnum

import chess


class Castling(StrEnum):
    """Which castling is spoken of."""

    KINGSIDE = "kingside"
    QUEENSIDE = "queenside"
    EITHER = "either"


def may_still_castle(board: chess.Board, color: chess.Color, which: Castling = Castling.EITHER) -> bool:
    """Whether ``color`` keeps the *right* to castle: neither the king nor that rook has moved.

    Says nothing of whether castling is possible on the next move (article 3.8.2.2).
    """
    if which is Castling.KINGSIDE:
        return board.has_kingside_castling_rights(color)
    if which is Castling.QUEENSIDE:
        return board.has_queenside_castling_rights(color)
    return board.has_castling_rights(color)


def looks_castled(board: chess.Board, color: chess.Color) -> bool:
    """Whether the king stands on a castled square (c or g file, or beyond) of its first rank."""
    king = board.king(color)
    if king is None or chess.square_rank(king) != (0 if color else 7):
        return False
    return chess.square_file(king) in (0, 1, 2, 6, 7)
