"""A reading as a page shows it: plain data with places in the page's own text."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from linewright.claims.reading_findings import describe_doubt
from linewright.desk.files.offsets import Offsets
from linewright.lesson.finding import Finding
from linewright.lesson.spoken import figurine, in_words, move_number, nag_sign
from linewright.lesson.walk import SURE, MoveStep, Step, Walk
from linewright.publish.page.opening_map import draw_map
from linewright.settle.questions import Question

View = dict[str, Any]


def walk_view(walk: Walk, offsets: Offsets) -> View:
    """Steps, unread places and marks; ``a`` and ``z`` are the half-open range of the words in the page's text."""
    return {
        "title": walk.title,
        "side": walk.side,
        "start": walk.start,
        "opening": walk.opening.text if walk.opening else "",
        "steps": [step_view(step, offsets) for step in walk.steps],
        "unread": [_at(offsets, u.said.first, u.said.last) | {"why": u.why} for u in walk.unread],
        "marks": [{"shape": m.shape, "squares": list(m.squares), "step": m.step} for m in walk.marks],
        "notes": list(walk.talk.notes),
    }


def step_view(step: Step, offsets: Offsets) -> View:
    """One step: a move (``san`` and the rest) or a return (``to``)."""
    at = _at(offsets, step.said.first, step.said.last)
    if not isinstance(step, MoveStep):
        return at | {"to": step.to, "node": step.node, "sure": round(step.sure, 3)}
    return at | {
        "san": step.san,
        "fig": move_number(step.before) + figurine(step.san) + nag_sign(step.nag),
        "ear": in_words(step.san),
        "uci": step.uci,
        "before": step.before,
        "fen": step.after,
        "node": step.node,
        "parent": step.parent,
        "sure": round(step.sure, 3),
        "doubt": str(describe_doubt(step)) if step.sure < SURE else "",
    }


def findings_view(findings: Sequence[Finding], offsets: Offsets) -> list[View]:
    """Findings with their places."""
    return [
        _at(offsets, f.said.first, f.said.last)
        | {
            "kind": str(f.kind),
            "verdict": str(f.verdict),
            "words": f.said.words,
            "evidence": f.evidence,
            "step": f.step,
        }
        for f in findings
    ]


def questions_view(questions: Sequence[Question], offsets: Offsets) -> list[View]:
    """The places that may be settled, with the word that each begins at."""
    return [
        _at(offsets, q.place.said.first, q.place.said.last)
        | {"first": q.first, "kind": str(q.place.kind), "words": q.place.said.words}
        for q in questions
        if q.place.doubtful
    ]


def map_view(walk: Walk) -> View:
    """The opening map to draw; nodes with the step that first led to them."""
    drawn = draw_map(walk)
    nodes = walk.nodes
    return {
        "width": drawn.width,
        "height": drawn.height,
        "rails": drawn.rails,
        "dots": [
            {"x": d.x, "y": d.y, "fork": d.fork, "end": d.end, "step": nodes[d.node].step, "fen": nodes[d.node].fen}
            for d in drawn.dots
        ],
        "labels": [
            {"x": x.x, "y": x.y, "fig": _node_move(walk, x.node), "step": nodes[x.node].step} for x in drawn.labels
        ],
    }


def _node_move(walk: Walk, node: int) -> str:
    at = walk.nodes[node]
    before = walk.nodes[at.parent].fen if at.parent is not None else walk.start
    return move_number(before) + figurine(at.san)


def _at(offsets: Offsets, first: int, last: int) -> View:
    a, z = offsets.span(first, last)
    return {"a": a, "z": z}
