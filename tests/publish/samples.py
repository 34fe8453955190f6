"""Findings made from the marked claims of the open talks, until the checker makes its own."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from linewright.language.evidence import plain
from linewright.lesson.finding import Finding, Kind, Verdict
from linewright.lesson.walk import Alternative, BoardMark, MoveStep, Unread, Walk
from tests.support import said, walk_from_ref


def findings_from(walk: Walk, claims: list[dict[str, Any]]) -> tuple[Finding, ...]:
    found = []
    for claim in claims:
        words = said(walk.talk, *claim["at"])
        step = walk.step_at(words.first)
        found.append(
            Finding(Kind(claim["kind"]), Verdict(claim["truth"]), words, claim["fen"], plain(claim["note"]), step)
        )
    return tuple(found)


def lesson(name: str) -> tuple[Walk, tuple[Finding, ...]]:
    walk, claims = walk_from_ref(name)
    return walk, findings_from(walk, claims)


def doubtful(walk: Walk) -> Walk:
    """The walk with an unsure fourth move (two alternatives), an unread word and two marks."""
    at = 3
    step = walk.steps[at]
    assert isinstance(step, MoveStep)
    unsure = replace(step, sure=0.55, nag=5, instead=(Alternative("Nf6", "g8f6", 0.3), Alternative("a6", "a7a6", 0.1)))
    place = walk.talk.words[step.said.last].place
    later = walk.talk.words[step.said.last + 4]
    unread = Unread(said(walk.talk, *later.at), f"no <knight> can reach d5: position {step.before}")
    marks = (BoardMark("ring", ("e5",), at + 1, place), BoardMark("path", ("f3", "e5"), at + 1, place))
    steps = (*walk.steps[:at], unsure, *walk.steps[at + 1 :])
    return replace(walk, steps=steps, unread=(unread,), marks=marks)
