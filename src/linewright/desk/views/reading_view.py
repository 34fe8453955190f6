"""A reading as a page shows it, with places in the page's own text."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from linewright.claims.reading_findings import describe_doubt
from linewright.desk.files.offsets import Offsets
from linewright.desk.messages.readings import (
    FindingShown,
    Gap,
    MapDot,
    MapDrawn,
    MapLabel,
    MarkShown,
    MoveChoice,
    MoveShown,
    Peek,
    PlaceAsked,
    PlaceShown,
    QuestionAsked,
    ReturnShown,
    StepShown,
    UnreadShown,
    WalkRead,
)
from linewright.lesson.finding import Finding
from linewright.lesson.spoken import figurine, in_words, move_number, nag_sign
from linewright.lesson.walk import SURE, MoveStep, Step, Walk
from linewright.publish.page.opening_map import draw_map
from linewright.settle.machine import AROUND
from linewright.settle.questions import TrainerQuestion
from linewright.settle.session import Session


def peek_shown(serial: int, walk: Walk, until: int, offsets: Offsets) -> Peek:
    """A first look at a text, up to the talk's word ``until``."""
    steps = tuple(step_shown(step, offsets) for step in walk.steps)
    part = round(until / len(offsets.talk.words), 3)
    return Peek(serial, steps, offsets.span(until, until)[0], part)


def walk_shown(serial: int, walk: Walk, offsets: Offsets, more: Iterable[Step], notes: Iterable[str]) -> WalkRead:
    """Steps, unread places and marks.

    :param more: steps to show after the walk's.
    :param notes: what is said of the reading besides the talk's own notes.
    """
    return WalkRead(
        serial,
        walk.title,
        walk.side or "",
        walk.start,
        walk.opening.text if walk.opening else "",
        tuple(step_shown(step, offsets) for step in (*walk.steps, *more)),
        tuple(UnreadShown(*offsets.span(u.said.first, u.said.last), u.why) for u in walk.unread),
        tuple(MarkShown(mark.shape, mark.squares, mark.step) for mark in walk.marks),
        (*walk.talk.notes, *notes),
    )


def step_shown(step: Step, offsets: Offsets) -> StepShown:
    """A move or a return with its place."""
    a, z = offsets.span(step.said.first, step.said.last)
    sure = round(step.sure, 3)
    if not isinstance(step, MoveStep):
        return ReturnShown(a, z, step.to, step.node, sure)
    return MoveShown(
        a,
        z,
        step.san,
        move_number(step.before) + figurine(step.san) + nag_sign(step.nag),
        in_words(step.san),
        step.uci,
        step.before,
        step.after,
        step.node,
        step.parent,
        sure,
        str(describe_doubt(step)) if step.sure < SURE else "",
    )


def findings_shown(findings: Sequence[Finding], offsets: Offsets) -> tuple[FindingShown, ...]:
    """Findings with their places."""
    return tuple(
        FindingShown(
            *offsets.span(f.said.first, f.said.last), str(f.kind), str(f.verdict), f.said.words, f.evidence, f.step
        )
        for f in findings
    )


def places_shown(questions: Sequence[TrainerQuestion], offsets: Offsets) -> tuple[PlaceShown, ...]:
    """The places that may be settled."""
    return tuple(
        PlaceShown(*offsets.span(q.place.said.first, q.place.said.last), q.first, str(q.place.kind), q.place.said.words)
        for q in questions
        if q.place.doubtful
    )


def question_shown(serial: int, session: Session, question: TrainerQuestion, offsets: Offsets) -> QuestionAsked:
    """A doubtful place with the words around it and the ways to read it."""
    talk, place = session.talk, question.place
    said = place.said
    a, z = offsets.span(question.first, said.last)
    return QuestionAsked(
        serial,
        a,
        z,
        question.first,
        str(place.kind),
        talk.quote(max(0, said.first - AROUND), said.first),
        talk.quote(said.last, min(len(talk.words), said.last + AROUND)),
        place.board,
        tuple(
            PlaceAsked(p.said.words, tuple(m.san for m in p.moves), None if p.sure is None else round(p.sure, 3))
            for p in question.places
        ),
        tuple(tuple(MoveChoice(move.san) for move in choice.moves) for choice in question.choices),
        session.doubtful(),
    )


def map_shown(serial: int, walk: Walk, gaps: Sequence[Gap]) -> MapDrawn:
    """The opening map to draw; nodes with the step that first led to them."""
    drawn = draw_map(walk)
    nodes = walk.nodes
    return MapDrawn(
        serial,
        drawn.width,
        drawn.height,
        drawn.rails,
        tuple(MapDot(d.x, d.y, d.fork, d.end, nodes[d.node].step, nodes[d.node].fen) for d in drawn.dots),
        tuple(MapLabel(x.x, x.y, _node_move(walk, x.node), nodes[x.node].step) for x in drawn.labels),
        tuple(gaps),
    )


def _node_move(walk: Walk, node: int) -> str:
    at = walk.nodes[node]
    before = walk.nodes[at.parent].fen if at.parent is not None else walk.start
    return move_number(before) + figurine(at.san)
