"""Claims that the position has stood on the board before in this line."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from linewright.claims.claim_kind import ClaimKind, Facts
from linewright.claims.occurrences import Occurrence, finder
from linewright.claims.rulings import Ruling, negated, ruled
from linewright.language.evidence import Ordinal, why
from linewright.lesson.finding import Kind

#: FIDE Laws 9.2: a draw may be claimed at the third occurrence.
DRAW_TIMES: Final = 3
#: Tokens past the clause in which "the second time" must be said to be of a position.
CONTEXT: Final = 5


@dataclass(frozen=True, slots=True)
class RepetitionClaim:
    """That the position stands on the board at least so many times now."""

    times: int
    denied: bool = False


def _build(said: Occurrence) -> RepetitionClaim | None:
    nth, count = said.value("nth"), said.value("count")
    around = said.sentence.tokens[said.clause[0] : said.clause[1] + CONTEXT]
    if nth and not said.hint("of_a_position", " ".join(token.text for token in around)):
        return None
    if not count and not said.hint("asserting", said.before):
        return None
    if said.hint("sought", said.before):
        return None
    return RepetitionClaim(int(nth or count or DRAW_TIMES), said.mood.negated)


def decide(claim: RepetitionClaim, facts: Facts) -> Ruling:
    """Count the occurrences along the line (FIDE Laws 9.2)."""
    nth = Ordinal(facts.times)
    evidence = why("repetition.stands", nth=nth)
    if claim.times == DRAW_TIMES and facts.times < claim.times:
        evidence = why("repetition.stands_short", nth=nth, times=DRAW_TIMES)
    ruling = ruled(facts.times >= claim.times, evidence)
    return negated(ruling) if claim.denied else ruling


REPETITION = ClaimKind(Kind.REPETITION, finder("repetition", _build), decide)
