"""Pawn chains, and the breaks against them.

Chain, base and head after Nimzowitsch, My System (the base is where the chain is to be attacked), and lever after
Kmoch, Pawn Power in Chess; both from memory.
"""

from __future__ import annotations

from dataclasses import dataclass

import chess

from linewright.board.structure.pawns import Squares, pawns


@dataclass(frozen=True, slots=True)
class Chain:
    """Pawns of one colour that hold each other up diagonally.

    :param squares: all its pawns, ascending.
    :param bases: those that no pawn defends; a wedge has two.
    :param heads: those that defend no pawn; a spread has two.
    :param locked: an enemy pawn stands right in front of a head.
    """

    color: chess.Color
    squares: Squares
    bases: Squares
    heads: Squares
    locked: bool


@dataclass(frozen=True, slots=True)
class PawnBreak:
    """A pawn move that offers an exchange of pawns: Kmoch's lever, a step before it.

    :param source: where the pawn stands.
    :param target: where it would go.
    :param against: the enemy pawns that it would attack.
    """

    source: chess.Square
    target: chess.Square
    against: Squares


def chains(board: chess.Board, color: chess.Color) -> tuple[Chain, ...]:
    """The pawn chains of ``color``: its pawns grouped by who defends whom, groups of two and more."""
    left = set(pawns(board, color))
    found = []
    while left:
        group = _grown({min(left)}, left, color)
        left -= group
        if len(group) > 1:
            found.append(_chain(board, color, group))
    return tuple(found)


def _grown(group: set[chess.Square], among: set[chess.Square], color: chess.Color) -> set[chess.Square]:
    """The group with everything that it is linked to."""
    while True:
        near = {s for one in group for c in (color, not color) for s in chess.SquareSet(chess.BB_PAWN_ATTACKS[c][one])}
        if not (near & among) - group:
            return group
        group = group | (near & among)


def _chain(board: chess.Board, color: chess.Color, group: set[chess.Square]) -> Chain:
    guards = {s: set(chess.SquareSet(chess.BB_PAWN_ATTACKS[color][s])) & group for s in group}
    guarded = set().union(*guards.values())
    heads = tuple(sorted(s for s in group if not guards[s]))
    enemy = board.pieces(chess.PAWN, not color)
    step = 8 if color else -8
    locked = any(head + step in enemy for head in heads)
    return Chain(color, tuple(sorted(group)), tuple(sorted(group - guarded)), heads, locked)


def breaks(board: chess.Board, color: chess.Color) -> tuple[PawnBreak, ...]:
    """The pawn breaks that ``color`` has: advances, one step or two, to an empty square from which the pawn attacks
    an enemy pawn. Whether the break is good is another matter."""
    enemy = board.pieces(chess.PAWN, not color)
    found = []
    for source in pawns(board, color):
        for target in _advances(board, source, color):
            against = tuple(chess.SquareSet(chess.BB_PAWN_ATTACKS[color][target]) & enemy)
            if against:
                found.append(PawnBreak(source, target, against))
    return tuple(found)


def _advances(board: chess.Board, source: chess.Square, color: chess.Color) -> Squares:
    """The squares a pawn can step to, the rest of the Laws left aside."""
    step = 8 if color else -8
    first = source + step
    if board.piece_type_at(first):
        return ()
    at_home = chess.square_rank(source) == (1 if color else 6)
    return (first, first + step) if at_home and not board.piece_type_at(first + step) else (first,)
