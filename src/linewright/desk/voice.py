"""The stage follows the voice: which of the next stops a phrase tells, by the script's own words. Pure."""

from __future__ import annotations

from rapidfuzz import fuzz

from linewright.desk.rehearsal import bare
from linewright.desk.scene import AHEAD
from linewright.desk.script import Script

#: How alike (0-100) a step's words and some of a phrase must be: a letter or two of ten may be misheard.
ALIKE = 80
#: Words of a step that are looked for at most: the end of a long sentence is said in another phrase.
LONGEST = 8


def followed(script: Script, at: int, text: str) -> int:
    """The stop that a phrase has come to, ``at`` when it tells none of the next ones.

    Steps are found in their order, each after the last one's words, so that a phrase with three moves goes on
    by three.
    """
    phrase = [word for word in map(bare, text.split()) if word]
    reached, begin = at, 0
    for stop in range(at + 1, min(at + 1 + AHEAD, len(script.stops))):
        state = script.stops[stop].state
        if state == script.stops[stop - 1].state:
            continue
        said = script.walk.steps[state - 1].said
        words = [bare(word.text) for word in script.walk.talk.words[said.first : said.last]][:LONGEST]
        end = _found(phrase, begin, [word for word in words if word])
        if end is not None:
            reached, begin = stop, end
    return reached


def _found(phrase: list[str], begin: int, words: list[str]) -> int | None:
    """Where in the phrase, from ``begin`` on, the words end; None when they aren't there."""
    if not words:
        return None
    wanted = " ".join(words)
    for start in range(begin, len(phrase) - len(words) + 1):
        if fuzz.ratio(" ".join(phrase[start : start + len(words)]), wanted) >= ALIKE:
            return start + len(words)
    return None
