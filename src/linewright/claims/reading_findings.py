"""Findings about the reading itself: places that weren't read, moves and returns that are unsure."""

from __future__ import annotations

import math
from collections.abc import Iterator

from linewright.language.evidence import Evidence, Percent, Row, plain, why
from linewright.lesson.finding import Finding, Kind, Verdict
from linewright.lesson.walk import SURE, MoveStep, Walk


def find_unread(walk: Walk) -> Iterator[Finding]:
    """The places of the talk that weren't read."""
    for place in walk.unread:
        done = walk.step_at(place.said.first)
        fen = walk.nodes[walk.node_after(done)].fen
        yield Finding(Kind.UNREAD, Verdict.UNDECIDED, place.said, fen, plain(place.why), done)


def find_unsure(walk: Walk) -> Iterator[Finding]:
    """The moves and returns that may have been misread."""
    for index, step in enumerate(walk.steps):
        if step.sure >= SURE:
            continue
        if isinstance(step, MoveStep):
            yield Finding(Kind.UNSURE, Verdict.UNDECIDED, step.said, step.before, describe_doubt(step), index)
        elif step.said.first < step.said.last:
            evidence = why("reading.going_back", sure=Percent(step.sure))
            yield Finding(Kind.UNSURE, Verdict.UNDECIDED, step.said, step.to, evidence, index + 1)


def describe_doubt(move: MoveStep) -> Evidence:
    """How a move was read, how sure that is, and what else the words may have meant."""
    if move.given:
        return why("reading.given", move=move.san)
    if not move.said.words:
        return why("reading.unsaid", move=move.san)
    sure = Percent(math.floor(100 * move.sure) / 100)  # what is called unsure must not look as sure as what isn't
    if not move.instead:
        return why("reading.only", move=move.san, sure=sure)
    others = Row(tuple(why("reading.other", move=o.san, share=Percent(o.sure)) for o in move.instead), ", ")
    return why("reading.one_of", move=move.san, sure=sure, others=others)
