"""How a phrase is said: in which tense the talk around it runs, and in what frame plain words stand.

Each function gives names of "playing" weights, see :mod:`linewright.reading.phrases.context`.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from itertools import accumulate

from linewright.language.tables import ENGLISH, Language
from linewright.reading.phrases.phrase import Phrase
from linewright.reading.phrases.verbs import verb_forms
from linewright.reading.words.tokens import Token

#: Tokens looked at on either side of a phrase for the tense of its stretch.
STRETCH = 40
#: Shares of past verbs above which a stretch is in the past, or partly so; and unseen present verbs that every
#: stretch is credited with, since lessons are in the present.
PAST_SHARE = 0.7
MIXED_SHARE = 0.45
PRESENT_CREDIT = 1.0

#: Kinds of deeds that are done to something, and kinds that say little of the move.
_HITS = frozenset(("hits", "guards", "pins"))
_VAGUE = frozenset(("moves", "leaves", "advances", "pushes", "evades"))


@dataclass(frozen=True, eq=False)
class MannerWords:
    """The words of ``reading/manner.toml``; see there."""

    present: frozenset[str]
    past: frozenset[str]
    perfect: frozenset[str]
    participles: frozenset[str]
    relative: frozenset[str]
    next: frozenset[str]
    leading: frozenset[str]


@cache
def manner_words(language: Language = ENGLISH) -> MannerWords:
    """The words of a language."""
    table = language.table("reading/manner")
    verbs = [verb_forms(base, language) for base in table.listed("telling")]
    present, past = {verb.third for verb in verbs}, {verb.past for verb in verbs}
    return table.filled(MannerWords, present=table.words("present") | present, past=table.words("past") | past)


class Tense:
    """In which tense the moves of each stretch of a talk are said."""

    def __init__(self, tokens: Sequence[Token], language: Language = ENGLISH) -> None:
        self.words = manner_words(language)
        self.past = [0, *accumulate(t.text in self.words.past for t in tokens)]
        self.present = [0, *accumulate(t.text in self.words.present for t in tokens)]

    def share(self, first: int, last: int) -> float:
        """Share of past verbs around the tokens from ``first`` to ``last``, these left out."""
        past, present = (_around(counts, first, last) for counts in (self.past, self.present))
        return past / (past + present + PRESENT_CREDIT)

    def features(self, phrase: Phrase, tokens: Sequence[Token]) -> Iterator[str]:
        """What is seen of a phrase in the past tense."""
        if not phrase.past:
            return
        yield "past"
        share = self.share(phrase.first, phrase.last)
        if share >= PAST_SHARE:
            yield "past, in a past stretch"
        elif share >= MIXED_SHARE:
            yield "past, in a mixed stretch"
        words = {t.text for t in tokens[max(0, phrase.first - 2) : phrase.first]}
        if words & self.words.perfect or tokens[phrase.first].text in self.words.participles:
            yield "past, perfect"


def _around(counts: Sequence[int], first: int, last: int) -> int:
    end = len(counts) - 1
    before = counts[first] - counts[max(0, first - STRETCH)]
    return before + counts[min(end, last + STRETCH)] - counts[min(end, last)]


def plain_features(
    phrase: Phrase, tokens: Sequence[Token], after_move: bool, named_on: bool, words: MannerWords
) -> Iterator[str]:
    """In what frame plain words stand.

    :param after_move: a move's description ends just before them in the same sentence; ``named_on`` one begins
        just after them.
    """
    if not phrase.kind.startswith("plain"):
        return
    yield phrase.kind
    deed = phrase.deed
    if deed is not None:
        yield "plain, takes" if phrase.takes else "plain, hits" if deed.kind in _HITS else "plain, moves"
        if deed.kind in _VAGUE:
            yield "plain, vague"
    first = phrase.first
    while first and tokens[first - 1].text in words.leading and not (tokens[first - 1].stop or tokens[first - 1].pause):
        first -= 1
    before = tokens[first - 1] if first else None
    if before is None or before.stop:
        yield "plain, begins a sentence"
    elif before.text in words.relative or any(t.text in words.relative for t in tokens[first : phrase.first]):
        yield "plain, in a side clause"
    elif before.text in words.next:
        yield "plain, next"
    elif before.pause:
        yield "plain, begins a clause"
    if after_move:
        yield "plain, after a move"
    if named_on:
        yield "plain, named on"
    last = tokens[phrase.last - 1]
    if last.stop or last.pause or phrase.last >= len(tokens):
        yield "plain, ends a clause"
