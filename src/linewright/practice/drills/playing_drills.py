"""Playing on: the lesson's end positions to be played out against an engine until a goal is reached."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

import chess

from linewright.board.naming import side_name
from linewright.board.structure import pawns
from linewright.lesson.walk import Node, Walk
from linewright.practice.drills.drill import Drill, Goal, Task, drill_id

#: A tabiya stands at least this many half-moves into the game: earlier there is no middlegame to play on from.
EARLIEST = 14
#: Own moves to play, and the expected score that must be left: no worse than a small disadvantage. Common practice of
#: training games: long enough for a plan, short enough for an evening.
MOVES, LEAST = 12, 0.4


def tabiyas(walk: Walk, mistakes: Iterable[int], side: chess.Color) -> Iterator[Drill]:
    """The ends of the lesson's lines, except where the game is over or the pupil's side has made a mistake."""
    wrong = frozenset(mistakes)
    for node in walk.nodes:
        board = chess.Board(node.fen)
        if node.children or node.ply < EARLIEST or board.is_game_over() or not board.legal_moves:
            continue
        if any(n in wrong and chess.Board(walk.nodes[n].fen).turn != side for n in walk.line(node.id)):
            continue
        yield _play(walk, node, board, side)


def _play(walk: Walk, node: Node, board: chess.Board, side: chess.Color) -> Drill:
    goal = goal_of(board, side)
    return Drill(
        drill_id(Task.PLAY, node.fen, side_name(side)),
        Task.PLAY,
        node.fen,
        side_name(side),
        goal_text(goal, side),
        line=walk.moves_to(node.id),
        start=walk.start,
        goal=goal,
    )


def goal_of(board: chess.Board, side: chess.Color) -> Goal:
    """Win the other side's only isolated pawn where there is one in the centre; else hold your own."""
    weak = [s for s in pawns.isolated(board, not side) if chess.square_file(s) in (2, 3, 4, 5)]
    return Goal(MOVES, chess.square_name(weak[0]) if len(weak) == 1 else "", LEAST)


def goal_text(goal: Goal, side: chess.Color) -> str:
    """The goal as a sentence."""
    you = f"You are {side_name(side).capitalize()}."
    if goal.square:
        return f"{you} Play on: win the pawn on {goal.square}, or stand no worse after {goal.moves} moves."
    return f"{you} Play on: stand no worse after {goal.moves} moves."
