"""The talk as a readable chapter: headings and paragraphs, each in pieces of words, moves, jumps and notes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from linewright.lesson.sentences import sentence_ends
from linewright.lesson.step_words import step_spans
from linewright.lesson.walk import ReturnStep, Walk
from linewright.publish.page.margin import MarginNote
from linewright.publish.page.passage_parts import (
    BoardMarkWords,
    PassagePiece,
    PieceSetter,
    PrintedMove,
    WordRun,
    joined_runs,
)

#: Paragraphs with more words than this are broken; about two thirds of a printed page (common practice).
LONG_PARAGRAPH = 120
#: A long paragraph is broken at any sentence once it holds this many words.
ENOUGH_WORDS = 95
#: ... and at a sentence that returns to an earlier position once it holds this many.
ENOUGH_BEFORE_RETURN = 25


@dataclass(frozen=True, slots=True)
class Passage:
    """A heading (level 1-6) or a paragraph (level 0).

    :param plates: nodes whose boards are printed beside it: where lines part, where they end, what is marked.
    """

    level: int
    pieces: tuple[PassagePiece, ...]
    plates: tuple[int, ...] = ()


def set_passages(walk: Walk, margin: Sequence[MarginNote]) -> tuple[Passage, ...]:
    """The whole talk as passages; every word is printed once or replaced by the move that it states."""
    ends = sentence_ends(walk)
    starts = passage_starts(walk, ends)
    setter = PieceSetter(walk, margin, ends)
    passages = []
    for first, last in zip(starts, [*starts[1:], len(walk.talk.words)], strict=True):
        level = walk.talk.words[first].heading if first < len(walk.talk.words) else 0
        pieces = tuple(joined_runs(setter.set(first, last)))
        if level and is_title(walk, first, last) and all(isinstance(p, WordRun) for p in pieces):
            continue  # the page's own heading says it
        passages.append(Passage(level, pieces, plates(walk, pieces)))
    return tuple(passages)


def is_title(walk: Walk, first: int, last: int) -> bool:
    said = " ".join(word.text for word in walk.talk.words[first:last])
    return first == 0 and said.strip("# ") == " ".join(walk.title.split())


def plates(walk: Walk, pieces: Sequence[PassagePiece]) -> tuple[int, ...]:
    """The positions worth a printed board: first visits where lines part or end, and marked ones."""
    found: dict[int, None] = {}
    for piece in pieces:
        if isinstance(piece, BoardMarkWords):
            found[walk.node_after(piece.state)] = None
        elif isinstance(piece, PrintedMove) and is_first_visit(walk, piece.state):
            node = walk.nodes[walk.steps[piece.state - 1].node]
            if len(node.children) != 1:
                found[node.id] = None
    return tuple(found)


def is_first_visit(walk: Walk, state: int) -> bool:
    return walk.nodes[walk.steps[state - 1].node].step == state - 1


def passage_starts(walk: Walk, ends: frozenset[int]) -> list[int]:
    """Word indices at which a passage starts: the talk's own paragraphs and headings, long ones broken up."""
    words = walk.talk.words
    returns = [
        first for step, (first, _) in zip(walk.steps, step_spans(walk), strict=True) if isinstance(step, ReturnStep)
    ]
    sizes: dict[int, int] = {}
    for word in words:
        sizes[word.paragraph] = sizes.get(word.paragraph, 0) + 1
    starts = [0]
    sentences = [0, *sorted(ends)]
    for first, last in pairwise(sentences):
        held = first - starts[-1]
        goes_back = any(first <= at < last for at in returns)
        own = first > 0 and (
            words[first].paragraph != words[first - 1].paragraph or words[first].heading != words[first - 1].heading
        )
        long = sizes[words[first].paragraph] > LONG_PARAGRAPH and not words[first].heading
        enough = held >= ENOUGH_WORDS or (goes_back and held >= ENOUGH_BEFORE_RETURN)
        if own or (long and enough):
            starts.append(first)
    return starts
