"""Pawn structure: what the pawns of a position show, each trait by a stated rule.

Every function is pure, takes a :class:`chess.Board` and a colour, and gives squares in ascending order of
``chess.Square`` (a1 = 0 … h8 = 63). "In front" is seen from the pawn's own side.

The traits are those that handbooks define alike; where handbooks differ (backward, hanging pawns), the rule
chosen is stated. No edition is at hand, so definitions are given as "common practice", or "from memory" where
a book is named.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

import chess

Squares = tuple[chess.Square, ...]


class Wing(StrEnum):
    QUEENSIDE = "queenside"
    KINGSIDE = "kingside"


#: The files that count as a wing, with and without the neighbouring centre file. Trainers count both ways
#: ("three against two on the queenside" in the Benoni leaves the d pawns out). Common practice.
WING_FILES: dict[Wing, tuple[tuple[int, ...], tuple[int, ...]]] = {
    Wing.QUEENSIDE: ((0, 1, 2), (0, 1, 2, 3)),
    Wing.KINGSIDE: ((5, 6, 7), (4, 5, 6, 7)),
}


def pawns(board: chess.Board, color: chess.Color) -> Squares:
    """All pawns of ``color``."""
    return tuple(board.pieces(chess.PAWN, color))


def on_file(board: chess.Board, color: chess.Color, file: int) -> Squares:
    """The pawns of ``color`` on one file (0 = a … 7 = h)."""
    return tuple(board.pieces(chess.PAWN, color) & chess.BB_FILES[file])


def islands(board: chess.Board, color: chess.Color) -> tuple[tuple[int, ...], ...]:
    """Pawn islands: the longest runs of neighbouring files that hold pawns of ``color``, as file numbers.

    Definition: a group of pawns with no own pawn on the files beside it. Common practice.
    """
    runs: list[list[int]] = []
    for file in sorted({chess.square_file(s) for s in pawns(board, color)}):
        if runs and runs[-1][-1] == file - 1:
            runs[-1].append(file)
        else:
            runs.append([file])
    return tuple(tuple(run) for run in runs)


def isolated(board: chess.Board, color: chess.Color) -> Squares:
    """Isolated pawns: no pawn of their own colour on either file beside them.

    Doubled pawns without neighbours are isolated, both of them. Common practice.
    """
    own = board.pieces(chess.PAWN, color)
    return tuple(s for s in own if not own & _beside(chess.square_file(s)))


def doubled(board: chess.Board, color: chess.Color) -> Squares:
    """Doubled pawns: two or more pawns of one colour on one file; all of them are given. Common practice."""
    return _stacked(board, color, 2)


def tripled(board: chess.Board, color: chess.Color) -> Squares:
    """Tripled pawns: three or more pawns of one colour on one file. Common practice."""
    return _stacked(board, color, 3)


def passed(board: chess.Board, color: chess.Color) -> Squares:
    """Passed pawns: no enemy pawn in front of them on their own file or on a file beside it.

    The rear one of doubled pawns counts as well when no enemy pawn is in front. Common practice.
    """
    enemy = board.pieces(chess.PAWN, not color)
    return tuple(s for s in pawns(board, color) if not enemy & _span(s, color))


def protected_passed(board: chess.Board, color: chess.Color) -> Squares:
    """Protected passed pawns: passed pawns that a pawn of their own defends. Common practice."""
    return tuple(s for s in passed(board, color) if defended_by_pawn(board, s, color))


def defended_by_pawn(board: chess.Board, square: chess.Square, color: chess.Color) -> bool:
    """Whether a pawn of ``color`` attacks ``square``."""
    return bool(board.attackers(color, square) & board.pieces(chess.PAWN, color))


def unsupported(board: chess.Board, color: chess.Color) -> Squares:
    """Pawns left behind: own pawns stand on a file beside them, but all of those are further advanced.

    The wide sense of "backward"; :func:`backward` asks for more.
    """
    own = board.pieces(chess.PAWN, color)
    found = []
    for square in own:
        beside = own & _beside(chess.square_file(square))
        if beside and all(_ahead(other, square, color) for other in beside):
            found.append(square)
    return tuple(found)


def held_back(board: chess.Board, color: chess.Color) -> Squares:
    """Pawns with no own pawn beside and behind them, whose stop square an enemy pawn attacks.

    The widest sense of "backward", which also takes in a pawn that one level with it could still support, as the d6
    pawn beside a pawn on c6; common practice.
    """
    own, enemy = board.pieces(chess.PAWN, color), board.pieces(chess.PAWN, not color)
    found = []
    for square in own:
        beside = own & _beside(chess.square_file(square))
        behind = any(_ahead(square, other, color) for other in beside)
        stop = square + (8 if color else -8)
        if not behind and board.attackers(not color, stop) & enemy:
            found.append(square)
    return tuple(found)


def backward(board: chess.Board, color: chess.Color) -> Squares:
    """Backward pawns.

    Rule: (1) an own pawn stands on a file beside it, and every such pawn is further advanced, so that none can
    come to support it; (2) the square in front of it is attacked by an enemy pawn, so that it can't advance
    safely; (3) it is the foremost own pawn of its file. A pawn on its first square whose two-step move passes
    the guarded square counts too: it could be taken in passing. After Kmoch, Pawn Power in Chess, whose
    backward pawn has its stop square under a sentry's guard; from memory.
    """
    enemy = board.pieces(chess.PAWN, not color)
    found = []
    for square in unsupported(board, color):
        stop = square + (8 if color else -8)
        foremost = not any(_ahead(other, square, color) for other in on_file(board, color, chess.square_file(square)))
        if foremost and board.attackers(not color, stop) & enemy:
            found.append(square)
    return tuple(found)


def pairs_alone(board: chess.Board, color: chess.Color) -> tuple[tuple[chess.Square, chess.Square], ...]:
    """Islands of exactly two pawns on neighbouring files, both files free of enemy pawns: the wide sense of
    hanging pawns, wherever the two stand."""
    found = []
    for run in islands(board, color):
        if len(run) != 2:
            continue
        left, right = (on_file(board, color, file) for file in run)
        if len(left) == len(right) == 1 and not any(on_file(board, not color, file) for file in run):
            found.append((left[0], right[0]))
    return tuple(found)


def hanging_pawns(board: chess.Board, color: chess.Color) -> tuple[chess.Square, ...]:
    """Hanging pawns: the pair on the c and d files, or () when there is none.

    Rule: own pawns side by side on the c and d files on their fourth rank (c4 d4, black c5 d5), no own pawn on
    the b or e file, no second own pawn on c or d, and both files half-open. Common practice.
    """
    rank = 3 if color else 4
    for left, right in pairs_alone(board, color):
        if (left, right) == (chess.square(2, rank), chess.square(3, rank)):
            return (left, right)
    return ()


def isolated_queens_pawn(board: chess.Board, color: chess.Color) -> chess.Square | None:
    """The isolated queen's pawn: the only pawn on the d file, with no own pawn on c or e and no enemy pawn
    on the d file. Common practice."""
    own = on_file(board, color, 3)
    if len(own) == 1 and own[0] in isolated(board, color) and not on_file(board, not color, 3):
        return own[0]
    return None


@dataclass(frozen=True, slots=True)
class WingCount:
    """Pawns on a wing counted in one way: the files, and each side's pawns on them."""

    files: tuple[int, ...]
    white: int
    black: int

    def of(self, color: chess.Color) -> int:
        return self.white if color else self.black


