"""WebVTT captions, by the W3C text (https://www.w3.org/TR/webvtt1/), section 6 "Parsing".

Where that text's parser drops something without a word, this one leaves a note.
"""

from __future__ import annotations

import html
import re
from collections.abc import Iterator

from linewright.talk.captions import Captions, ReadCue, cue_times, seconds, spoken
from linewright.talk.places import Lines

_SIGNATURE = re.compile(r"WEBVTT(?:[ \t].*)?$")
_TIMINGS = re.compile(r"\s*([0-9:.,]+)\s*-->\s*([0-9:.,]+)(?:\s.*)?$")
_SETUP = re.compile(r"(STYLE|REGION)\s*$")
#: A character reference as HTML reads it; the semicolon is left out now and then.
REFERENCE = re.compile(r"&(?:#[0-9]{1,7}|#[xX][0-9a-fA-F]{1,6}|[A-Za-z][A-Za-z0-9]{1,30});?")
_TOKEN = re.compile(rf"<(?P<tag>[^>]*)(?P<close>>?)|{REFERENCE.pattern}|(?s:.)")


def webvtt(text: str, lines: Lines) -> Captions:
    """The cues of a WebVTT file. Never fails; what is left out is noted when words may be lost."""
    cues: list[ReadCue] = []
    notes: list[tuple[int, str]] = []
    spans = lines.spans
    at = _header(text, lines, notes)
    while at < len(spans):
        first = at
        while at < len(spans) and text[slice(*spans[at])]:
            # A second arrow begins the next cue, even where the blank line is missing.
            if at - first > (1 if "-->" not in text[slice(*spans[first])] else 0) and "-->" in text[slice(*spans[at])]:
                break
            at += 1
        block = spans[first:at]
        if block:
            cue = _cue(text, block, notes)
            if cue and cue.lines:
                cues.append(cue)
        else:
            at += 1
    return Captions(tuple(cues), tuple(notes))


def _header(text: str, lines: Lines, notes: list[tuple[int, str]]) -> int:
    """Index of the first line after the header block."""
    spans = lines.spans
    if not _SIGNATURE.match(text[slice(*spans[0])]):
        notes.append((0, 'the first line is not "WEBVTT"; read as if it were there'))
        return 0
    at = 1
    while at < len(spans) and text[slice(*spans[at])] and "-->" not in text[slice(*spans[at])]:
        at += 1
    return at


def _cue(text: str, block: list[tuple[int, int]], notes: list[tuple[int, str]]) -> ReadCue | None:
    """A block's cue, None for comments, style sheets, regions and blocks that are broken."""
    arrow = next((i for i, span in enumerate(block[:2]) if "-->" in text[slice(*span)]), None)
    start = block[0][0]
    first = text[slice(*block[0])]
    if arrow is None:
        known = first.startswith("NOTE") and not first[4:5].strip()
        if not known and not _SETUP.match(first):
            cut = block[-1][1] == len(text)
            why = "the file ends before this cue's times" if cut else "this block has no times"
            notes.append((start, f"{why}; left out: {first[:60]!r}"))
        return None
    line = text[slice(*block[arrow])]
    timings = _TIMINGS.match(line)
    times = cue_times(line, (timings[1], timings[2]) if timings else None, block[arrow][0], notes)
    if times is None:
        return None
    payload = block[arrow + 1 :]
    if not payload:
        if block[-1][1] == len(text):
            notes.append((block[arrow][0], "the file ends before this cue's words"))
        return None
    return ReadCue(*times, spoken(_pieces(text, payload[0][0], payload[-1][1], notes)))


def _pieces(text: str, start: int, end: int, notes: list[tuple[int, str]]) -> Iterator[tuple[str, int] | float]:
    """A payload's characters without tags, character references replaced, inner time stamps as floats."""
    for token in _TOKEN.finditer(text, start, end):
        if token["tag"] is not None:
            stamp = seconds(token["tag"])
            if stamp is not None:
                yield stamp
            elif not token["close"]:
                notes.append((token.start(), f"this tag is never closed, its words are left out: {token[0][:60]!r}"))
        elif len(token[0]) > 1:
            for char in html.unescape(token[0]):
                yield char, token.start()
        else:
            yield ("\n" if token[0] == "\r" else token[0]), token.start()
