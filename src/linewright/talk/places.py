"""Lines and columns of character offsets."""

from __future__ import annotations

import re
from bisect import bisect_right

from linewright.talk.model import Place

#: Line ends as editors count them (the WebVTT text, section 4.1, names the same three).
LINE_END = re.compile(r"\r\n|\r|\n")


class Lines:
    """The lines of a text, for finding the place of an offset and for walking over them.

    >>> Lines("e4\\ne5 Nf3").place(6)
    Place(line=2, column=4)
    """

    def __init__(self, text: str) -> None:
        self.text = text
        #: Half-open ranges of the lines without their line ends; an empty text has one empty line.
        self.spans: list[tuple[int, int]] = []
        start = 0
        for end in LINE_END.finditer(text):
            self.spans.append((start, end.start()))
            start = end.end()
        self.spans.append((start, len(text)))
        self._starts = [first for first, _ in self.spans]

    def place(self, offset: int) -> Place:
        """Line and column (from 1, in characters) of the character at ``offset``."""
        line = bisect_right(self._starts, offset) - 1
        return Place(line + 1, offset - self._starts[line] + 1)


def at(source: str, place: Place) -> str:
    """The start of a message about a place, ``file:line:column``, as editors jump to."""
    return f"{source}:{place.line}:{place.column}"
