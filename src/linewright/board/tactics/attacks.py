"""What is attacked, defended, loose, hanging and pinned.

*Attacked* and *defended* are meant as in FIDE Laws 3.1.2: a man attacks a square it could take on, even when it is
pinned. *Loose* is an undefended man (Nunn's "loose pieces drop off"; from memory). *Hanging* is a man that the
other side can take with profit (see :mod:`linewright.board.tactics.exchange`).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import chess

from linewright.board.tactics.exchange import loss, value_at

Squares = tuple[chess.Square, ...]

_SLIDERS: Final = (chess.BISHOP, chess.ROOK, chess.QUEEN)


@dataclass(frozen=True, slots=True)
class Hanging:
    """A man that can be taken with profit.

    :param square: where it stands.
    :param points: what the other side wins by taking it, in points.
    """

    square: chess.Square
    points: int


@dataclass(frozen=True, slots=True)
class Lined:
    """Two men on the line of an enemy bishop, rook or queen, nothing else between: a pin or a skewer.

    :param front: the man that is attacked.
    :param behind: the man behind it.
    :param attacker: the bishop, rook or queen.
    """

    front: chess.Square
    behind: chess.Square
    attacker: chess.Square


@dataclass(frozen=True, slots=True)
class Pin(Lined):
    """A pin: ``front`` is pinned against ``behind``.

    :param absolute: ``behind`` is the king, so leaving the line is against the Laws (3.9.2).
    """

    absolute: bool


def men(board: chess.Board, color: chess.Color) -> Squares:
    """The squares of all men of ``color``, king included, in ascending order."""
    return tuple(chess.scan_forward(board.occupied_co[color]))


def attacked(board: chess.Board, color: chess.Color) -> Squares:
    """The men of ``color`` that an enemy man attacks, king included (FIDE Laws 3.1.2)."""
    return tuple(square for square in men(board, color) if board.is_attacked_by(not color, square))


def loose(board: chess.Board, color: chess.Color) -> Squares:
    """Loose men: no own man defends them, kings left aside."""
    kings = board.kings
    return tuple(s for s in men(board, color) if not kings & chess.BB_SQUARES[s] and not board.is_attacked_by(color, s))


def hanging(board: chess.Board, color: chess.Color) -> tuple[Hanging, ...]:
    """The men of ``color`` that the other side takes with profit if it is, or were, its move; most valuable first.

    The question is asked one square at a time: that two men hang doesn't mean that both fall.
    """
    found = [Hanging(square, loss(board, square)) for square in attacked(board, color)]
    return tuple(sorted((h for h in found if h.points > 0), key=lambda h: (-h.points, h.square)))


def pins(board: chess.Board, color: chess.Color) -> tuple[Pin, ...]:
    """The men of ``color`` that are pinned.

    *Absolute*: against their own king, as FIDE Laws 3.9.2 has it. *Relative*: against a man worth more than
    themselves that would be taken with profit if they stepped off the line. A man pinned to a square (a mate
    there) or to a man that is merely worth as much is left out. Common practice.
    """
    found = []
    for line in _lines(board, color):
        if board.piece_type_at(line.behind) == chess.KING:
            found.append(Pin(line.front, line.behind, line.attacker, absolute=True))
        elif _relative(board, line):
            found.append(Pin(line.front, line.behind, line.attacker, absolute=False))
    return tuple(sorted(found, key=lambda pin: (not pin.absolute, pin.front)))


def _relative(board: chess.Board, line: Lined) -> bool:
    if board.piece_type_at(line.front) == chess.KING or value_at(board, line.behind) <= value_at(board, line.front):
        return False
    return _falls(board, line)


def skewers(board: chess.Board, color: chess.Color) -> tuple[Lined, ...]:
    """The skewers that ``color`` suffers: a king, or a man worth more than its attacker, has to leave a line, and
    the man behind it, worth no more than itself, is then taken with profit. Common practice.

    An attacker that can itself be taken with profit skewers nothing.
    """
    found = []
    for line in _lines(board, color):
        front = board.piece_type_at(line.front)
        dear = front == chess.KING or value_at(board, line.front) > value_at(board, line.attacker)
        lesser = front == chess.KING or value_at(board, line.behind) <= value_at(board, line.front)
        king_behind = board.piece_type_at(line.behind) == chess.KING
        if dear and lesser and not king_behind and not loss(board, line.attacker) and _falls(board, line):
            found.append(line)
    return tuple(found)


def _falls(board: chess.Board, line: Lined) -> bool:
    """Whether the man behind is taken with profit when the one before it has gone; by the man on the line, so that
    one that hangs anyway is no reason."""
    without = chess.BB_SQUARES[line.front]
    if board.piece_type_at(line.behind) == chess.PAWN:
        return False
    return loss(board, line.behind, without) > loss(board, line.behind)


def _lines(board: chess.Board, color: chess.Color) -> list[Lined]:
    """Every two men of ``color`` that stand one behind the other on an enemy slider's line."""
    found = []
    sliders = [s for kind in _SLIDERS for s in board.pieces(kind, not color)]
    for attacker in sliders:
        for front in board.attacks(attacker) & board.occupied_co[color]:
            ray = chess.ray(attacker, front)
            beyond = chess.SquareSet(ray & board.occupied & ~chess.between(attacker, front))
            further = [
                s
                for s in beyond
                if chess.BB_SQUARES[front] & chess.between(attacker, s)
                and not (chess.between(front, s) & board.occupied)
            ]
            found += [Lined(front, s, attacker) for s in further if board.color_at(s) == color]
    return found


def defenders(board: chess.Board, square: chess.Square) -> Squares:
    """The men that defend the man on ``square``; () for an empty square."""
    color = board.color_at(square)
    return () if color is None else tuple(board.attackers(color, square))
