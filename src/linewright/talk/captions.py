"""Captions of any format: from timed cues to a talk."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import accumulate, pairwise

from linewright.talk.model import Caption, Talk, Unit, Word
from linewright.talk.places import Lines, at

#: Seconds of silence after which a new paragraph begins: a breath takes under one second, a change of thought
#: more than two (common practice; within a line the open talks never pause for a whole second).
PAUSE = 2.0
#: Seconds between two cues up to which the second can still show what the first showed (live captions scroll
#: without a gap; players' rounding stays well below this).
ROLLING_GAP = 0.5
#: Words that a cue must repeat to be taken for scrolling in any file: fewer are said twice in earnest,
#: "takes, takes".
ROLLING_WORDS = 3
#: Share of cues that repeat the one before from which a file is taken for live captions, so that shorter
#: repeats count too (live captions repeat in nearly every cue, a trainer in one of twenty).
ROLLING_SHARE = 1 / 3

#: ``[hours:]minutes:seconds.thousandths``; SubRip writes a comma.
STAMP = r"(?:([0-9]{1,6}):)?([0-5]?[0-9]):([0-5][0-9])[.,]([0-9]{1,3})"
_STAMP = re.compile(STAMP)
#: Invisible characters that captions use for direction and joining; no part of a word.
INVISIBLE = "\u200b\u200c\u200d\u200e\u200f\u2060\ufeff"


def seconds(stamp: str) -> float | None:
    """A time stamp in seconds, None when it is none.

    >>> seconds("01:02:03.500"), seconds("02:03,5"), seconds("02:63.000")
    (3723.5, 123.5, None)
    """
    match = _STAMP.fullmatch(stamp)
    if not match:
        return None
    hours, minutes, whole, part = match.groups()
    return int(hours or 0) * 3600 + int(minutes) * 60 + int(whole) + int(part.ljust(3, "0")) / 1000


def cue_times(
    line: str, stamps: tuple[str, str] | None, offset: int, notes: list[tuple[int, str]]
) -> tuple[float, float] | None:
    """A cue's start and end in seconds, None when its line of times holds none; what is corrected is noted.

    :param stamps: the two time stamps as they stand in the line, None when it doesn't look like one.
    :param offset: where the line begins in the file, for the notes.
    """
    start, end = (seconds(stamps[0]), seconds(stamps[1])) if stamps else (None, None)
    if start is None or end is None:
        notes.append((offset, f"not valid cue times, so the cue is left out: {line[:60]!r}"))
        return None
    if end < start:
        notes.append((offset, f"the cue ends before it begins ({line.strip()!r}); its end is taken as its start"))
        end = start
    return start, end


@dataclass(frozen=True, slots=True)
class Spoken:
    """A word of a cue.

    :param offset: where it stands in the caption file.
    :param after: seconds, when the file says at which moment the word begins.
    """

    text: str
    offset: int
    after: float | None = None


@dataclass(frozen=True, slots=True)
class ReadCue:
    """What is shown from ``start`` to ``end`` (seconds, ``start <= end``), line by line."""

    start: float
    end: float
    lines: tuple[tuple[Spoken, ...], ...]

    @property
    def words(self) -> tuple[Spoken, ...]:
        return tuple(word for line in self.lines for word in line)


@dataclass(frozen=True, slots=True)
class Captions:
    """A caption file's cues and what its loader has to say, each note with its offset."""

    cues: tuple[ReadCue, ...]
    notes: tuple[tuple[int, str], ...]


def spoken(pieces: Iterable[tuple[str, int] | float]) -> tuple[tuple[Spoken, ...], ...]:
    """Words by line, from a cue's characters with their offsets and the inner time stamps between them."""
    lines: list[tuple[Spoken, ...]] = []
    line: list[Spoken] = []
    letters = ""
    begin = 0
    pending: float | None = None
    stamp: float | None = None
    for piece in (*pieces, ("\n", 0)):
        if isinstance(piece, float):
            pending = piece
            continue
        char, offset = piece
        if char in INVISIBLE:
            continue
        if not char.isspace():
            if not letters:
                begin, stamp = offset, pending
            letters, pending = letters + char, None
            continue
        if letters:
            line.append(Spoken(letters, begin, stamp))
            letters = ""
        if char == "\n":
            if line:
                lines.append(tuple(line))
            line = []
    return tuple(lines)


def talk_of(captions: Captions, lines: Lines, title: str, source: str, notes: Sequence[str] = ()) -> Talk:
    """The talk that the cues hold, in the order of their times, what is shown twice said once."""
    cues, own_notes = captions.cues, list(captions.notes)
    ordered = tuple(sorted(cues, key=lambda cue: cue.start))
    if ordered != cues:
        own_notes.append((0, "the cues are not in the order of their times; they are read in that order"))
    said, repeats = said_once(ordered)
    if repeats:
        own_notes.append((0, f"{repeats} cues show again what the one before showed; it is taken as said once"))
    text, words = running(_words(said, lines))
    placed = (f"{at(source, lines.place(offset))}: {note}" for offset, note in sorted(own_notes))
    return Talk(title, source, Unit.SECONDS, text, words, notes=(*notes, *placed), captions=tuple(_shown(said)))


