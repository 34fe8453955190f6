"""Whose move the speaker says it is: "we castle", "he takes", "white pushes"."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache

from linewright.language.tables import ENGLISH, Language
from linewright.language.templates import Pattern
from linewright.reading.words.tokens import Token
from linewright.reading.words.vocabulary import vocabulary

#: Nats for a speaker's "we", "he" against the side to move; "white", "black" weigh more.
WRONG_PERSON = 1.2
WRONG_COLOUR = 2.5
#: Words looked at before a phrase, nearest first.
REACH = 4
#: Characters of a talk's beginning in which its side is looked for, where it is said plainly and less so.
SIDE_PLAINLY, SIDE_REACH = 4000, 1500


@dataclass(frozen=True, eq=False)
class _SideWords:
    """The words of ``sides.toml`` that say who moves; see there."""

    white: frozenset[str]
    black: frozenset[str]
    us: frozenset[str]
    them: frozenset[str]


@cache
def _side_words(language: Language) -> _SideWords:
    return language.table("sides").filled(_SideWords)


def guess_side(tokens: Sequence[Token], language: Language = ENGLISH) -> str:
    """The side a lesson is given for, from words such as "from the black side"; "" when it isn't said."""
    text, table = " ".join(t.text for t in tokens), language.table("sides")
    plainly = list(_sides(table.phrases("lesson_side_plainly"), text[:SIDE_PLAINLY]))
    found = plainly or list(_sides(table.phrases("lesson_side"), text[:SIDE_REACH]))
    if found and found.count(found[0]) * 2 > len(found):
        return found[0]
    return ""


def _sides(pattern: Pattern | None, text: str) -> Iterator[str]:
    """The sides named by a pattern's matches, in order."""
    for match in pattern.regex.finditer(text) if pattern is not None else ():
        yield "white" if pattern is not None and pattern.value(match, "white") else "black"


def persons(tokens: Sequence[Token], side: str, language: Language = ENGLISH) -> list[tuple[bool, float] | None]:
    """For each token: (the move is White's, nats when that is wrong), or None where nothing is said.

    :param side: the side the lesson is given for, ``""`` when it isn't known.
    """
    return [_person(tokens, index, side, language) for index in range(len(tokens))]


def _person(tokens: Sequence[Token], index: int, side: str, language: Language) -> tuple[bool, float] | None:
    known = _side_words(language)
    for back in range(1, REACH + 1):
        at = index - back
        if at < 0 or tokens[at].stop:
            return None
        word = tokens[at].text
        if word in known.white or word in known.black:
            return word in known.white, WRONG_COLOUR
        if side and (word in known.us or word in known.them):
            return (side == "white") == (word in known.us), WRONG_PERSON
        if any(c.isdigit() for c in word) or word in vocabulary(language).ends_move:
            return None
    return None
