"""Claims about who stands better, decided by an engine's verdict; without one they stay open."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

import chess

from linewright.claims.model import Kind
from linewright.claims.mood import mood
from linewright.claims.patterns import listed
from linewright.claims.registry import ClaimKind, Facts, Found
from linewright.claims.ruling import Reach, Ruling, Side, fails, holds, undecided
from linewright.claims.scene import Scene
from linewright.claims.whose import party, resolved
from linewright.claims.words import Sentence
from linewright.engine.signs import CLEAR, SLIGHT, WINNING, evidence

#: Pawns by which a score may miss the band of the words before they are called false: trainers and engines differ
#: by so much over the same position, and a true claim called false is the worst error.
LEEWAY = 0.4
#: The bands of the words, in pawns for the side that is said to be better: least and most.
_BANDS = {"slight": (0.0, CLEAR + LEEWAY), "better": (SLIGHT, 99.0), "clear": (CLEAR, 99.0), "winning": (WINNING, 99.0)}
_WHO = listed("white white's black black's we we're he he's they they're")
_SIDED = re.compile(
    rf"\b(?P<who>{_WHO}) (?:(?:is|are|stands|has|have|simply|just|already|now|still|even) )*"
    r"(?:(?P<clear>(?:clearly|much|far|considerably) better)"
    r"|(?P<slight>(?:slightly|a (?:bit|little|shade|touch)) better)"
    r"|(?P<winning>(?:completely |simply |totally |clearly )?(?:winning|lost))|(?P<better>better))"
    rf"(?=$| {listed('here now already in after with because and but so though at on again if')}\b)"
)
_LEVEL = re.compile(
    r"\b(?:(?:this|it|that|position|game) is|it's|that's) (?:(?:absolutely|about|roughly|completely|dead|simply) )*"
    r"(?:equal|level|balanced)\b"
)


@dataclass(frozen=True, slots=True)
class AssessmentClaim:
    """Who is said to stand better.

    :param side: the side said to be better; None when the position is said to be level.
    :param degree: ``slight``, ``better``, ``clear``, ``winning``; empty when level.
    :param denied: it is said not to be so.
    """

    side: Side | None
    degree: str = ""
    denied: bool = False


def find(sentence: Sentence, scene: Scene) -> Iterator[Found[AssessmentClaim]]:
    """The claims of a sentence about who stands better."""
    for pattern in (_SIDED, _LEVEL):
        for match in pattern.finditer(sentence.text):
            trigger = sentence.token_range(match.start(), match.end())
            clause = scene.clause(sentence, trigger)
            said_as = mood(scene, sentence, clause, trigger)
            step = scene.step_at(sentence.tokens[trigger[0]].first)
            yield Found(_about(match, scene, sentence, trigger[0], said_as.negated), *clause, step, said_as)


def _about(match: re.Match[str], scene: Scene, sentence: Sentence, at: int, denied: bool) -> AssessmentClaim:
    groups = match.groupdict()
    who = party(groups["who"]) if groups.get("who") else None
    if who is None:
        return AssessmentClaim(None, "", denied)
    side = resolved(scene, sentence, at, who)
    if match[0].endswith("lost") and side.color is not None:
        side = Side.of(not side.color)
    return AssessmentClaim(side, next(name for name in _BANDS if groups.get(name)), denied)


def decide(claim: AssessmentClaim, facts: Facts) -> Ruling:
    """Compare with the engine's score, in pawns; between the words' band and its leeway the claim stays open."""
    verdict = facts.assessed
    best = verdict.best if verdict is not None else None
    if verdict is None or best is None:
        return undecided("no engine verdict for this position: left open")
    told = evidence(verdict)
    if claim.denied or (claim.side is not None and claim.side.reach is not Reach.ONE):
        return undecided(told)
    pawns = best.score.pawns if best.score.mate is None else (99.0 if best.score.mate > 0 else -99.0)
    score = pawns or 0.0
    if claim.side is None:
        return _within(abs(score), 0.0, SLIGHT, told)
    low, high = _BANDS[claim.degree]
    return _within(score if claim.side.color is chess.WHITE else -score, low, high, told)


def _within(score: float, low: float, high: float, told: str) -> Ruling:
    if low <= score <= high:
        return holds(told)
    return fails(told) if score < low - LEEWAY or score > high + LEEWAY else undecided(told)


ASSESSMENT = ClaimKind(Kind.ASSESSMENT, find, decide, asks_engine=True)
