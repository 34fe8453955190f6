"""Which plain descriptions stay: those that no move named with its square takes up."""

from __future__ import annotations

from collections.abc import Sequence

from linewright.language.tables import ENGLISH, Language
from linewright.reading.phrases.phrase import Phrase
from linewright.reading.phrases.plain_rows import plain_vocabulary
from linewright.reading.phrases.plain_words import AGENT_REACH
from linewright.reading.words.tokens import Token

#: A named move that goes on where a plain one ends, at no more than these nats, is what is meant.
NAMED = 1.5


def keep_plain(
    plain: Sequence[Phrase], named: Sequence[Sequence[Phrase]], tokens: Sequence[Token], language: Language = ENGLISH
) -> list[Phrase]:
    """The plain descriptions that no named move takes up: "brings the bishop out" but not "… to g5".

    :param named: for each token, the phrases that name a square.
    """
    return [p for p in plain if not _goes_on(p, named, tokens, plain_vocabulary(language).agents)]


def _goes_on(
    phrase: Phrase, named: Sequence[Sequence[Phrase]], tokens: Sequence[Token], agents: frozenset[str]
) -> bool:
    """A move that names its square takes up the words, or an agent with a square follows them."""
    ends = tokens[phrase.last - 1]
    if ends.stop or ends.pause:
        return False
    if phrase.kind in ("plain side", "plain it") and not phrase.takes and any(p.to for p in _next(phrase, named)):
        return True  # "he pushes e5"
    for index in range(phrase.first, phrase.last):
        for other in named[index]:
            if other.to and other.last > phrase.last and other.cost <= NAMED:
                return True
    by_whom = phrase.last < len(tokens) and tokens[phrase.last].text in agents
    near = range(phrase.last + 1, min(len(named), phrase.last + 1 + AGENT_REACH))
    return by_whom and any(other.to for index in near for other in named[index])


def _next(phrase: Phrase, named: Sequence[Sequence[Phrase]]) -> Sequence[Phrase]:
    return named[phrase.last] if phrase.last < len(named) else ()
