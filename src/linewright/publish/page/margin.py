"""The notes in the margin of the trainer's page: findings, unread places, and unsure ones with alternatives."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import chess

from linewright.claims.ranking import most_serious
from linewright.language.folders import DEFAULT
from linewright.lesson.finding import Finding, Kind, Verdict
from linewright.lesson.walk import SURE, MoveStep, Walk


@dataclass(frozen=True, slots=True)
class OtherMove:
    """Another move that unsure words may have meant, with the position (full FEN) that it leads to."""

    san: str
    before: str
    after: str
    sure: float


@dataclass(frozen=True, slots=True)
class MarginNote:
    """What stands in the margin: a finding, or an unread or unsure place.

    :param first: index of the first word it speaks of.
    :param last: index after the last.
    :param state: how many steps are done at the position it speaks of.
    :param rank: its place among the most serious findings, from 1 on; 0 for the others.
    """

    number: int
    kind: Kind
    verdict: Verdict
    evidence: str
    first: int
    last: int
    state: int
    others: tuple[OtherMove, ...] = ()
    rank: int = 0


def margin_notes(walk: Walk, findings: Sequence[Finding], language: str = DEFAULT) -> tuple[MarginNote, ...]:
    """The margin's notes in the order of the talk: findings, unread places, unsure ones with alternatives.

    :param language: of the findings' evidence, as its folder in ``language/`` is named.
    """
    place = {id(finding): rank for rank, finding in enumerate(most_serious(findings), 1)}
    found = [
        MarginNote(
            number=0,
            kind=f.kind,
            verdict=f.verdict,
            evidence=f.evidence_in(language),
            first=f.said.first,
            last=f.said.last,
            state=f.step,
            others=alternatives_at(walk, f),
            rank=place.get(id(f), 0),
        )
        for f in findings
    ]
    known = {(note.kind, note.first) for note in found}
    for index, step in enumerate(walk.steps):
        if not isinstance(step, MoveStep) or step.sure >= SURE or (Kind.UNSURE, step.said.first) in known:
            continue
        if others := alternatives_of(step):  # without them the page's "(unsure)" beside the move says it all
            why = f"read as {step.san}, {step.sure:.0%} sure"
            first, last = step.said.first, step.said.last
            found.append(MarginNote(0, Kind.UNSURE, Verdict.UNDECIDED, why, first, last, index + 1, others))
    for unread in walk.unread:
        if (Kind.UNREAD, unread.said.first) not in known:
            state = walk.step_at(unread.said.first)
            first, last = unread.said.first, unread.said.last
            found.append(MarginNote(0, Kind.UNREAD, Verdict.UNDECIDED, unread.why, first, last, state))
    found.sort(key=lambda note: (note.first, note.last))
    return tuple(replace(note, number=number) for number, note in enumerate(found, 1))


def alternatives_at(walk: Walk, finding: Finding) -> tuple[OtherMove, ...]:
    """The alternatives of the unsure move that a finding speaks of."""
    if finding.kind is not Kind.UNSURE:
        return ()
    return next((alternatives_of(s) for s in walk.moves if s.said.first == finding.said.first), ())


def alternatives_of(step: MoveStep) -> tuple[OtherMove, ...]:
    """A step's alternatives as positions; one that is not legal there is left out."""
    others = []
    for other in step.instead:
        board = chess.Board(step.before)
        move = chess.Move.from_uci(other.uci)
        if board.is_legal(move):
            board.push(move)
            others.append(OtherMove(other.san, step.before, board.fen(), other.sure))
    return tuple(others)
