"""Claims about who stands better, decided by an engine's verdict; without one they stay undecided."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Final

import chess

from linewright.claims.claim_kind import ClaimKind, Facts, Found
from linewright.claims.kinds.assessment.score_bands import BANDS, LEVEL, MATE
from linewright.claims.occurrences import Occurrence, occurrence
from linewright.claims.rulings import Reach, Ruling, Side, fails, holds, undecided
from linewright.claims.sentence.owners import party, resolved
from linewright.claims.sentence.talk_scene import Scene
from linewright.claims.sentence.words import Sentence
from linewright.engine.verdict_evidence import cite_verdict
from linewright.language.evidence import Evidence, why
from linewright.language.templates import PAUSE
from linewright.language.wordings import Heard, Wording, keep_apart, word_set, wording
from linewright.lesson.finding import Kind

#: The name of the wording.
NAME: Final = "assessment"
#: How many words an answer to "who is better?" may run on in the margin.
ANSWER_WORDS: Final = 20
#: The first words of a sentence among which it answers the question before it.
FIRST_WORDS: Final = 6
#: The last words of the sentence before it that may be that question.
LAST_WORDS: Final = 12
#: Characters before a claim's own words from which on a doubt counts.
DOUBT_REACH: Final = 30


@dataclass(frozen=True, slots=True)
class AssessmentClaim:
    """Who is said to stand better.

    :param side: the side spoken of; None when it is the position as a whole.
    :param degree: a name of :data:`~linewright.claims.kinds.assessment.score_bands.BANDS`.
    :param denied: it is said not to be so.
    :param doubted: asked and half answered, or said with a doubt of one's own: the engine's figure is given, no more.
    """

    side: Side | None
    degree: str = "level"
    denied: bool = False
    doubted: bool = False


def find(sentence: Sentence, scene: Scene) -> Iterator[Found[AssessmentClaim]]:
    """The claims of a sentence about who stands better."""
    said = wording(f"claims/{NAME}", scene.language)
    asked = _find_question(sentence, scene, said) or _find_answer(sentence, scene, said)
    if asked is not None:
        yield asked
        return
    for heard in _matches(sentence, said):
        if said.hint("of material", sentence.text[: heard.start].rstrip()):
            continue
        each = occurrence(NAME, heard, sentence, scene)
        about = _build(each)
        if about.doubted:
            yield _doubtful(about, sentence, scene, each.trigger[0])
        else:
            yield each.found(about)


def _matches(sentence: Sentence, said: Wording) -> Iterator[Heard]:
    """What a sentence says of who stands better: no two matches share words, the fuller wordings first.

    The words are read twice, without punctuation as in captions, and with the pauses that there are: "White is
    winning, people say".
    """
    paused = "".join(token.text + (PAUSE if token.after.strength else " ") for token in sentence.tokens)[:-1]
    return keep_apart(heard for text in (sentence.text, paused) for heard in said.find(text))


def _build(said: Occurrence) -> AssessmentClaim:
    text, heard = said.sentence.text, said.heard
    worse, who = said.value("worse"), party(said.value("who"), said.scene.language)
    named = worse or said.value("degree") or "better"
    doubted = said.hint("doubted", text[max(0, heard.start - DOUBT_REACH) :])
    compared = said.hint("than something else", text[heard.end :].lstrip())
    denied = said.mood.negated or said.hint("not", heard.text) is not None
    claim = AssessmentClaim(None, named, denied, bool(doubted or compared))
    if who is None or named in LEVEL:
        return claim
    side = resolved(said.scene, said.sentence, said.trigger[0], who)
    if worse and side.color is not None:
        side = Side.of(not side.color)
    return replace(claim, side=side)


def _find_question(sentence: Sentence, scene: Scene, said: Wording) -> Found[AssessmentClaim] | None:
    """ "Who is better, the machine says nobody": a question with an answer in the same breath; asked alone it claims
    nothing."""
    asked = said.hint("asked", sentence.text)
    if asked is None or not said.hint("answered", sentence.text[asked.end :]):
        return None
    first = sentence.token_range(asked.start, asked.end)[0]
    if first and sentence.tokens[first - 1].text not in word_set(f"claims/{NAME}", "leads_in", scene.language):
        return None
    return _doubtful(AssessmentClaim(None, doubted=True), sentence, scene, first)


def _find_answer(sentence: Sentence, scene: Scene, said: Wording) -> Found[AssessmentClaim] | None:
    """The answer in the sentence after the question: "And who is better? White, I think, by a little"."""
    before = " ".join(token.text for token in scene.words_before(sentence)[-LAST_WORDS:])
    if not said.hint("just asked", before):
        return None
    first_words = " ".join(token.text for token in sentence.tokens[:FIRST_WORDS])
    plain = next(_matches(sentence, said), None) is not None and not said.hint("doubted", sentence.text)
    if plain or not said.hint("answered", first_words):
        return None
    return _doubtful(AssessmentClaim(None, doubted=True), sentence, scene, 0)


def _doubtful(about: AssessmentClaim, sentence: Sentence, scene: Scene, first: int) -> Found[AssessmentClaim]:
    """What is asked or doubted, with the words that follow."""
    step = scene.step_at(sentence.tokens[first].first)
    return Found(about, first, min(len(sentence.tokens), first + ANSWER_WORDS), step)


def decide(claim: AssessmentClaim, facts: Facts) -> Ruling:
    """Compare with the engine's score, in pawns; between the words' band and its leeway the claim stays undecided."""
    verdict = facts.assessed
    best = verdict.best if verdict is not None else None
    if verdict is None or best is None:
        return undecided(why("engine.none"))
    evidence = cite_verdict(verdict, facts.after)
    if claim.doubted:
        return undecided(why("engine.doubted", evidence=evidence))
    score = best.score.pawns or 0.0
    if best.score.mate is not None:
        score = MATE if best.score.mate > 0 else -MATE
    if claim.side is None:
        return _rule(score, claim, evidence)
    if claim.side.reach is Reach.BOTH:
        rulings = {_rule(s, replace(claim, side=None), evidence).verdict for s in (score, -score)}
        return Ruling(rulings.pop(), evidence) if len(rulings) == 1 else undecided(evidence)
    if claim.side.reach is not Reach.ONE:
        return undecided(evidence)
    return _rule(score if claim.side.color is chess.WHITE else -score, claim, evidence)


def _rule(score: float, claim: AssessmentClaim, evidence: Evidence) -> Ruling:
    band = BANDS[claim.degree]
    off = band.off(score)
    if claim.denied:
        # What is denied holds clearly, or clearly doesn't; next to the border nobody is wrong.
        if off > band.leeway:
            return holds(evidence)
        return fails(evidence) if band.inside(score) > band.leeway else undecided(evidence)
    return holds(evidence) if off == 0 else fails(evidence) if off > band.leeway else undecided(evidence)


ASSESSMENT = ClaimKind(Kind.ASSESSMENT, find, decide, asks_engine=True)
