"""The talk: words with their places in the source and, where it was recorded, their times."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class Unit(StrEnum):
    """What ``start`` and ``end`` count."""

    SECONDS = "s"
    CHARACTERS = "char"


@dataclass(frozen=True, slots=True)
class Place:
    """A place in the source file; lines and columns count from 1, columns in characters."""

    line: int
    column: int


@dataclass(frozen=True, slots=True)
class Word:
    """One run of characters without space, with the punctuation that touches it.

    :param text: as it stands in the talk, e.g. ``"c4,"`` or ``"12.Rfe1!?"``.
    :param at: half-open character range in :attr:`Talk.text`.
    :param start: seconds for timed talks, character offset for typed ones (see :attr:`Talk.unit`).
    :param end: as ``start``.
    :param place: where it stands in the source file.
    :param paragraph: index of its paragraph (blank line, heading or list item in typed talks; a cue whose
        words follow a pause in captions), counted from 0.
    :param heading: level of the heading that the word stands in (1-6), 0 outside headings.
    :param confidence: the recogniser's probability for the word, 0-1, where the talk has it.
    """

    text: str
    at: tuple[int, int]
    start: float
    end: float
    place: Place
    paragraph: int = 0
    heading: int = 0
    confidence: float | None = None


@dataclass(frozen=True, slots=True)
class Aside:
    """One of Linewright's light marks in a typed talk, ``{name: value}``; it is not said.

    :param name: the mark's name, lower case: ``start``, ``side``, ``here``, ``back``, ``ring``, ``dot``,
        ``cross``, ``path``, ``stet``.
    :param value: the text after the colon (or after the first space), stripped; may be empty for ``stet`` only.
    :param word: index of the word it stands before (``len(words)`` at the end).
    :param place: where it stands in the source file.
    """

    name: str
    value: str
    word: int
    place: Place


@dataclass(frozen=True, slots=True)
class Caption:
    """What a caption file shows at once.

    :param first: index of its first word in the talk.
    :param last: index after its last word; never ``first``.
    :param start: seconds.
    :param end: seconds, ``start <= end``.
    :param lines: index of the first word of each line, the first of them ``first``.
    :param stamped: words whose own start the file gives (an inner time stamp).
    """

    first: int
    last: int
    start: float
    end: float
    lines: tuple[int, ...]
    stamped: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class Talk:
    """A talk as it was typed, captioned or recognised.

    :param title: the first top heading, else the file's name without its suffixes.
    :param source: the file as the user named it.
    :param unit: what the words' ``start`` and ``end`` count.
    :param text: the running text that :attr:`Word.at` points into (for typed talks: the file's own text).
    :param words: in order.
    :param asides: light marks in order; only typed talks have them.
    :param notes: what the loader had to leave out or correct, each with its place, for the user to read.
    :param captions: how a caption file cuts the words into what is shown at once, in order and without gaps;
        empty for all other talks.
    """

    title: str
    source: str
    unit: Unit
    text: str
    words: tuple[Word, ...]
    asides: tuple[Aside, ...] = ()
    notes: tuple[str, ...] = ()
    captions: tuple[Caption, ...] = ()

    def quote(self, first: int, last: int) -> str:
        """The talk's own text from word ``first`` up to, not including, word ``last``."""
        if first >= last:
            return ""
        return self.text[self.words[first].at[0] : self.words[last - 1].at[1]]
