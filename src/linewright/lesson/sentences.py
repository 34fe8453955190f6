"""Where the sentences of a talk end: never inside the words of a step."""

from __future__ import annotations

import re

from linewright.lesson.step_words import step_spans
from linewright.lesson.walk import Walk

#: Captions may lack full stops: without one for this many words, the end of a move counts as one.
BREATH = 50

OPENERS = "([{\"'“‘«"
CLOSERS = ")]}\"'”’»"
SENTENCE_END = re.compile(rf"[.?!…][{re.escape(CLOSERS)}]*$")
MOVE_NUMBER = re.compile(r"\d+\s*(?:\.|…)+")


def sentence_ends(walk: Walk) -> frozenset[int]:
    """Indices after the last word of each sentence, never inside a step's words."""
    words, spans = walk.talk.words, step_spans(walk)
    inside = {i for first, last in spans for i in range(first + 1, last)}
    after_move = {last for first, last in spans if last > first}
    ends, breath = set(), 0
    for index, word in enumerate(words, 1):
        breath += 1
        last = index == len(words) or words[index].paragraph != word.paragraph
        stop = SENTENCE_END.search(word.text) and not MOVE_NUMBER.fullmatch(word.text)
        if stop and not last:
            stop = not words[index].text.lstrip(OPENERS)[:1].islower()
        if index not in inside and (last or stop or (breath >= BREATH and index in after_move)):
            ends.add(index)
            breath = 0
    return frozenset(ends)
