"""Drills on what was said: which plan belongs to a position, what the trainer said of it."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import chess

from linewright.board.naming import side_name
from linewright.lesson.finding import Finding, Kind, Verdict
from linewright.lesson.walk import Walk
from linewright.practice.drills.choices import OFFERED, chosen
from linewright.practice.drills.drill import Drill, Task, drill_id
from linewright.publish.handout.takeaways import LONGEST, PLAN, Point, talk_sentences

#: Fewer words say too little to be known again.
SHORTEST = 5
#: Kinds of claims about a position that are worth knowing when they hold.
KINDS = frozenset({Kind.STRUCTURE, Kind.FILES, Kind.CENTRE, Kind.KING, Kind.ASSESSMENT, Kind.DEVELOPMENT})
#: Talk about the evening rather than the board begins so; nobody has to learn it. Common practice.
_CHAT = re.compile(r"^(?:good (?:evening|morning)|thank|hello|welcome|next week|that's it|right[.,]|okay)", re.I)


#: Words of the trade: a sentence about the board holds some. Common practice.
_TRADE = re.compile(
    r"\b(pawn|knight|bishop|rook|queen|king|castle|file|diagonal|square|centre|center|kingside|queenside|attack|pressure|"
    r"better|worse|equal|ending|pinned|isolated|backward|passed|half[- ]open|open|space|initiative|[a-h][1-8])s?\b",
    re.I,
)
#: Different words of the trade from which on a sentence says something of the position.
ENOUGH_WORDS = 2
#: Questions of each kind about one lesson at most: the talk is to be practised, not learned by heart.
MOST = 6


@dataclass(frozen=True, slots=True)
class _Kind:
    task: Task
    asked: str
    points: tuple[Point, ...]


def said_drills(walk: Walk, findings: Sequence[Finding], side: chess.Color) -> Iterator[Drill]:
    """Questions with the trainer's own sentences to choose from: the right one was said of the position shown, the
    others of other positions of the lesson. None where the talk has too few such sentences."""
    plans, claims, plain = _points(walk, findings)
    everything = (*plans, *claims, *plain)
    for kind in (
        _Kind(Task.PLAN, "What is the plan here, in the trainer’s words?", plans[:MOST]),
        _Kind(Task.SAID, "What did the trainer say of this position?", (*claims, *plain)[:MOST]),
    ):
        for point in kind.points:
            others = [p.text for p in everything if not _near(walk, point.node, p.node)]
            if len(set(others)) + 1 < OFFERED - 1:
                continue
            fen = walk.nodes[point.node].fen
            choices, right = chosen(point.text, others, fen)
            yield Drill(
                drill_id(kind.task, fen, side_name(side), point.text),
                kind.task,
                fen,
                side_name(side),
                kind.asked,
                choices=choices,
                right=right,
                words=point.text,
                line=walk.moves_to(point.node),
                start=walk.start,
            )


def _near(walk: Walk, one: int, other: int) -> bool:
    """Whether two positions are the same, or one move apart: what is said of one may be true of the other."""
    nodes = walk.nodes
    return one == other or nodes[one].parent == other or nodes[other].parent == one


def _points(walk: Walk, findings: Sequence[Finding]) -> tuple[tuple[Point, ...], tuple[Point, ...], tuple[Point, ...]]:
    """The talk's sentences that give a plan, that make a claim that holds, and that speak of the board otherwise; none
    with a claim that fails."""
    wrong = {f.said.first for f in findings if f.verdict is Verdict.FAILS}
    right = {f.said.first for f in findings if f.verdict is Verdict.HOLDS and f.kind in KINDS}
    plans: list[Point] = []
    claims: list[Point] = []
    plain: list[Point] = []
    for first, last, point in talk_sentences(walk):
        span = range(first, last)
        fits = point.node and SHORTEST <= len(span) <= LONGEST
        if not fits or wrong.intersection(span) or _CHAT.match(point.text):
            continue
        words = {word.lower() for word in _TRADE.findall(point.text)}
        if PLAN.search(point.text):
            plans.append(point)
        elif right.intersection(span):
            claims.append(point)
        elif len(words) >= ENOUGH_WORDS:
            plain.append(point)
    return tuple(plans), tuple(claims), tuple(plain)
