"""Whose move the speaker says it is: "we castle", "he takes", "white pushes"."""

from __future__ import annotations

import re
from collections.abc import Sequence

from linewright.reading.search.beam import WRONG_COLOUR, WRONG_PERSON
from linewright.reading.words.tokens import Token

_US = frozenset("we i our my us we'll we've i'll i've we'd we're".split())
_THEM = frozenset("he she they his her their opponent he'll they'll he'd opponent's he's they're".split())
_WHITE = frozenset("white white's".split())
_BLACK = frozenset("black black's".split())
#: Words looked at before a phrase, nearest first.
REACH = 4

_SIDE = re.compile(
    r"\b(?:from|for|as|play|playing|plays|with|take|have) (?:the )?(white|black)(?:'s)?(?: side| pieces| point of view|"
    r" perspective| end)?\b"
)


def guess_side(tokens: Sequence[Token]) -> str:
    """The side a lesson is told for, from words such as "from the black side"; "" when it isn't said."""
    text = " ".join(t.text for t in tokens)
    strong = re.findall(r"\b(white|black)(?:'s)? (?:side|perspective|point of view|pieces)\b", text[:4000])
    found = strong or _SIDE.findall(text[:1500])
    if found and found.count(found[0]) * 2 > len(found):
        return str(found[0])
    return ""


def persons(tokens: Sequence[Token], side: str) -> list[tuple[bool, float] | None]:
    """For each token: (the move is White's, nats when that is wrong), or None where nothing is said."""
    out: list[tuple[bool, float] | None] = []
    for index in range(len(tokens)):
        out.append(_person(tokens, index, side))
    return out


def _person(tokens: Sequence[Token], index: int, side: str) -> tuple[bool, float] | None:
    for back in range(1, REACH + 1):
        at = index - back
        if at < 0 or tokens[at].stop:
            return None
        word = tokens[at].text
        if word in _WHITE or word in _BLACK:
            return word in _WHITE, WRONG_COLOUR
        if side and (word in _US or word in _THEM):
            return (side == "white") == (word in _US), WRONG_PERSON
        if any(c.isdigit() for c in word) or word in ("takes", "castles"):
            return None
    return None
