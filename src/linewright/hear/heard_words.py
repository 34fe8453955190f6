"""What was heard: words with their times and how sure the recogniser is of each."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from typing import Literal, Protocol

from linewright.hear.recording import Sound

#: What a job is doing, seconds of the recording done, seconds in all (None while unknown).
Progress = Callable[[Literal["opening", "hearing"], float, float | None], None]


@dataclass(frozen=True, slots=True)
class HeardWord:
    """One word as the recogniser wrote it, with the punctuation that touches it.

    :param start: seconds from the recording's beginning; ``start <= end``.
    :param p: the recogniser's probability for the word, 0-1.
    """

    text: str
    start: float
    end: float
    p: float


@dataclass(frozen=True, slots=True)
class HeardStretch:
    """What a recogniser heard up to a moment: its words (none in silence) and that moment in seconds.

    A word's text begins with a space unless it belongs to the word before ("Caro", "-Kann").
    """

    words: tuple[HeardWord, ...]
    until: float


class Recogniser(Protocol):
    """Turns sound into words, stretch by stretch, so that progress shows and Ctrl-C is noticed between them."""

    @property
    def name(self) -> str:
        """How the user knows the model."""

    def stretches(self, sound: Sound, prompt: str) -> Iterator[HeardStretch]:
        """Hear a recording; ``prompt`` is text in the manner of what is going to be said."""


def hear(sound: Sound, recogniser: Recogniser, prompt: str, progress: Progress | None = None) -> tuple[HeardWord, ...]:
    """The words of a recording in order, starts never going back, none without letters or digits of its own."""
    pieces: list[HeardWord] = []
    for stretch in recogniser.stretches(sound, prompt):
        pieces += stretch.words
        if progress:
            progress("hearing", min(stretch.until, sound.seconds), sound.seconds)
    return tuple(_ordered(_joined(pieces), sound.seconds))


def _joined(pieces: Iterable[HeardWord]) -> Iterator[HeardWord]:
    """Whole words: a piece without a space before it goes on with the last; sure only as its least sure piece."""
    word: HeardWord | None = None
    for piece in pieces:
        if not piece.text.strip():
            continue
        if word is None or piece.text[0].isspace():
            if word:
                yield word
            word = replace(piece, text=piece.text.strip())
        else:
            text = word.text + piece.text.strip()
            word = HeardWord(text, word.start, max(word.end, piece.end), min(word.p, piece.p))
    if word:
        yield word


def _ordered(words: Iterable[HeardWord], seconds: float) -> Iterator[HeardWord]:
    """Times inside the recording, no word beginning before the one in front of it."""
    latest = 0.0
    for word in words:
        start = min(max(word.start, latest), seconds)
        yield replace(word, start=start, end=min(max(word.end, start), seconds))
        latest = start
