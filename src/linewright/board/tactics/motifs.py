"""Forks, discovered attacks, trapped men and overloaded defenders, each by a rule that the board alone decides.

The names are common practice in all handbooks of tactics; the rules are ours where a handbook shows examples only.
They look one move deep: a finding says that the pattern is there, not that it wins.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations
from typing import Final

import chess

from linewright.board.tactics.attacks import Squares, men, pins
from linewright.board.tactics.exchange import exchange, loss, value_at

_SLIDERS: Final = (chess.BISHOP, chess.ROOK, chess.QUEEN)


@dataclass(frozen=True, slots=True)
class Fork:
    """One man attacks several at once.

    :param by: the square of the man that forks.
    :param targets: the men attacked, each a king or one that it takes with profit.
    """

    by: chess.Square
    targets: Squares


@dataclass(frozen=True, slots=True)
class Discovery:
    """A discovered attack in waiting: ``front`` can step off the line of its own ``slider``.

    :param target: what the slider then attacks: the king (a discovered check), or a man it takes with profit.
    """

    front: chess.Square
    slider: chess.Square
    target: chess.Square
    check: bool


@dataclass(frozen=True, slots=True)
class Trapped:
    """A piece without a safe move.

    :param points: what is lost by leaving it where it stands; 0 when it is not attacked yet.
    """

    square: chess.Square
    points: int


@dataclass(frozen=True, slots=True)
class Overload:
    """A man that alone keeps two others from being lost.

    :param defender: where it stands.
    :param duties: the men that would hang without it.
    """

    defender: chess.Square
    duties: Squares


def forks(board: chess.Board, color: chess.Color) -> tuple[Fork, ...]:
    """The forks that men of ``color`` give as the board stands.

    Rule: the man attacks at least two enemy men, each of them the king or one that this man takes with profit;
    and it can't be taken without loss itself. Pawns attacked count only when a king or piece is attacked too. None
    while ``color`` itself stands in check on its move.
    """
    enemy_moves = as_if_to_move(board, not color)
    if enemy_moves is None:
        return ()
    found = []
    for square in men(board, color):
        targets = tuple(t for t in board.attacks(square) & board.occupied_co[not color] if _won(board, square, t))
        pieces = [t for t in targets if board.piece_type_at(t) != chess.PAWN]
        if len(targets) >= 2 and pieces and not _takeable(enemy_moves, square):
            found.append(Fork(square, targets))
    return tuple(found)


def _takeable(moves: chess.Board, square: chess.Square) -> bool:
    """Whether the side to move can take on the square without loss."""
    takes = moves.generate_legal_captures(to_mask=chess.BB_SQUARES[square])
    return any(exchange(moves, move) >= 0 for move in takes)


def _won(board: chess.Board, by: chess.Square, target: chess.Square) -> bool:
    """Whether ``by`` attacks a king, or takes with profit; who is to move doesn't matter."""
    color = board.color_at(by)
    assert color is not None
    kind = board.piece_type_at(target)
    if kind == chess.KING:
        return board.piece_type_at(by) != chess.KING
    if board.pin_mask(color, by) & chess.BB_SQUARES[target] == 0:
        return False
    guarded = board.is_attacked_by(not color, target)
    if not guarded:
        return True
    return board.piece_type_at(by) != chess.KING and value_at(board, target) > value_at(board, by)


def discoveries(board: chess.Board, color: chess.Color) -> tuple[Discovery, ...]:
    """The discovered attacks that ``color`` has in waiting.

    Rule: exactly one man stands between an own bishop, rook or queen and an enemy king or man, it is an own man
    that may leave the line, and the slider would take the target with profit (undefended, or worth more than the
    slider). A pawn that can only advance along the line discovers nothing, nor does a man that the target pins to the
    slider.
    """
    found = []
    pinned = {(pin.front, pin.behind, pin.attacker) for pin in pins(board, color)}
    for slider in (s for kind in _SLIDERS for s in board.pieces(kind, color)):
        for front in board.attacks(slider) & board.occupied_co[color]:
            without = board.occupied & ~chess.BB_SQUARES[front]
            for target in chess.SquareSet(board.occupied_co[not color]):
                line = chess.between(slider, target)
                if not line & chess.BB_SQUARES[front] or line & without or not _reaches(board, slider, target):
                    continue
                if (front, slider, target) in pinned:
                    continue
                if _won(board, slider, target) and _leaves(board, color, front, chess.ray(slider, target)):
                    check = board.piece_type_at(target) == chess.KING
                    found.append(Discovery(front, slider, target, check))
    return tuple(sorted(found, key=lambda d: (not d.check, d.front, d.target)))