def _shown(cues: Iterable[ReadCue]) -> Iterator[Caption]:
    """Which words of the talk each cue shows."""
    first = 0
    for cue in cues:
        words = cue.words
        lines = tuple(accumulate((len(line) for line in cue.lines[:-1]), initial=first))
        stamped = tuple(first + i for i, word in enumerate(words) if word.after is not None)
        yield Caption(first, first + len(words), cue.start, cue.end, lines, stamped)
        first += len(words)


def said_once(cues: Sequence[ReadCue]) -> tuple[tuple[ReadCue, ...], int]:
    """Take away what a cue repeats from the one before, as live captions do when they scroll or grow.

    :return: the cues that still say something, and how many repeated something.
    """
    overlaps = [0, *(_overlap(a, b) for a, b in pairwise(cues))][: len(cues)]
    repeating = sum(k > 0 for k in overlaps)
    live = max(overlaps, default=0) >= ROLLING_WORDS and repeating >= ROLLING_SHARE * (len(cues) - 1)
    kept: list[ReadCue] = []
    repeats = 0
    for cue, overlap in zip(cues, overlaps, strict=True):
        goes_on = len(cue.lines) > 1 and len(cue.lines[0]) <= overlap < len(cue.words)
        if overlap and (live or (goes_on and overlap >= ROLLING_WORDS)):
            repeats += 1
            cue = replace(cue, lines=_without(cue.lines, overlap))
        if cue.lines:
            kept.append(cue)
    return tuple(kept), repeats


def _overlap(before: ReadCue, cue: ReadCue) -> int:
    """How many words at the start of ``cue`` repeat the last lines of ``before``; 0 after a pause."""
    if cue.start - before.end > ROLLING_GAP:
        return 0
    new = [word.text for word in cue.words]
    for first in range(len(before.lines)):
        shown = [word.text for line in before.lines[first:] for word in line]
        if shown == new[: len(shown)]:
            return len(shown)
    return 0


def _without(lines: tuple[tuple[Spoken, ...], ...], count: int) -> tuple[tuple[Spoken, ...], ...]:
    rest = []
    for line in lines:
        rest.append(line[count:])
        count = max(0, count - len(line))
    return tuple(line for line in rest if line)


def _words(cues: Iterable[ReadCue], lines: Lines) -> Iterator[Word]:
    """The words of the cues, not yet placed in a running text."""
    paragraph = 0
    last_end: float | None = None
    for cue in cues:
        if last_end is not None and cue.start - last_end >= PAUSE:
            paragraph += 1
        for word, (start, end) in zip(cue.words, word_times(cue), strict=True):
            yield Word(word.text, (0, 0), start, end, lines.place(word.offset), paragraph)
        last_end = cue.end if last_end is None else max(last_end, cue.end)


def running(words: Iterable[Word]) -> tuple[str, tuple[Word, ...]]:
    """The running text of words, a line for each paragraph, and the words with their places in it."""
    text: list[str] = []
    placed: list[Word] = []
    length = 0
    for word in words:
        if placed:
            text.append("\n" if placed[-1].paragraph != word.paragraph else " ")
            length += 1
        text.append(word.text)
        placed.append(replace(word, at=(length, length + len(word.text))))
        length += len(word.text)
    return "".join(text), tuple(placed)


def word_times(cue: ReadCue) -> tuple[tuple[float, float], ...]:
    """Start and end of each word in seconds: by inner time stamps, between them by number of characters.

    A stamp that is out of order or outside the cue is passed over.
    """
    words = cue.words
    anchors = [(0, cue.start)]
    for index, word in enumerate(words):
        if word.after is not None and anchors[-1][1] <= word.after <= cue.end:
            if anchors[-1][0] == index:
                anchors.pop()
            anchors.append((index, word.after))
    anchors.append((len(words), cue.end))
    times: list[tuple[float, float]] = []
    for (first, start), (last, end) in pairwise(anchors):
        times += spread([word.text for word in words[first:last]], start, end)
    return tuple(times)


def spread(words: Sequence[str], start: float, end: float) -> list[tuple[float, float]]:
    """Share ``start`` to ``end`` among words by their characters, a space counting one.

    >>> spread(["knight", "f3"], 0.0, 9.0)
    [(0.0, 6.0), (7.0, 9.0)]
    """
    total = sum(map(len, words)) + len(words) - 1
    times, passed = [], 0
    for word in words:
        first, last = passed / total, (passed + len(word)) / total
        times.append((min(end, start + (end - start) * first), min(end, start + (end - start) * last)))
        passed += len(word) + 1
    return times
