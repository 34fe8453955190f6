"""How a phrase is told: in which tense the talk around it runs, and in what frame plain words stand.

Each function gives names of "playing" weights, see :mod:`linewright.reading.phrases.context`.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import accumulate

from linewright.reading.phrases.phrase import Phrase
from linewright.reading.phrases.verbs import past_of, third_of
from linewright.reading.words.tokens import Token

#: Verbs that moves are told with, by their base forms; where past and base look alike they tell nothing.
_TELLING = (
    "take capture recapture castle go play move push come retreat answer reply give bring develop attack defend "
    "trade exchange jump return drop step advance want decide choose think win lose try send"
).split()
_PRESENT = frozenset(third_of(v) for v in _TELLING) | frozenset("is are has does isn't aren't doesn't can't".split())
_PAST = frozenset(past_of(v) for v in _TELLING) | frozenset("was were had did wasn't weren't hadn't didn't".split())
#: Tokens looked at on either side of a phrase for the tense of its stretch.
STRETCH = 40
#: Shares of past verbs above which a stretch is told in the past, or partly so; and unseen present verbs that every
#: stretch is credited with, since lessons are told in the present.
PAST_SHARE = 0.7
MIXED_SHARE = 0.45
PRESENT_CREDIT = 1.0

#: Before a participle, these make a state of it: "has castled", "once he's taken".
_PERFECT = frozenset(
    "has have had having i've we've you've they've he's she's it's is are was were been be being got gets already "
    "once after when i'd he'd she'd we'd they'd not never".split()
)
_RELATIVE = frozenset("which that who where whose what because as if when while".split())
_NEXT = frozenset("and so then now here but next".split())
_LEADING = frozenset(
    "the a an his her my our your their this that he she i we they you white black it opponent just simply".split()
)
_HITS = frozenset(("hits", "guards", "pins"))
_VAGUE = frozenset(("moves", "leaves", "advances", "pushes", "evades"))


class Tense:
    """In which tense each stretch of a talk tells its moves."""

    def __init__(self, tokens: Sequence[Token]) -> None:
        self.past = [0, *accumulate(t.text in _PAST for t in tokens)]
        self.present = [0, *accumulate(t.text in _PRESENT for t in tokens)]

    def share(self, first: int, last: int) -> float:
        """Share of past verbs around the tokens from ``first`` to ``last``, these left out."""
        past, present = (_around(counts, first, last) for counts in (self.past, self.present))
        return past / (past + present + PRESENT_CREDIT)

    def features(self, phrase: Phrase, tokens: Sequence[Token]) -> Iterator[str]:
        """What is said of a phrase told in the past."""
        if not phrase.past:
            return
        yield "past"
        share = self.share(phrase.first, phrase.last)
        if share >= PAST_SHARE:
            yield "past, in a past stretch"
        elif share >= MIXED_SHARE:
            yield "past, in a mixed stretch"
        words = {t.text for t in tokens[max(0, phrase.first - 2) : phrase.first]}
        if words & _PERFECT or tokens[phrase.first].text == "taken":
            yield "past, perfect"


def _around(counts: Sequence[int], first: int, last: int) -> int:
    end = len(counts) - 1
    before = counts[first] - counts[max(0, first - STRETCH)]
    return before + counts[min(end, last + STRETCH)] - counts[min(end, last)]


def plain_features(phrase: Phrase, tokens: Sequence[Token], after_move: bool, named_on: bool) -> Iterator[str]:
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
    while first and tokens[first - 1].text in _LEADING and not (tokens[first - 1].stop or tokens[first - 1].pause):
        first -= 1
    before = tokens[first - 1] if first else None
    if before is None or before.stop:
        yield "plain, begins a sentence"
    elif before.text in _RELATIVE or any(t.text in _RELATIVE for t in tokens[first : phrase.first]):
        yield "plain, in a side clause"
    elif before.text in _NEXT:
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
