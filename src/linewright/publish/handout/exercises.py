"""Exercises from a lesson: positions whose next move the lesson teaches, the most instructive first."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

import chess

from linewright.lesson.walk import MoveStep, Node, Walk

#: Half-moves of an answer at most, the asked move among them.
ANSWER = 5
#: An exercise stands at least this many half-moves into the game: before that it asks for the opening's name.
EARLIEST = 6
#: Two exercises of one line lie at least this many half-moves apart, or the first gives the second away.
APART = 6

Task = Literal["mate", "find", "punish", "recall"]


@dataclass(frozen=True, slots=True)
class Exercise:
    """A position to solve.

    :param node: the position shown.
    :param task: what is asked (a label).
    :param answer: nodes of the moves that answer it, as the lesson plays on.
    """

    node: int
    task: Task
    answer: tuple[int, ...]


def exercises(walk: Walk, most: int = 6) -> tuple[Exercise, ...]:
    """The lesson's most instructive moments, in the talk's order.

    Asked are moves of the lesson's side (of either where it has none): mates first, then moves marked as good
    or made against a move marked as bad, captures with check and sacrifices, then what the lesson plays after
    the other side's branch.
    """
    ranked = sorted(_candidates(walk), key=lambda pair: (-pair[0], pair[1].node))
    chosen: list[Exercise] = []
    for _, exercise in ranked:
        if len(chosen) == most:
            break
        if all(_apart(walk, exercise.node, other.node) for other in chosen):
            chosen.append(exercise)
    return tuple(sorted(chosen, key=lambda e: (walk.nodes[e.node].step or 0, e.node)))


def _candidates(walk: Walk) -> Iterator[tuple[int, Exercise]]:
    """Every position that could be asked, with its weight."""
    nags = {step.node: step.nag for step in walk.steps if isinstance(step, MoveStep) and step.nag is not None}
    ours = {"white": (chess.WHITE,), "black": (chess.BLACK,)}.get(walk.side, (chess.WHITE, chess.BLACK))
    for node in walk.nodes:
        board = chess.Board(node.fen)
        if not node.children or node.ply < EARLIEST or board.turn not in ours:
            continue
        answer = _line(walk, walk.nodes[node.children[0]])
        weight, task = _weight(walk, node, board, nags)
        if weight:
            yield weight, Exercise(node.id, task, answer)


def _weight(walk: Walk, node: Node, board: chess.Board, nags: dict[int, int]) -> tuple[int, Task]:
    """How instructive a position's first move in the talk is, 0 for not at all."""
    child = walk.nodes[node.children[0]]
    move = chess.Move.from_uci(child.uci)
    if any(walk.nodes[at].san.endswith("#") for at in _line(walk, child)[::2]):
        return 100, "mate"
    if nags.get(child.id) in (1, 3):
        return 80, "find"
    if nags.get(node.id) in (2, 4, 6):
        return 75, "punish"
    if board.is_capture(move) and board.gives_check(move):
        return 60, "find"
    if _gives_material(board, move):
        return 55, "find"
    siblings = walk.nodes[node.parent].children if node.parent is not None else ()
    if len(siblings) > 1 and len(node.children) == 1:
        return 40, "recall"
    return (20, "find") if board.is_capture(move) and board.fullmove_number > EARLIEST else (0, "recall")


def _gives_material(board: chess.Board, move: chess.Move) -> bool:
    """Whether the man moved can be taken by a lesser one or stands undefended where it is attacked."""
    values = {chess.PAWN: 1, chess.KNIGHT: 3, chess.BISHOP: 3, chess.ROOK: 5, chess.QUEEN: 9, chess.KING: 99}
    after = board.copy(stack=False)
    man = board.piece_type_at(move.from_square) or chess.PAWN
    won = board.piece_type_at(move.to_square)
    after.push(move)
    takers = [values[after.piece_type_at(s) or 1] for s in after.attackers(after.turn, move.to_square)]
    defended = bool(after.attackers(not after.turn, move.to_square))
    worth = values[man] - (values[won] if won else 0)
    return bool(takers) and worth > 1 and (not defended or min(takers) < worth)


def _line(walk: Walk, node: Node) -> tuple[int, ...]:
    """The moves from a node on, as the lesson plays them first."""
    found = [node.id]
    while len(found) < ANSWER and (children := walk.nodes[found[-1]].children):
        found.append(children[0])
    return tuple(found)


def _apart(walk: Walk, one: int, other: int) -> bool:
    """Whether neither position stands shortly before the other on one line."""
    lines = walk.line(one), walk.line(other)
    shorter, longer = sorted(lines, key=len)
    shared = longer[: len(shorter)] == shorter
    return not shared or len(longer) - len(shorter) >= APART
