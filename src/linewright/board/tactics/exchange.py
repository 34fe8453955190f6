"""Static exchange: what a side wins or loses on one square when both take there for as long as it pays.

The sequence is worked out exactly, not by the common shortcut of "always take with the least man": every man that
may take is tried, the least first. Men behind others on a line (x-rays) join in when the line opens. Each capture
must be legal: a pinned man takes only along its pin, a side in check takes only what gives the check, a king takes
only what is no longer guarded. What is left out: moves elsewhere in between, and mates.

Values are the trade's points (pawn 1, knight and bishop 3, rook 5, queen 9; common practice). The method is known
from the literature of computer chess as static exchange evaluation; from memory.
"""

from __future__ import annotations

from typing import Final

import chess

#: Value of a man in pawns, the usual scale. The king has none: it is never given.
VALUES: Final[dict[chess.PieceType, int]] = {
    chess.PAWN: 1,
    chess.KNIGHT: 3,
    chess.BISHOP: 3,
    chess.ROOK: 5,
    chess.QUEEN: 9,
    chess.KING: 0,
}
#: More than anything on the board is worth; the open end of a search window.
_ALL: Final = 1000
_LAST_RANKS: Final = chess.BB_RANK_1 | chess.BB_RANK_8
#: Least first; the king last, since it may take only what nothing guards.
_ORDER: Final = (chess.PAWN, chess.KNIGHT, chess.BISHOP, chess.ROOK, chess.QUEEN, chess.KING)


def value_at(board: chess.Board, square: chess.Square) -> int:
    """The value of the man on a square in points; 0 for an empty square and for a king."""
    return VALUES[board.piece_type_at(square) or chess.KING]


def exchange(board: chess.Board, move: chess.Move) -> int:
    """What the side that plays ``move`` gains by it in points, when the other side then takes on its square for as
    long as that pays. Negative when the moved man is lost for less than it took.

    :param move: a legal move, capture or not; a man that promotes counts as what it became.
    """
    mover = board.turn
    occupied = board.occupied & ~chess.BB_SQUARES[move.from_square] | chess.BB_SQUARES[move.to_square]
    if board.is_castling(move):
        return 0
    gained, worth = value_at(board, move.to_square), value_at(board, move.from_square)
    if board.is_en_passant(move):
        occupied &= ~chess.BB_SQUARES[move.to_square + (-8 if mover else 8)]
        gained = VALUES[chess.PAWN]
    if move.promotion:
        worth = VALUES[move.promotion]
        gained += worth - VALUES[chess.PAWN]
    if board.piece_type_at(move.from_square) == chess.KING:
        return gained
    return gained - _gain(board, move.to_square, not mover, occupied, worth, _ALL, 0)


def loss(board: chess.Board, square: chess.Square, without: chess.Bitboard = 0) -> int:
    """What the other side wins in points by taking the man on ``square``, were it that side's move; 0 when taking
    doesn't pay, when the square is empty and for a king.

    When the man's own side is to move, the question is what would happen if it did something else; a check that it
    stands in is then left aside, as it has to be answered first. Taking in passing is not looked at.

    :param without: men thought away, as a mask of their squares.
    """
    color = board.color_at(square)
    if color is None or board.piece_type_at(square) == chess.KING:
        return 0
    ignored = board.checkers_mask() if board.turn == color else 0
    return _gain(board, square, not color, board.occupied & ~without, value_at(board, square), _ALL, ignored)


def _gain(
    board: chess.Board,
    target: chess.Square,
    side: chess.Color,
    occupied: chess.Bitboard,
    worth: int,
    enough: int,
    ignored: chess.Bitboard,
) -> int:
    """The best that ``side`` gets by taking on ``target`` or leaving it.

    :param occupied: the squares still occupied; a man that has moved onto the target is gone from its own square.
    :param worth: points of the man now standing on the target.
    :param enough: a gain that already settles the question of the side before: the search stops at it.
    :param ignored: men whose check is left aside.
    """
    attackers = board.attackers_mask(side, target, occupied) & occupied & ~chess.BB_SQUARES[target]
    promotes = bool(_LAST_RANKS & chess.BB_SQUARES[target])
    ceiling = worth + promotes * (VALUES[chess.QUEEN] - VALUES[chess.PAWN])
    best = 0
    for kind in _ORDER:
        for source in chess.scan_forward(attackers & board.pieces_mask(kind, side)):
            rest = occupied & ~chess.BB_SQUARES[source]
            if not _legal(board, target, side, source, kind, rest, ignored):
                continue
            gained, next_worth = worth, VALUES[kind]
            if kind == chess.PAWN and promotes:
                gained, next_worth = ceiling, VALUES[chess.QUEEN]
            if kind != chess.KING:
                gained -= _gain(board, target, not side, rest, next_worth, gained - best, ignored)
            best = max(best, gained)
            if best >= min(enough, ceiling):
                return best
    return best


def _legal(
    board: chess.Board,
    target: chess.Square,
    side: chess.Color,
    source: chess.Square,
    kind: chess.PieceType,
    rest: chess.Bitboard,
    ignored: chess.Bitboard,
) -> bool:
    """Whether the capture leaves the own king unattacked; ``rest`` is what stands after the man left its square."""
    king = target if kind == chess.KING else board.king(side)
    if king is None:
        return True
    rest |= chess.BB_SQUARES[target]
    attackers = board.attackers_mask(not side, king, rest) & rest & ~chess.BB_SQUARES[target] & ~ignored
    return not attackers
