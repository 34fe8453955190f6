"""Drills made from a walk: what the lesson teaches, asked back."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import chess

from linewright.board.naming import side_name
from linewright.claims.sentence.talk_scene import lesson_side
from linewright.lesson.finding import Finding
from linewright.lesson.spoken import numbered
from linewright.lesson.walk import SURE, MoveStep, Node, Walk
from linewright.practice.drills.drill import Drill, Task, drill_id, key_of
from linewright.practice.drills.judged_moves import JudgedMoves
from linewright.practice.drills.meeting_chances import reaches
from linewright.practice.drills.plan_drills import Planner, plan_drills
from linewright.practice.drills.playing_drills import tabiyas
from linewright.practice.drills.punishments import Judge, judged, punished
from linewright.practice.drills.sentence_drills import said_drills
from linewright.practice.drills.square_drills import square_drills
from linewright.practice.drills.taught_moves import DrillGames, TaughtMoves, accepted

#: Half-moves from the start up to which moves are asked: beyond, a quoted game runs on with its players' own troubles.
OPENING_PLIES = 40


@dataclass(frozen=True, slots=True)
class LeftOut:
    """A position that is not drilled, and why.

    :param move: the move in question, with its number.
    """

    fen: str
    move: str
    why: str


@dataclass(frozen=True, slots=True)
class Drills:
    """A walk's drills, the likeliest to be met first, and what was left out."""

    drills: tuple[Drill, ...]
    left_out: tuple[LeftOut, ...] = ()


def make_drills(
    walk: Walk,
    findings: Sequence[Finding] = (),
    games: DrillGames | None = None,
    judge: Judge | None = None,
    side: str = "",
    planner: Planner | None = None,
) -> Drills:
    """All drills of a walk.

    :param findings: those of a check; claims that hold become questions, refuted moves are not taught.
    :param games: the games base, for replies equally good, punishments and how likely a position is met.
    :param judge: an engine, for more of the former two.
    :param side: ``white``, ``black`` or ``both``; the side the lesson is for unless given (both where that is
        not known).
    :param planner: the games' archive, for plans.
    """
    maker = _Maker(walk, tuple(findings), games, judge, sides_of(walk, side), planner)
    drills = sorted(maker.all(), key=lambda drill: (-drill.reach, len(drill.line), drill.id))
    return Drills(tuple({drill.id: drill for drill in reversed(drills)}.values())[::-1], tuple(maker.left_out))


def sides_of(walk: Walk, side: str = "") -> tuple[chess.Color, ...]:
    """The sides to drill."""
    named = {"white": (chess.WHITE,), "black": (chess.BLACK,), "both": (chess.WHITE, chess.BLACK)}
    if side:
        return named[side]
    lesson = lesson_side(walk)
    return named["both"] if lesson is None else (lesson,)


class _Maker:
    """Makes the drills of one walk."""

    def __init__(
        self,
        walk: Walk,
        findings: tuple[Finding, ...],
        games: DrillGames | None,
        judge: Judge | None,
        sides: tuple[chess.Color, ...],
        planner: Planner | None,
    ) -> None:
        self.walk, self.findings, self.games, self.judge, self.sides = walk, findings, games, judge, sides
        self.planner = planner
        self.judged = JudgedMoves(walk, findings)
        self.taught = TaughtMoves(walk, self.judged.mistakes)
        self.steps = {step.node: i for i, step in reversed(list(enumerate(walk.steps))) if isinstance(step, MoveStep)}
        self.left_out: list[LeftOut] = []
        self._reach = {side: reaches(walk, side, games) for side in sides}

    def all(self) -> Iterator[Drill]:
        for side in self.sides:
            for drill in self._of(side):
                yield replace(drill, reach=self._reach[side].get(key_of(drill.fen), 0.0), lesson=self.walk.title)

    def _of(self, side: chess.Color) -> Iterator[Drill]:
        yield from self._moves(side)
        yield from square_drills(self.walk, self.findings, side)
        yield from said_drills(self.walk, self.findings, side)
        yield from tabiyas(self.walk, self.judged.mistakes, side)
        if self.planner is not None:
            yield from plan_drills(self.walk, self.judged.mistakes, side, self._reach[side], self.planner)

    def _moves(self, side: chess.Color) -> Iterator[Drill]:
        """Answer the opponent's move, or punish his mistake; the punishing of our own mistakes too, from his seat."""
        for key, nodes in self.taught.positions():
            board = chess.Board(nodes[0].fen)
            mistake = any(node.id in self.taught.mistakes for node in nodes)
            if board.turn != side and not mistake:
                continue
            right = self.taught.right(key)
            if not right or nodes[0].ply >= OPENING_PLIES:
                continue
            doubtful = self.taught.doubtful(key)
            if doubtful:
                self._leave_out(nodes[0], doubtful[0])
                continue
            yield self._asked(key, nodes, right, mistake)

    def _leave_out(self, at: Node, doubtful: Node) -> None:
        move = numbered(self.walk.before(doubtful.id), doubtful.san)
        self.left_out.append(LeftOut(at.fen, move, f"{move} was read unsurely (below {SURE:.0%})"))

    def _asked(self, key: str, nodes: tuple[Node, ...], right: tuple[Node, ...], mistake: bool) -> Drill:
        board = chess.Board(nodes[0].fen)
        shown = next((node for node in nodes if node.children), nodes[0])
        task = Task.PUNISH if mistake else Task.ANSWER
        moves = accepted(board, right, (node.uci for node in self.taught.wrong(key)), self.games)
        wrong = punished(self.walk, self.taught, board, moves, self.games)
        if self.judge is not None:
            moves, wrong = judged(board, moves, wrong, map(chess.Move.uci, board.legal_moves), self.judge)
        return Drill(
            drill_id(task, shown.fen, side_name(board.turn)),
            task,
            shown.fen,
            side_name(board.turn),
            self._question(shown, task),
            moves,
            wrong,
            words=self._sentence(right),
            line=self.walk.moves_to(shown.id),
            start=self.walk.start,
        )

    def _question(self, node: Node, task: Task) -> str:
        turn = side_name(node.fen.split()[1] == "w").capitalize()
        if not node.id:
            return f"{turn} to move: how does the lesson begin?"
        move = numbered(self.walk.before(node.id), node.san)
        if task is Task.PUNISH:
            return f"{move} is a mistake. How does {turn} punish it?"
        return f"{move} has been played. What does {turn} answer?"

    def _sentence(self, right: tuple[Node, ...]) -> str:
        sentences = (self.judged.sentence(self.steps[node.id]) for node in right if node.id in self.steps)
        return next((sentence for sentence in sentences if sentence), "")
