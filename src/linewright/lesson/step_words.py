"""Which words of the talk state which step: word ranges that never overlap and never run backwards."""

from __future__ import annotations

from bisect import bisect_left
from itertools import pairwise

from linewright.lesson.walk import Walk
from linewright.talk.model import Place, Talk


def step_spans(walk: Walk) -> tuple[tuple[int, int], ...]:
    """For each step the half-open range of words that state it.

    Ranges are in order and disjoint even where a reading gives several steps the same words (``"1.e4e5"``
    as one word): the later step then gets an empty range.
    """
    spans: list[tuple[int, int]] = []
    done, count = 0, len(walk.talk.words)
    for step in walk.steps:
        first = min(max(step.said.first, done), count)
        done = min(max(step.said.last, first), count)
        spans.append((first, done))
    return tuple(spans)


def step_stretches(walk: Walk) -> tuple[tuple[int, int], ...]:
    """The whole talk cut into ``len(steps) + 1`` word ranges: before the first step, then one for each step.

    A step's range starts with its own words and reaches up to the words of the next step, so that the ranges
    together hold every word exactly once.
    """
    starts = [0, *(first for first, _ in step_spans(walk)), len(walk.talk.words)]
    return tuple(pairwise(starts))


def word_at(talk: Talk, place: Place) -> int:
    """Index of the first word that stands at or after a place in the source (``len(words)`` at the end)."""
    return bisect_left(talk.words, (place.line, place.column), key=lambda word: (word.place.line, word.place.column))
