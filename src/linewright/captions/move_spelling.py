"""Moves in captions as they should read: spoken properly or written, squares and pieces in lower case.

What was said stays said: "takes" stays "takes" where the square was left out. Which move the words mean is the
reading's business; here only its misheard parts, piece and square, are put right.
"""

from __future__ import annotations

from collections.abc import Iterator

from linewright.captions.edits import Edit, part
from linewright.captions.said_move import TAKES, said_move
from linewright.captions.spoken_moves import spoken_edits
from linewright.captions.written_moves import Notation, written_move
from linewright.lesson.step_words import step_spans
from linewright.lesson.walk import SURE, MoveStep, ReturnStep, Walk
from linewright.talk.model import Talk


def move_edits(walk: Walk, notation: Notation | None) -> Iterator[Edit]:
    """The edits of all sure moves' words; unsure moves stay as heard."""
    spans = step_spans(walk)
    ahead = [first for first, _ in (*spans, (len(walk.talk.words), 0))][1:]
    before = 0
    new_line = True
    for step, (first, last), following in zip(walk.steps, spans, ahead, strict=True):
        if isinstance(step, ReturnStep):
            new_line = True
            continue
        if step.sure >= SURE and first < last:
            first, last = widened(walk.talk, (before, following), first, last, step)
            said = said_move(walk.talk, first, last, step)
            written = written_move(said, before, notation, new_line) if notation else None
            yield from [written] if written else spoken_edits(said, max(before, first - 1))
        before, new_line = max(before, last), False


def widened(talk: Talk, free: tuple[int, int], first: int, last: int, step: MoveStep) -> tuple[int, int]:
    """A move's words with the piece just before and the square just after them, where the reading left these
    out: "queen | b3", "queen takes, | d4".

    :param free: index after the words of the move before, and of the first word of the next step.
    """
    before, following = free
    said = said_move(talk, first, last, step)
    if first > before and said.piece and said.name not in [p.low for p in said.parts]:
        previous = part(talk.words[first - 1].text)
        if previous.low == said.name and not previous.after:
            first -= 1
    ends = talk.words[last - 1].text.endswith((".", "?", "!"))
    if said.takes and said.parts[-1].low in TAKES and last < following and not ends:
        last += part(talk.words[last].text).low == said.to
    return first, last
