"""Claims about who stands better, decided by an engine's verdict; without one they stay undecided."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace

import chess

from linewright.claims.claim_kind import ClaimKind, Facts, Found
from linewright.claims.kinds.assessment.assessment_words import (
    ANSWERED,
    ASKED,
    BANDS,
    DOUBTED,
    LEVEL,
    MATE,
    Band,
    degree,
    matches,
)
from linewright.claims.model import Kind
from linewright.claims.rulings import Reach, Ruling, Side, as_evidence, fails, holds, undecided
from linewright.claims.sentence.mood import mood
from linewright.claims.sentence.scene import Scene
from linewright.claims.sentence.whose import party, resolved
from linewright.claims.sentence.words import Sentence
from linewright.engine.signs import evidence

#: How many words an answer to "who is better?" may run on in the margin.
_ANSWER = 20
_COMPARED = re.compile(r" than\b(?! (?:white|black|his|ours?|we|he|mine|him|us|me)\b)")
_NO_ARTICLE = re.compile(r"\b(?:material|the material|material's|pawns|pieces|score)(?: is| are)?$")


@dataclass(frozen=True, slots=True)
class AssessmentClaim:
    """Who is said to stand better.

    :param side: the side spoken of; None when it is the position as a whole.
    :param degree: a name of :data:`~linewright.claims.kinds.assessment.assessment_words.BANDS`.
    :param denied: it is said not to be so.
    :param doubted: asked and half answered, or said with a doubt of one's own: the engine's figure is given, no more.
    """

    side: Side | None
    degree: str = "level"
    denied: bool = False
    doubted: bool = False


def find(sentence: Sentence, scene: Scene) -> Iterator[Found[AssessmentClaim]]:
    """The claims of a sentence about who stands better."""
    asked = _question(sentence, scene) or _answer(sentence, scene)
    if asked is not None:
        yield asked
        return
    for match in matches(sentence):
        if _NO_ARTICLE.search(sentence.text[: match.start()].rstrip()):
            continue
        trigger = sentence.token_range(match.start(), match.end())
        clause = scene.clause(sentence, trigger)
        said_as = mood(scene, sentence, clause, trigger)
        about = _about(match, scene, sentence, trigger[0], said_as.negated)
        step = scene.step_at(sentence.tokens[trigger[0]].first)
        if about.doubted:
            yield Found(about, trigger[0], min(len(sentence.tokens), trigger[0] + _ANSWER), step)
        else:
            yield Found(about, *clause, step, said_as)


def _about(match: re.Match[str], scene: Scene, sentence: Sentence, at: int, denied: bool) -> AssessmentClaim:
    named, worse = degree(match)
    groups = match.groupdict()
    who = party(groups.get("who") or groups.get("who2") or groups.get("who3") or "")
    text = sentence.text
    doubted = bool(DOUBTED.search(text[max(0, match.start() - 30) :]) or _COMPARED.match(text, match.end()))
    denied = denied or bool(re.search(r"\b(?:not|never|\w+n't)\b", match[0]))
    if who is None or named in LEVEL:
        return AssessmentClaim(None, named, denied, doubted)
    side = resolved(scene, sentence, at, who)
    if worse:
        side = Side.of(not side.color) if side.color is not None else side
    return AssessmentClaim(side, named, denied, doubted)


def _question(sentence: Sentence, scene: Scene) -> Found[AssessmentClaim] | None:
    """ "Who is better, the machine says nobody": a question with an answer in the same breath; asked alone it claims
    nothing."""
    match = ASKED.search(sentence.text)
    if match is None or not ANSWERED.search(sentence.text, match.end()):
        return None
    first = sentence.token_range(match.start(), match.end())[0]
    if first and sentence.tokens[first - 1].text not in ("and", "so", "but", "now", "well", "then"):
        return None
    step = scene.step_at(sentence.tokens[first].first)
    last = min(len(sentence.tokens), first + _ANSWER)
    return Found(AssessmentClaim(None, doubted=True), first, last, step)


def _answer(sentence: Sentence, scene: Scene) -> Found[AssessmentClaim] | None:
    """The answer in the sentence after the question: "And who is better? White, I think, by a little"."""
    before = " ".join(token.text for token in scene.told_before(sentence)[-12:])
    asked = [match.end() for match in ASKED.finditer(before)]
    if not asked or len(before) - asked[-1] > len(" here then there now"):
        return None
    said = " ".join(token.text for token in sentence.tokens[:6])
    plain = next(matches(sentence), None) is not None and not DOUBTED.search(sentence.text)
    if plain or not ANSWERED.search(said):
        return None
    step = scene.step_at(sentence.tokens[0].first)
    return Found(AssessmentClaim(None, doubted=True), 0, min(len(sentence.tokens), _ANSWER), step)


def decide(claim: AssessmentClaim, facts: Facts) -> Ruling:
    """Compare with the engine's score, in pawns; between the words' band and its leeway the claim stays undecided."""
    verdict = facts.assessed
    best = verdict.best if verdict is not None else None
    if verdict is None or best is None:
        return undecided("no engine verdict for this position")
    told = evidence(verdict, facts.after)
    if claim.doubted:
        return undecided(f"{told}; said in doubt or as a question")
    score = best.score.pawns or 0.0
    if best.score.mate is not None:
        score = MATE if best.score.mate > 0 else -MATE
    if claim.side is None:
        return _ruled(score, claim, told)
    if claim.side.reach is Reach.BOTH:
        rulings = {_ruled(s, replace(claim, side=None), told).verdict for s in (score, -score)}
        return Ruling(rulings.pop(), as_evidence(told)) if len(rulings) == 1 else undecided(told)
    if claim.side.reach is not Reach.ONE:
        return undecided(told)
    return _ruled(score if claim.side.color is chess.WHITE else -score, claim, told)


def _ruled(score: float, claim: AssessmentClaim, told: str) -> Ruling:
    band = BANDS[claim.degree]
    off = _off(score, band)
    if claim.denied:
        # What is denied holds clearly, or clearly doesn't; next to the border nobody is wrong.
        inside = min(score - band.low, band.high - score)
        return (
            fails(told) if off == 0 and inside > band.leeway else holds(told) if off > band.leeway else undecided(told)
        )
    return holds(told) if off == 0 else fails(told) if off > band.leeway else undecided(told)


def _off(score: float, band: Band) -> float:
    """By how many pawns a score misses a band; 0 inside it."""
    return max(band.low - score, score - band.high, 0.0)


ASSESSMENT = ClaimKind(Kind.ASSESSMENT, find, decide, asks_engine=True)
