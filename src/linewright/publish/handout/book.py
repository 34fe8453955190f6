"""The lesson's tree as a chess book sets it: main line, sidelines A, B, their own B1, B2, the rest in brackets."""

from __future__ import annotations

import re
import string
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from enum import IntEnum
from functools import cached_property

from linewright.lesson.lines import LessonLine, lesson_lines
from linewright.lesson.pgn import comment_place
from linewright.lesson.sentences import sentence_ends
from linewright.lesson.step_words import step_spans
from linewright.lesson.walk import BoardMark, MoveStep, Walk


class Depth(IntEnum):
    """How deep a hand-out goes."""

    OUTLINE = 1  # moves of the main line and of what branches off it
    CLUB = 2  # every line, with the sentences that speak of the position
    FULL = 3  # every line, with every sentence


#: A sentence speaks of the position when it names a square, a man or a term like these.
_TERMS = re.compile(
    r"\b(?:[a-h][1-8]|[a-h][- ](?:file|pawn)|kings?|queens?|rooks?|bishops?|knights?|pawns?|files?|ranks?|diagonals?"
    r"|squares?|squared|wings?|queenside|kingside|cent(?:re|er)|white|black|attacks?|defen[cd]\w*|threat\w*|pin(?:s|ned)?"
    r"|fork\w*|traps?|mate|check|castle[sd]?|castling|develop\w*|isolated|backward|passed|doubled|majority|endings?"
    r"|endgame|initiative|compensation|sacrific\w*|exchang\w*|transpos\w*|blockade\w*|outpost|better|worse|equal"
    r"|winning|lost|drawn?|plans?|tempo|open|half-open|structure)\b",
    re.IGNORECASE,
)
#: The end of a sentence that a move began is kept from this many words on: "leaning on the pawn".
LEAST_TAIL = 3


@dataclass(frozen=True, slots=True)
class Bit:
    """A move in a line.

    :param node: the position it leads to.
    :param comment: what is said of that position, ``""`` for nothing.
    :param refs: labels of the sections whose lines branch off instead of this move, with their first nodes.
    :param asides: lines set in brackets after it instead of in sections of their own.
    """

    node: int
    comment: str = ""
    refs: tuple[tuple[str, int], ...] = ()
    asides: tuple[tuple[Bit, ...], ...] = ()


@dataclass(frozen=True, slots=True)
class Section:
    """A line with a heading of its own.

    :param label: ``""`` for the main line, else ``A``, ``B``, ``B1`` …
    :param parent: the node that it branches from.
    :param opening: what is said before its first move.
    """

    label: str
    parent: int
    bits: tuple[Bit, ...]
    opening: str = ""

    @property
    def depth(self) -> int:
        """0 for the main line, 1 for A, 2 for A1."""
        return 0 if not self.label else 1 if self.label.isalpha() else 2

    @property
    def last(self) -> int:
        """The node that it ends in."""
        return self.bits[-1].node


def book(walk: Walk, level: Depth = Depth.CLUB) -> tuple[Section, ...]:
    """The sections in the order of a book: main line, A, A1, A2, B, …; () for a walk without moves."""
    roots = lesson_lines(walk)
    if not roots:
        return ()
    setter = _BookSetter(walk, level)
    main, *others = roots
    sides = [*main.sides, *others]
    labelled = list(zip(_letters(len(sides)), sides, strict=True))
    found = [setter.section("", main, labelled)]
    for label, side in labelled:
        deeper = [(f"{label}{n}", sub) for n, sub in enumerate(side.sides, 1)] if level > Depth.OUTLINE else []
        found.append(setter.section(label, side, deeper))
        found += [setter.section(name, sub, ()) for name, sub in deeper]
    return tuple(found)


def _letters(count: int) -> Iterator[str]:
    """A … Z, then AA, AB …"""
    for index in range(count):
        first, second = divmod(index, 26)
        yield (string.ascii_uppercase[first - 1] if first else "") + string.ascii_uppercase[second]


class _BookSetter:
    def __init__(self, walk: Walk, level: Depth) -> None:
        self.walk = walk
        self.level = level

    def section(self, label: str, line: LessonLine, labelled: Sequence[tuple[str, LessonLine]]) -> Section:
        return Section(label, line.parent, self.bits(line, labelled), self.words.get((line.nodes[0], True), ""))

    def bits(self, line: LessonLine, labelled: Sequence[tuple[str, LessonLine]]) -> tuple[Bit, ...]:
        """The line's moves; sides without a label stand in brackets where all lines are wanted."""
        named = {side.nodes[0] for _, side in labelled}
        rest = [side for side in line.sides if side.nodes[0] not in named] if self.level > Depth.OUTLINE else []
        out, parent = [], line.parent
        for node in line.nodes:
            out.append(
                Bit(
                    node,
                    self.words.get((node, False), ""),
                    tuple((label, side.nodes[0]) for label, side in labelled if side.parent == parent),
                    tuple(self.bits(side, ()) for side in rest if side.parent == parent and side.nodes[0] != node),
                )
            )
            parent = node
        return tuple(out)

    @cached_property
    def words(self) -> dict[tuple[int, bool], str]:
        """What is kept of the words, by node and whether it stands before the node's move."""
        if self.level is Depth.OUTLINE:
            return {}
        kept: dict[tuple[int, bool], list[str]] = {}
        spoken_of: set[int] = set()
        ends = sentence_ends(self.walk)
        spans = step_spans(self.walk)
        for done in range(len(spans) + 1):
            first = spans[done - 1][1] if done else 0
            last = spans[done][0] if done < len(spans) else len(self.walk.talk.words)
            node, opens, _ = comment_place(self.walk, done, spoken_of)
            if not opens:
                spoken_of.add(node)
            kept.setdefault((node, opens), []).extend(self.sentences(first, last, ends, done))
        return {place: " ".join(sentences) for place, sentences in kept.items() if sentences}

    def sentences(self, first: int, last: int, ends: frozenset[int], done: int) -> Iterator[str]:
        """The whole sentences between two steps that the level asks for, and the end of one that a move began."""
        words = self.walk.talk.words
        start, whole = first, first == 0 or first in ends
        for index in range(first + 1, last + 1):
            if index not in ends:
                continue
            text = tidy(" ".join(word.text for word in words[start:index]))
            heading = words[start].heading > 0
            wanted = self.level is Depth.FULL or bool(_TERMS.search(text))
            after_move = done > 0 and isinstance(self.walk.steps[done - 1], MoveStep)
            if not whole:
                wanted = wanted and after_move and index - start >= LEAST_TAIL
            if wanted and not heading:
                yield text
            start, whole = index, True


def tidy(text: str) -> str:
    """Words that can stand alone as a sentence: no loose punctuation before, a capital at the start."""
    text = text.strip().lstrip(",;:.–— ")
    text = text.replace("'", "’").replace("--", "–")
    if text and text[-1].isalnum():
        text += "."
    starts_with_square = re.match(r"[a-h][1-8x]", text)
    return text if starts_with_square else text[:1].upper() + text[1:]


def marks_at(walk: Walk, node: int) -> tuple[BoardMark, ...]:
    """The marks that the talk puts on a position, each once."""
    found = dict.fromkeys((m.shape, m.squares) for m in walk.marks if walk.node_after(m.step) == node)
    first = {(m.shape, m.squares): m for m in reversed(walk.marks)}
    return tuple(first[key] for key in found)