def _reaches(board: chess.Board, slider: chess.Square, target: chess.Square) -> bool:
    """Whether the man is a slider that moves along the line to the target."""
    straight = chess.square_file(slider) == chess.square_file(target) or chess.square_rank(slider) == chess.square_rank(
        target
    )
    return board.piece_type_at(slider) in (chess.QUEEN, chess.ROOK if straight else chess.BISHOP)


def _leaves(board: chess.Board, color: chess.Color, front: chess.Square, line: chess.Bitboard) -> bool:
    """Whether the man in front has a move off the line."""
    moves = as_if_to_move(board, color)
    if moves is None:
        return False
    return any(not line & chess.BB_SQUARES[m.to_square] for m in moves.generate_legal_moves(chess.BB_SQUARES[front]))


def as_if_to_move(board: chess.Board, color: chess.Color) -> chess.Board | None:
    """The board with ``color`` to move: itself where it is, else after a pass of the other side; None when that
    side stands in check and so can't pass."""
    if board.turn == color:
        return board
    if board.is_check():
        return None
    passed = board.copy(stack=False)
    passed.push(chess.Move.null())
    return passed


def trapped(board: chess.Board, color: chess.Color) -> tuple[Trapped, ...]:
    """The pieces of ``color`` (knight, bishop, rook, queen) that are trapped.

    Rule: the piece hangs where it stands, and every move it has loses material by exchange; or it isn't attacked,
    has crossed the middle of the board, and every square it can go to loses it. A piece that simply hasn't been
    developed is not trapped, nor is one that is pinned to its king, nor any while a check has to be answered, nor one
    whose only attacker can be taken without loss. Defending it with another man is left aside.
    """
    moves = as_if_to_move(board, color)
    if moves is None or moves.is_check():
        return ()
    found = []
    for square in men(board, color):
        if board.piece_type_at(square) in (chess.PAWN, chess.KING) or board.is_pinned(color, square):
            continue
        points = loss(board, square)
        crossed = (chess.square_rank(square) > 3) == color
        if not points and not crossed:
            continue
        own = list(moves.generate_legal_moves(chess.BB_SQUARES[square]))
        attackers = board.attackers(not color, square)
        if len(attackers) == 1 and _takeable(moves, attackers.pop()):
            continue
        if (own or points) and all(exchange(moves, move) < 0 for move in own):
            found.append(Trapped(square, points))
    return tuple(found)


def overloads(board: chess.Board, color: chess.Color) -> tuple[Overload, ...]:
    """The overloaded men of ``color``.

    Rule: the man defends at least two others that are attacked and don't hang, each of which would hang without it;
    and on taking back on one of their squares it would no longer guard the other.
    """
    found = []
    enemy = not color
    threatened = [
        s
        for s in men(board, color)
        if board.is_attacked_by(enemy, s) and board.piece_type_at(s) != chess.KING and not loss(board, s)
    ]
    for defender in men(board, color):
        duties = tuple(
            s
            for s in threatened
            if s != defender
            and board.attackers_mask(color, s) & chess.BB_SQUARES[defender]
            and loss(board, s, chess.BB_SQUARES[defender])
        )
        if len(duties) >= 2 and any(_apart(board, defender, pair) for pair in combinations(duties, 2)):
            found.append(Overload(defender, duties))
    return tuple(found)


def _apart(board: chess.Board, defender: chess.Square, pair: Squares) -> bool:
    """Whether taking back on one of two squares gives up the other: from there the defender no longer guards it."""
    for first, second in (pair, pair[::-1]):
        after = board.copy(stack=False)
        piece = after.remove_piece_at(defender)
        assert piece is not None
        after.set_piece_at(first, piece)
        if not after.attackers_mask(piece.color, second) & chess.BB_SQUARES[first]:
            return True
    return False
