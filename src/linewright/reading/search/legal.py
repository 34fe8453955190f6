"""A legal move, taken apart into what words may say of it."""

from __future__ import annotations

from typing import NamedTuple

import chess


class Legal(NamedTuple):
    """A legal move, with what a phrase may say of it. (A tuple: a reading makes tens of thousands.)"""

    move: chess.Move
    uci: str
    piece: str
    origin: str
    to: str
    capture: bool
    victim: str
    castles: str
    promotion: str


def reach(piece: str, us: chess.Color, square: int, occupied: int) -> int:
    """The squares that a piece attacks, as a bit board."""
    if piece == "P":
        return chess.BB_PAWN_ATTACKS[us][square]
    if piece == "N":
        return chess.BB_KNIGHT_ATTACKS[square]
    out = 0
    if piece in "BQ":
        out |= chess.BB_DIAG_ATTACKS[square][chess.BB_DIAG_MASKS[square] & occupied]
    if piece in "RQ":
        out |= chess.BB_RANK_ATTACKS[square][chess.BB_RANK_MASKS[square] & occupied]
        out |= chess.BB_FILE_ATTACKS[square][chess.BB_FILE_MASKS[square] & occupied]
    return out


def gives_check(board: chess.Board, legal: Legal) -> bool:
    """Whether a legal move gives check, seen without playing it but for the rare moves that move two men."""
    origin, target, us = legal.move.from_square, legal.move.to_square, board.turn
    if legal.castles or (legal.piece == "P" and legal.capture and not board.occupied >> target & 1):
        return board.gives_check(legal.move)
    king = board.king(not us)
    if king is None:
        return False
    occupied = board.occupied & ~chess.BB_SQUARES[origin] | chess.BB_SQUARES[target]
    if reach(legal.promotion or legal.piece, us, target, occupied) & chess.BB_SQUARES[king]:
        return True
    return bool(board.attackers_mask(us, king, occupied) & ~chess.BB_SQUARES[origin])  # uncovered
