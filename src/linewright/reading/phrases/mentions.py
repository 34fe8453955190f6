"""What shows that a move is only mentioned: idioms, lists of squares, judgements, closing words.

Gives names of "playing" weights, see :mod:`linewright.reading.phrases.context`.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache

from linewright.language.tables import ENGLISH, Language
from linewright.reading.phrases.phrase import Phrase
from linewright.reading.words.tokens import Token, words_between

#: Tokens before squares in which a list of places is announced.
PLACES_REACH = 9
#: A lesson closes within so many of its last words, at most this share of it.
CLOSING_WORDS = 90
CLOSING_SHARE = 0.2
#: Tokens that a closing phrase, a judgement and an idiom take at most.
CLOSING_PHRASE, JUDGEMENT, IDIOM = 4, 3, 5


@dataclass(frozen=True, eq=False)
class MentionWords:
    """The words and phrases of ``reading/mentions.toml``; see there."""

    idioms: re.Pattern[str]
    judged: re.Pattern[str]
    closing: re.Pattern[str]
    nouns: frozenset[str]
    articles: frozenset[str]
    places: frozenset[str]


@cache
def mention_words(language: Language = ENGLISH) -> MentionWords:
    """The words of a language."""
    return language.table("reading/mentions").filled(MentionWords)


class Mentions:
    """Signs of mere mentions in one talk."""

    def __init__(self, tokens: Sequence[Token], language: Language = ENGLISH) -> None:
        self.tokens = tokens
        self.words = mention_words(language)
        self.closing = closing_from(tokens, language)

    def features(self, phrase: Phrase) -> Iterator[str]:
        """What is seen around a phrase."""
        tokens, first, last, known = self.tokens, phrase.first, phrase.last, self.words
        if phrase.kind in ("takes", "castles", "check") or phrase.deed is not None:
            if known.idioms.match(words_between(tokens, first, first + IDIOM)):
                yield "idiom"
            before = {t.text for t in tokens[max(0, first - 2) : first] if not t.stop}
            if tokens[first].text in known.nouns and last == first + 1 and before & known.articles:
                yield "noun of a move"
        ended = tokens[last - 1].stop or tokens[last - 1].pause
        if not ended and known.judged.match(words_between(tokens, last, last + JUDGEMENT)):
            yield "judged after"
        if phrase.kind == "square" and any(
            t.text in known.places for t in tokens[max(0, first - PLACES_REACH) : first]
        ):
            yield "places before"
        if first >= self.closing:
            yield "closing"


def closing_from(tokens: Sequence[Token], language: Language = ENGLISH) -> int:
    """The token from which a lesson only sums up, plans and thanks; past the end when nothing shows it."""
    count, closing = len(tokens), mention_words(language).closing
    first = max(count - CLOSING_WORDS, int(count * (1.0 - CLOSING_SHARE)))
    for index in range(first, count):
        if closing.match(words_between(tokens, index, index + CLOSING_PHRASE)):
            return index
    return count
