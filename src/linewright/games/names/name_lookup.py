"""Which of the base's names a user means, in whatever style they are written."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Final
from unicodedata import combining, normalize

from rapidfuzz import fuzz, process

#: What parts the words of a name beside white space.
_PARTS: Final = str.maketrans(dict.fromkeys(".-'’", " "))

#: Letters that stay as they are when accents are taken off.
_FOLDED: Final = str.maketrans({"ø": "o", "ł": "l", "đ": "d", "ı": "i", "æ": "ae", "œ": "oe", "ð": "d", "þ": "th"})

#: Names that a message offers instead, and how alike they must be (0-100, rapidfuzz's token set ratio): below it they
#: only confuse.
_OFFERED, _LIKE_ENOUGH = 3, 50


@dataclass(frozen=True, slots=True)
class ParsedName:
    """A name taken apart.

    :param surname: its words, without accents and capitals; of a name without comma, the last word.
    :param given: first names or initials, alike.
    :param sure: the name was written with a comma, so that what is the surname is beyond doubt.
    """

    surname: tuple[str, ...]
    given: tuple[str, ...]
    sure: bool

    @property
    def words(self) -> tuple[str, ...]:
        return (*self.given, *self.surname)


@lru_cache(maxsize=1 << 17)
def plain(text: str) -> str:
    """Without accents and capitals."""
    if text.isascii():
        return text.lower()
    return "".join(c for c in normalize("NFKD", text.casefold().translate(_FOLDED)) if not combining(c))


@lru_cache(maxsize=1 << 17)
def parse_name(name: str) -> ParsedName:
    """Take a name apart: ``Surname, First``, ``Surname,F`` or ``First Surname``."""
    before, comma, after = plain(name).partition(",")
    first, last = _words(before), _words(after)
    if comma:
        return ParsedName(first, last, sure=True)
    return ParsedName(first[-1:], first[:-1], sure=False)


def surname(name: str) -> str:
    """The surname's words, as :func:`parse_name` gives them, with spaces between: where nothing else is asked."""
    before, comma, _ = plain(name).partition(",")
    words = _words(before)
    return " ".join(words if comma else words[-1:])


def _words(text: str) -> tuple[str, ...]:
    return tuple(text.translate(_PARTS).split())


def may_be(asked: str, name: str) -> bool:
    """Whether ``name`` may be the player named: the surname agrees, and no first name or initial contradicts.

    ``Amber``, ``A Amber``, ``Ada Amber`` and ``Amber, A`` may all be ``Amber, Ada``; ``B. Amber`` can't.
    """
    one, other = parse_name(asked), parse_name(name)
    if not one.surname or not other.surname:
        return False
    if one.sure and other.sure:
        return one.surname == other.surname and _agree(one.given, other.given)
    known, free = (one, other) if one.sure else (other, one)
    if known.sure:
        rest = list(free.words)
        for word in known.surname:
            if word not in rest:
                return False
            rest.remove(word)
        return _agree(tuple(rest), known.given)
    if sorted(one.words) == sorted(other.words):
        return True
    return one.surname == other.surname and _agree(one.given, other.given)


def _agree(one: Sequence[str], other: Sequence[str]) -> bool:
    """No first name contradicts: each begins like its counterpart; a missing one says nothing."""
    return all(a.startswith(b) or b.startswith(a) for a, b in zip(one, other, strict=False))


def matching(asked: str, names: tuple[str, ...]) -> tuple[int, ...]:
    """Places of the names that may be the player named."""
    by_word = _by_word(names)
    places = sorted({place for word in parse_name(asked).words for place in by_word.get(word, ())})
    return tuple(place for place in places if may_be(asked, names[place]))


@lru_cache(maxsize=4)
def _by_word(names: tuple[str, ...]) -> dict[str, list[int]]:
    """Places of the names that hold a word."""
    places: dict[str, list[int]] = {}
    for place, name in enumerate(names):
        for word in parse_name(name).words:
            places.setdefault(word, []).append(place)
    return places


def nearest(asked: str, names: Sequence[str]) -> tuple[str, ...]:
    """Names that are spelled most like what was asked for, best first; none where nothing is like it."""
    found = process.extract(
        plain(asked).replace(",", " "),
        names,
        scorer=fuzz.token_set_ratio,
        processor=lambda name: plain(name).replace(",", " "),
        limit=_OFFERED,
        score_cutoff=_LIKE_ENOUGH,
    )
    return tuple(name for name, _, _ in found)
