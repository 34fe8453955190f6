"""Words into captions that a reader likes: two short lines, seven seconds, separated where the speaker pauses."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise
from typing import Final

from linewright.hear.heard_words import HeardWord

#: Characters in a line and lines in a cue: what subtitlers agree on (common practice, 37 to 42 and two).
LINE: Final = 42
LINES: Final = 2
#: Longest and shortest time in seconds that a cue stands (common practice: 5-7 s, 5/6 to 1 s).
LONGEST: Final = 7.0
SHORTEST: Final = 1.0
#: Seconds of silence that a cue never spans; also where readers of captions begin a new paragraph.
SILENCE: Final = 2.0
#: Seconds of silence that are heard as a pause (common practice: half a second).
BREATH: Final = 0.5

# What it costs, in cues, to separate words in a place; on one scale, set by eye on the open talks.
#: A cue more: two short sentences may share one.
CUE: Final = 1.0
#: A sentence's end inside a cue.
INSIDE: Final = 0.6
#: Separating after a sentence, at a pause, after a comma, between other words, and where words belong together.
AT_END, AT_PAUSE, AT_COMMA, AT_WORD, AT_BOND = 0.0, 0.4, 0.8, 3.0, 6.0
#: A cue that stands shorter than :data:`SHORTEST`.
BRIEF: Final = 1.0
#: An empty cue; one that is partly filled costs the square of what is free, so that cues become alike in length.
EMPTY: Final = 0.5
#: Separating lines, by what it costs to separate cues there: the eye only moves down a line.
LINE_SHARE: Final = 0.5

_END = re.compile(r"[.?!…][\"'”’)\]]*$")
_COMMA = re.compile(r"[,;:–—][\"'”’)\]]*$")
#: Words that belong to what follows: a piece to its square, an article to its noun.
_BOUND = frozenset(
    "a an the of to on in at for from with by and or but no not his her its my our your their this that these"
    " king queen rook bishop knight pawn takes take promotes back b c d e f g h i he she we they it's i'm"
    .split()
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class CutCue:
    """What is shown from ``start`` to ``end`` (seconds, ``start < end`` as written), line by line."""

    start: float
    end: float
    lines: tuple[str, ...]


def cut(words: Sequence[HeardWord]) -> tuple[CutCue, ...]:
    """The words as cues: at most :data:`LINES` lines of :data:`LINE` characters and :data:`LONGEST` seconds.

    A word that is longer than a line, or is said for longer, has a cue of its own all the same. All words come
    out, in order; cues don't overlap.
    """
    bounds = _bounds(words)
    cues = []
    for first, last in pairwise(bounds):
        start = words[first].start
        until = words[last].start if last < len(words) else start + LONGEST
        end = max(min(words[last - 1].end, until), min(start + SHORTEST, until))
        cues.append(CutCue(start, min(end, start + LONGEST), _lines(tuple(w.text for w in words[first:last]))))
    return tuple(cues)


def _bounds(words: Sequence[HeardWord]) -> list[int]:
    """Where cues begin, and the end: the cheapest way to separate the words, found from the last word back."""
    count = len(words)
    costs = [cut_cost(words, i) for i in range(count)]
    best = [0.0] * (count + 1)
    following = [count] * (count + 1)
    for first in range(count - 1, -1, -1):
        best[first], following[first] = min((cost + best[last], last) for cost, last in _choices(words, costs, first))
    bounds = [0]
    while bounds[-1] < count:
        bounds.append(following[bounds[-1]])
    return bounds


def _choices(words: Sequence[HeardWord], costs: Sequence[float], first: int) -> Iterator[tuple[float, int]]:
    """Each cue that can begin with a word: its cost, and the word that it ends before."""
    inside = 0.0
    for last in range(first + 1, len(words) + 1):
        word = words[last - 1]
        seconds = word.end - words[first].start
        split = _split(tuple(w.text for w in words[first:last]))
        if last > first + 1 and (split is None or seconds > LONGEST):
            return
        brief = BRIEF if seconds < SHORTEST else 0.0
        yield CUE + inside + brief + costs[last - 1] + (split.cost if split else 0.0), last
        if last < len(words) and words[last].start - word.end >= SILENCE:
            return
        inside += INSIDE if _END.search(word.text) else 0.0


def cut_cost(words: Sequence[HeardWord], index: int) -> float:
    """What it costs to separate the words after this one, by what stands there and how long the silence is."""
    word = words[index]
    if index + 1 == len(words) or _END.search(word.text):
        return AT_END
    if words[index + 1].start - word.end >= BREATH:
        return AT_PAUSE
    return _break(word.text)


def _break(word: str) -> float:
    """What it costs to separate words after one, its sound aside."""
    if _END.search(word):
        return AT_END
    if _COMMA.search(word):
        return AT_COMMA
    return AT_BOND if word.lower().strip("\"'“‘([") in _BOUND else AT_WORD


@dataclass(frozen=True, slots=True)
class _Split:
    """How words stand in a cue: the second line begins after ``count`` of them; what that costs."""

    count: int
    cost: float


@lru_cache(maxsize=4096)
def _split(words: tuple[str, ...]) -> _Split | None:
    """How words fit a cue best, None when they are too many for one.

    Of the places that fit for a new line, the one that reads best is taken; among equals the lines are made alike
    in length.
    """
    length = sum(map(len, words)) + len(words) - 1
    free = EMPTY * max(0.0, 1 - length / (LINE * LINES)) ** 2
    if length <= LINE:
        return _Split(len(words), free)
    best: tuple[float, int] | None = None
    upper = -1
    for count, word in enumerate(words[:-1], start=1):
        upper += len(word) + 1
        lower = length - upper - 1
        if upper <= LINE and lower <= LINE:
            cost = LINE_SHARE * _break(word) + abs(upper - lower) / (LINE * LINES)
            best = min(best, (cost, count)) if best else (cost, count)
    return _Split(best[1], free + best[0]) if best else None


def _lines(words: tuple[str, ...]) -> tuple[str, ...]:
    split = _split(words)
    count = split.count if split else len(words)
    return tuple(" ".join(part) for part in (words[:count], words[count:]) if part)
