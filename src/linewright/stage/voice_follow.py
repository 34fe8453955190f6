"""The stage follows the voice: which of the next stops a phrase names, by the script's own words. Pure."""

from __future__ import annotations

from rapidfuzz import fuzz

from linewright.language.numbers import figures
from linewright.language.tokens import word_key
from linewright.stage.scene import AHEAD
from linewright.stage.script import Script

#: How alike (0-100) two words must be: "night" is 91 like "knight". Squares must be the same.
ALIKE = 75
#: Words of a step that are looked for at most: the end of a long sentence is said in another phrase.
LONGEST = 8
_FIGURES = {word: figure for word, figure in figures().items() if figure in "12345678"}


def follow_phrase(script: Script, at: int, text: str) -> tuple[int, str]:
    """The stop that a phrase has come to, ``at`` when it names none of the next ones; and the words after it.

    Steps are found in their order, each after the last one's words, so that a phrase with three moves goes on
    by three.
    """
    phrase = heard_words(text)
    reached, begin = at, 0
    for stop in range(at + 1, min(at + 1 + AHEAD, len(script.stops))):
        state = script.stops[stop].state
        if state == script.stops[stop - 1].state:
            continue
        end = _found(phrase, begin, heard_words(script.walk.steps[state - 1].said.words)[:LONGEST])
        if end is not None:
            reached, begin = stop, end
    return reached, " ".join(phrase[begin:])


def heard_words(text: str) -> list[str]:
    """Words for comparing: small, without punctuation, squares as one word however they were said.

    >>> heard_words("Knight takes d four, check.")
    ['knight', 'takes', 'd4', 'check']
    """
    words = [word for word in map(word_key, text.split()) if word]
    words = [_FIGURES.get(word, word) for word in words]
    out: list[str] = []
    for word in words:
        if out and len(word) == 1 and word in "12345678" and len(out[-1]) == 1 and out[-1] in "abcdefgh":
            out[-1] += word
        else:
            out.append(word)
    return out


def _found(phrase: list[str], begin: int, words: list[str]) -> int | None:
    """Where in the phrase, from ``begin`` on, the words end; None when they aren't there."""
    if not words:
        return None
    for start in range(begin, len(phrase) - len(words) + 1):
        if all(_same(a, b) for a, b in zip(phrase[start : start + len(words)], words, strict=True)):
            return start + len(words)
    return None


def _same(heard: str, wanted: str) -> bool:
    if any(sign.isdigit() for sign in heard + wanted):
        return heard == wanted
    return fuzz.ratio(heard, wanted) >= ALIKE
