"""Findings about the reading itself: places that weren't read, moves and returns that are unsure."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator

from linewright.language.evidence import Count, Evidence, Percent, Row, plain, why
from linewright.lesson.finding import Finding, Kind, Verdict
from linewright.lesson.spoken import numbered
from linewright.lesson.walk import MoveStep, ReturnStep, Walk


def find_unread(walk: Walk) -> Iterator[Finding]:
    """The places of the talk that weren't read."""
    for place in walk.unread:
        done = walk.step_at(place.said.first)
        fen, waits_for = walk.nodes[walk.node_after(done)].fen, walk.unsettled_at(done)
        yield Finding(Kind.UNREAD, Verdict.UNDECIDED, place.said, fen, plain(place.why), done, waits_for=waits_for)


def find_unsure(walk: Walk) -> Iterator[Finding]:
    """The moves and returns that have to be settled: the first of each stretch on whose board nothing is sure; what
    else is unsure down its branch comes of it and is only counted."""
    roots = [walk.unsettled_at(done) for done in range(1, len(walk.steps) + 1)]
    moves = Counter(root for root, step in zip(roots, walk.steps, strict=True) if isinstance(step, MoveStep))
    for index, step in enumerate(walk.steps):
        if index not in roots:
            continue
        reason = describe_doubt(step) if isinstance(step, MoveStep) else describe_return(step)
        if further := moves[index] - isinstance(step, MoveStep):
            reason = why("reading.further", evidence=reason, further=Count(further, "move more"))
        before, done = (step.before, index) if isinstance(step, MoveStep) else (step.to, index + 1)
        yield Finding(Kind.UNSURE, Verdict.UNDECIDED, step.said, before, reason, done, waits_for=index)


def ask_to_settle(walk: Walk, index: int) -> Evidence:
    """What to do before a position can be judged that a step leads to: settle that step."""
    step = walk.steps[index]
    sure = _rounded_down(step.sure)
    if isinstance(step, ReturnStep):
        return why("reading.settle_return", words=step.said.words, sure=sure)
    move = numbered(step.before, step.san)
    return (
        why("reading.settle_move", move=move, sure=sure) if step.said.words else why("reading.settle_unsaid", move=move)
    )


def _rounded_down(sure: float) -> Percent:
    """What is called unsure must not look as sure as what isn't; 0.58 is 58 %, though 57.99… in binary."""
    return Percent(math.floor(round(100 * sure, 6)) / 100)


def describe_return(step: ReturnStep) -> Evidence:
    """How surely a return was read."""
    return why("reading.going_back", sure=_rounded_down(step.sure))


def describe_doubt(move: MoveStep) -> Evidence:
    """How a move was read, how sure that is, and what else the words may have meant."""
    if move.given:
        return why("reading.given", move=move.san)
    if not move.said.words:
        return why("reading.unsaid", move=move.san)
    sure = _rounded_down(move.sure)
    if not move.instead:
        return why("reading.only", move=move.san, sure=sure)
    others = Row(tuple(why("reading.other", move=o.san, share=Percent(o.sure)) for o in move.instead), ", ")
    return why("reading.one_of", move=move.san, sure=sure, others=others)