def wing_counts(board: chess.Board, wing: Wing) -> tuple[WingCount, WingCount]:
    """The pawns of a wing, counted without and with the neighbouring centre file (see ``WING_FILES``)."""
    narrow, wide = WING_FILES[wing]
    return _count(board, narrow), _count(board, wide)


def symmetric(board: chess.Board) -> bool:
    """Whether the two sides' pawns mirror each other across the middle of the board. Common practice."""
    white = int(board.pieces(chess.PAWN, chess.WHITE))
    return chess.flip_vertical(white) == int(board.pieces(chess.PAWN, chess.BLACK))


def _count(board: chess.Board, files: tuple[int, ...]) -> WingCount:
    white, black = (sum(len(on_file(board, color, file)) for file in files) for color in (True, False))
    return WingCount(files, white, black)


def _beside(file: int) -> chess.SquareSet:
    """The files beside a file, as a set of squares."""
    mask = 0
    for other in (file - 1, file + 1):
        if 0 <= other <= 7:
            mask |= chess.BB_FILES[other]
    return chess.SquareSet(mask)


def _span(square: chess.Square, color: chess.Color) -> chess.SquareSet:
    """The squares in front of a pawn on its own file and the files beside it."""
    file = chess.square_file(square)
    files = chess.SquareSet(chess.BB_FILES[file]) | _beside(file)
    return chess.SquareSet(s for s in files if _ahead(s, square, color))


def _ahead(one: chess.Square, other: chess.Square, color: chess.Color) -> bool:
    """Whether square ``one`` lies on a rank further ahead than ``other``, seen from ``color``."""
    step = chess.square_rank(one) - chess.square_rank(other)
    return step > 0 if color else step < 0


def _stacked(board: chess.Board, color: chess.Color, least: int) -> Squares:
    stacks = (on_file(board, color, file) for file in range(8))
    return tuple(sorted(s for stack in stacks if len(stack) >= least for s in stack))
