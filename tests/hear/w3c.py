"""Says what is wrong with a WebVTT file, by the W3C text's rules for authors.

Source: WebVTT: The Web Video Text Tracks Format (https://www.w3.org/TR/webvtt1/), section 4.1 "WebVTT file
structure" and 4.2 "Types of WebVTT cue payload"; written from its grammar, apart from the loader in ``talk``.
"""

from __future__ import annotations

import re

_STAMP = r"(?:(?P<{0}h>\d{{2,}}):)?(?P<{0}m>[0-5]\d):(?P<{0}s>[0-5]\d\.\d{{3}})"
_TIMINGS = re.compile(rf"{_STAMP.format('a')}[ \t]+-->[ \t]+{_STAMP.format('b')}(?:[ \t]+\S.*)?")
#: 4.2.2: a text span holds neither of these; an ampersand begins a character reference.
_TEXT = re.compile(r"(?:[^&<]|&(?:amp|lt|gt|lrm|rlm|nbsp|#[0-9]+|#x[0-9a-fA-F]+);)*")


def complaints(text: str) -> list[str]:
    """What breaks the rules, empty for a valid file."""
    found = []
    lines = text.replace("\r\n", "\n").replace("\r", "\n").split("\n")
    if not re.fullmatch(r"\ufeff?WEBVTT(?:[ \t].*)?", lines[0]):
        found.append("the first line is no WebVTT signature")
    if len(lines) > 1 and lines[1]:
        found.append("no blank line after the signature")
    if "\0" in text:
        found.append("a null character")
    last = -1.0
    for block in "\n".join(lines[1:]).split("\n\n"):
        rows = block.strip("\n").split("\n")
        if rows == [""]:
            continue
        if re.fullmatch(r"NOTE(?:[ \t].*)?", rows[0]):
            if "-->" in block:
                found.append(f"an arrow in a comment: {block!r}")
            continue
        if "-->" not in rows[0]:
            rows = rows[1:]  # a cue identifier
        times = _TIMINGS.fullmatch(rows[0]) if rows else None
        if not times:
            found.append(f"no cue timings: {block!r}")
            continue
        start, end = (int(times[f"{p}h"] or 0) * 3600 + int(times[f"{p}m"]) * 60 + float(times[f"{p}s"]) for p in "ab")
        if end <= start:
            found.append(f"the end is not after the start: {rows[0]}")
        if start < last:
            found.append(f"it starts before the cue in front of it: {rows[0]}")
        last = start
        payload = "\n".join(rows[1:])
        if "-->" in payload or not _TEXT.fullmatch(payload):
            found.append(f"this is no cue text: {payload!r}")
    return found
