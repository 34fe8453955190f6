"""Caption files: timed lines of words as WebVTT and as SubRip.

WebVTT by the W3C text (https://www.w3.org/TR/webvtt1/, section 4, "Syntax"); SubRip has no standard and is
written as most players read it (common practice).
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from linewright.talk.captions import INVISIBLE, PAUSE
from linewright.talk.model import Caption, Talk, Word

#: Characters on a line and lines on the screen at once (common practice of subtitlers: 37 to 42, two).
LINE, LINES = 42, 2
#: Seconds that one cue stays at most, and of silence that end it (common practice: six or seven; one breath).
LONGEST, BREATH = 6.0, 1.0
#: Milliseconds that a cue lasts at least: its end must lie after its start (W3C, 4.1 "WebVTT cue timings").
SHORTEST = 1

#: Keeps a sign from being read as markup where a format has no escape: it joins words without being seen.
JOINER = "\u2060"
#: A sentence ends with a word like this.
SENTENCE_END = re.compile(r"[.?!…][\"'”’)]*$")
#: A recogniser's parts of a hyphenated word: "T", "-Earn".
_GOES_ON = re.compile(r"[-‐‑][^\W\d_]")
#: What SubRip players take for markup: tags, style braces, and our loader's character references.
_SUBRIP_MARKUP = re.compile(r"<(?=[/a-z])|\{(?=\\)|&(?=[#a-z0-9])", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class ShownWords:
    """Words that stand for one or more heard words, with these words' time.

    :param text: without line breaks; words in it are separated by single spaces.
    :param start: seconds.
    :param end: seconds.
    :param stamped: the caption file gave the start itself, so it is written again.
    """

    text: str
    start: float
    end: float
    stamped: bool = False


@dataclass(frozen=True, slots=True)
class CaptionCue:
    """Lines shown from ``start`` to ``end`` (seconds); every line has words."""

    start: float
    end: float
    lines: tuple[tuple[ShownWords, ...], ...]


def webvtt_text(cues: Sequence[CaptionCue]) -> str:
    """The cues as a WebVTT file; they must be in the order of their starts."""
    blocks = ["WEBVTT\n"]
    for cue in cues:
        start, end = milliseconds(cue)
        lines = "\n".join(_webvtt_lines(cue, start, end))
        blocks.append(f"{stamp(start, '.')} --> {stamp(end, '.')}\n{lines}\n")
    return "\n".join(blocks)


def subrip_text(cues: Sequence[CaptionCue]) -> str:
    """The cues as a SubRip file: numbered from 1, with a comma before the milliseconds."""
    blocks = []
    for number, cue in enumerate(cues, 1):
        start, end = milliseconds(cue)
        lines = "\n".join(_subrip_line(line) for line in cue.lines)
        blocks.append(f"{number}\n{stamp(start, ',')} --> {stamp(end, ',')}\n{lines}\n")
    return "\n".join(blocks)


def milliseconds(cue: CaptionCue) -> tuple[int, int]:
    """Start and end; a cue without length lasts one millisecond, for its end must come after its start."""
    start = round(cue.start * 1000)
    return start, max(round(cue.end * 1000), start + SHORTEST)


def stamp(moment: int, point: str) -> str:
    """Milliseconds as a time stamp.

    >>> stamp(3_723_500, "."), stamp(90, ",")
    ('01:02:03.500', '00:00:00,090')
    """
    seconds, part = divmod(moment, 1000)
    minutes, second = divmod(seconds, 60)
    hour, minute = divmod(minutes, 60)
    return f"{hour:02}:{minute:02}:{second:02}{point}{part:03}"


def spaced(shown: Sequence[ShownWords]) -> Iterator[tuple[str, ShownWords]]:
    """Each piece with what stands before it: a space, or nothing where a hyphenated word goes on."""
    for index, piece in enumerate(shown):
        yield "" if index == 0 or _GOES_ON.match(piece.text) else " ", piece


def _webvtt_lines(cue: CaptionCue, start: int, end: int) -> Iterator[str]:
    """Payload lines: escaped, inner time stamps rising strictly between the cue's own (W3C, 4.2.2)."""
    latest = start
    for line in cue.lines:
        out = ""
        for space, piece in spaced(line):
            moment = round(piece.start * 1000)
            if piece.stamped and latest < moment < end:
                out += f"{space}<{stamp(moment, '.')}>"
                latest = moment
            else:
                out += space
            out += escaped(piece.text)
        yield out


def escaped(text: str) -> str:
    """Cue text may hold no ampersand or less-than sign, and no "-->" (W3C, 4.2.2 "WebVTT cue text span")."""
    return visible(text).replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")


def visible(text: str) -> str:
    """Without line breaks and NUL, which no cue may hold."""
    return " ".join(text.replace("\0", "\ufffd").split())


def _subrip_line(line: Sequence[ShownWords]) -> str:
    text = "".join(f"{space}{visible(piece.text)}" for space, piece in spaced(line))
    text = re.sub(r"-(?=-*>)", "-" + JOINER, text)
    return _SUBRIP_MARKUP.sub(lambda sign: sign[0] + JOINER, text)


def captions_of(talk: Talk) -> tuple[Caption, ...]:
    """The talk's own captions; where it has none (a recogniser's words), its words cut into new ones."""
    return talk.captions or tuple(_cut(talk.words))


def _cut(words: Sequence[Word]) -> Iterator[Caption]:
    """Words as captions: up to two lines, ending where a sentence or a breath ends, when the first is full."""
    first, length = 0, 0
    for index, (word, following) in enumerate(pairwise((*words, None))):
        assert word is not None
        length += len(word.text) + (index > first)
        if following is None or _ends(words[first], word, following, length):
            last = index + 1
            end = max(w.end for w in words[first:last])
            yield Caption(first, last, words[first].start, end, _lines(words, first, last))
            first, length = last, 0


def _ends(first: Word, word: Word, following: Word, length: int) -> bool:
    if _GOES_ON.match(following.text):
        return False
    silence = following.start - word.end
    return (
        silence >= min(BREATH, PAUSE)
        or following.paragraph != word.paragraph
        or (length >= LINE and bool(SENTENCE_END.search(word.text)))
        or length + 1 + len(following.text) > LINE * LINES - _SLACK
        or following.end - first.start > LONGEST
    )


#: Two lines seldom break just at the end of the first: room for half a word's overhang.
_SLACK = 6


def _lines(words: Sequence[Word], first: int, last: int) -> tuple[int, ...]:
    """The first words of the lines: one line, or two about alike where one would be too long."""
    lengths = [len(word.text) + 1 for word in words[first:last]]
    total = sum(lengths) - 1
    if total <= LINE or last - first < 2:
        return (first,)
    breaks = [i for i in range(first + 1, last) if not _GOES_ON.match(words[i].text)]
    if not breaks:
        return (first,)
    return first, min(breaks, key=lambda i: abs(2 * sum(lengths[: i - first]) - total))


def bare(text: str) -> str:
    """A word without characters that can't be seen."""
    return "".join(char for char in text if char not in INVISIBLE)
