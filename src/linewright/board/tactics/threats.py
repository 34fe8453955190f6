"""What each side threatens: what it would do if it were its move.

A threat, as handbooks have it, is what a side would play if the other passed; so for the side not to move the board
is looked at after a pass. For the side to move the same moves are not threats but chances. Looks one move deep
(mate at once, winning a man by exchange, a fork that wins one); deeper things are an engine's.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

import chess

from linewright.board.tactics.attacks import Squares
from linewright.board.tactics.exchange import VALUES, exchange, value_at
from linewright.board.tactics.mates import mates_at_once
from linewright.board.tactics.motifs import as_if_to_move, forks


class Aim(StrEnum):
    MATE = "mate"
    WIN = "win"
    FORK = "fork"


@dataclass(frozen=True, slots=True)
class Threat:
    """A move that would mate, win material or fork.

    :param color: whose threat.
    :param move: the move; legal for that side after a pass of the other, or at once when it is to move.
    :param san: the move as written.
    :param aim: what it does.
    :param targets: the men won or forked; the king's square for mate.
    :param points: what it wins by exchange, in points; for a fork, the value of the second most valuable man (a king
        counted out); 0 for mate.
    """

    color: chess.Color
    move: chess.Move
    san: str
    aim: Aim
    targets: Squares
    points: int


def threats(board: chess.Board, color: chess.Color) -> tuple[Threat, ...]:
    """What ``color`` threatens, or can do when it is to move: mates, then by what is won; for each man won the
    capture that wins most, for each square the fork.

    Empty when the other side stands in check: the check is the threat.
    """
    moves = as_if_to_move(board, color)
    if moves is None:
        return ()
    king = board.king(not color)
    targets = (king,) if king is not None else ()
    mating = mates_at_once(moves)
    found = [Threat(color, m, moves.san(m), Aim.MATE, targets, 0) for m in mating]
    found += [t for t in (*_captures(moves, color), *_forks(moves, color)) if t.move not in mating]
    return tuple(sorted(found, key=lambda t: (t.aim is not Aim.MATE, -t.points, t.move.uci())))


def answer_to(board: chess.Board, move: chess.Move) -> Threat | None:
    """Why a move can't be played: the reply that mates, or wins more than the move itself took; None when there is no
    such reply within one move. What a trainer means by "he can't take because".

    :param move: a legal move.
    """
    gained = value_at(board, move.to_square)
    if board.is_en_passant(move):
        gained = VALUES[chess.PAWN]
    if move.promotion:
        gained += VALUES[move.promotion] - VALUES[chess.PAWN]
    after = board.copy(stack=False)
    after.push(move)
    replies = threats(after, after.turn)
    best = replies[0] if replies else None
    return best if best is not None and (best.aim is Aim.MATE or best.points > gained) else None


def _captures(board: chess.Board, color: chess.Color) -> list[Threat]:
    """For each enemy man that can be taken with profit, the capture that gains most; promotions too."""
    best: dict[chess.Square, Threat] = {}
    for move in board.legal_moves:
        if not board.is_capture(move) and not move.promotion:
            continue
        points = exchange(board, move)
        if points > 0 and (move.to_square not in best or points > best[move.to_square].points):
            target = move.to_square + (-8 if color else 8) if board.is_en_passant(move) else move.to_square
            best[move.to_square] = Threat(color, move, board.san(move), Aim.WIN, (target,), points)
    return list(best.values())


def _forks(board: chess.Board, color: chess.Color) -> list[Threat]:
    """Moves that lose nothing by exchange, after which the moved man forks."""
    found = []
    after = board.copy(stack=False)
    for move in board.legal_moves:
        if exchange(board, move) < 0 or not _may_fork(board, move):
            continue
        after.push(move)
        fork = next((f for f in forks(after, color) if f.by == move.to_square), None)
        after.pop()
        if fork is not None:
            values = sorted(value_at(board, t) for t in fork.targets if board.piece_type_at(t) != chess.KING)
            kings = len(values) < len(fork.targets)
            points = values[-1] if kings else values[-2]
            found.append(Threat(color, move, board.san(move), Aim.FORK, fork.targets, points))
    return found


def _may_fork(board: chess.Board, move: chess.Move) -> bool:
    """Whether the man would attack two enemy men from there at all: a quick look before the slow one."""
    kind = move.promotion or board.piece_type_at(move.from_square)
    if kind is None or board.is_castling(move):
        return False
    enemy = board.occupied_co[not board.turn]
    if kind == chess.PAWN:
        reach = chess.BB_PAWN_ATTACKS[board.turn][move.to_square]
    else:
        reach = _reach(kind, move.to_square, board.occupied & ~chess.BB_SQUARES[move.from_square])
    return (reach & enemy).bit_count() >= 2


def _reach(kind: chess.PieceType, square: chess.Square, occupied: chess.Bitboard) -> chess.Bitboard:
    """The squares that a piece of that kind attacks from there."""
    if kind == chess.KNIGHT:
        return chess.BB_KNIGHT_ATTACKS[square]
    if kind == chess.KING:
        return chess.BB_KING_ATTACKS[square]
    mask = 0
    if kind in (chess.BISHOP, chess.QUEEN):
        mask |= chess.BB_DIAG_ATTACKS[square][chess.BB_DIAG_MASKS[square] & occupied]
    if kind in (chess.ROOK, chess.QUEEN):
        mask |= chess.BB_RANK_ATTACKS[square][chess.BB_RANK_MASKS[square] & occupied]
        mask |= chess.BB_FILE_ATTACKS[square][chess.BB_FILE_MASKS[square] & occupied]
    return mask
