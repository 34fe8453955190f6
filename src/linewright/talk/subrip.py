"""SubRip captions (.srt). There is no standard; this reads what is found in the wild (common practice)."""

from __future__ import annotations

import html
import re
from collections.abc import Iterator

from linewright.talk.captions import STAMP, Captions, ReadCue, cue_times, spoken
from linewright.talk.places import Lines
from linewright.talk.webvtt import REFERENCE

#: A line with two times and perhaps coordinates behind them.
TIMINGS = re.compile(rf"\s*({STAMP})\s*-+>\s*({STAMP})(?:\s.*)?$")
#: A line that was meant as one: something like a time before an arrow.
_MEANT = re.compile(r"\s*[0-9][^\s:]*:(?:\S*->|\S*\s+-+>)")
_INDEX = re.compile(r"\s*[0-9]+\s*$")
_TOKEN = re.compile(
    rf"(?P<mark></?(?:i|b|u|s|c|v|font|span)\b[^<>]*>|\{{\\[^{{}}]*\}})|{REFERENCE.pattern[:-1]}|(?s:.)",
    re.IGNORECASE,
)


def subrip(text: str, lines: Lines) -> Captions:
    """The cues of a SubRip file: everything between two lines of times, blank lines or not. Never fails."""
    notes: list[tuple[int, str]] = []
    spans = lines.spans
    heads = [i for i, span in enumerate(spans) if _MEANT.match(text[slice(*span)])]
    starts = [_start(text, spans, head) for head in heads]
    for first, last in spans[: starts[0] if starts else 0]:
        if text[first:last].strip():
            notes.append((first, f"words before the first times are left out: {text[first:last][:60]!r}"))
    cues: list[ReadCue] = []
    for head, end in zip(heads, [*starts, len(spans)][1:], strict=True):
        cue = _cue(text, spans, head, end, notes)
        if cue and cue.lines:
            cues.append(cue)
    return Captions(tuple(cues), tuple(notes))


def _start(text: str, spans: list[tuple[int, int]], head: int) -> int:
    """The line at which the cue with its times in line ``head`` begins: its number, when it has one."""
    return head - 1 if head and _INDEX.match(text[slice(*spans[head - 1])]) else head


def _cue(text: str, spans: list[tuple[int, int]], head: int, end: int, notes: list[tuple[int, str]]) -> ReadCue | None:
    line = text[slice(*spans[head])]
    timings = TIMINGS.match(line)
    times = cue_times(line, (timings[1], timings[6]) if timings else None, spans[head][0], notes)
    if times is None:
        return None
    if head + 1 == end:
        if end == len(spans):
            notes.append((spans[head][0], "the file ends before this cue's words"))
        return None
    return ReadCue(*times, spoken(_pieces(text, spans[head + 1][0], spans[end - 1][1])))


def _pieces(text: str, start: int, end: int) -> Iterator[tuple[str, int] | float]:
    for token in _TOKEN.finditer(text, start, end):
        if token["mark"] is not None:
            continue
        if len(token[0]) > 1:
            for char in html.unescape(token[0]):
                yield char, token.start()
        else:
            yield ("\n" if token[0] == "\r" else token[0]), token.start()
