"""Where a talk's words stand in the text that a page shows, counted as a browser counts: in UTF-16 units."""

from __future__ import annotations

from itertools import accumulate

from linewright.talk.model import Talk, Unit


class Offsets:
    """The places of one talk's words in its file's text (with ``\\n`` line ends)."""

    def __init__(self, talk: Talk, text: str) -> None:
        self.talk = talk
        self._starts = [0, *accumulate(len(line) + 1 for line in text.split("\n"))]
        self._length = len(text)
        plain = text.isascii() or max(text, default="") <= "\uffff"
        self._units = None if plain else [0, *accumulate(1 + (c > "\uffff") for c in text)]

    def span(self, first: int, last: int) -> tuple[int, int]:
        """The half-open range of words ``first`` up to, not including, ``last``; empty ranges stand before a word."""
        words = self.talk.words
        if first >= last:
            at = self._first(first) if first < len(words) else self._last(len(words) - 1) if words else 0
            return self._in_units(at), self._in_units(at)
        return self._in_units(self._first(first)), self._in_units(self._last(last - 1))

    def word_at(self, offset: int) -> int:
        """Index of the first word that ends after an offset (``len(words)`` at the end)."""
        return next((i for i in range(len(self.talk.words)) if self.span(i, i + 1)[1] > offset), len(self.talk.words))

    def _first(self, index: int) -> int:
        word = self.talk.words[index]
        if self.talk.unit is Unit.CHARACTERS:
            return word.at[0]
        line = min(word.place.line - 1, len(self._starts) - 1)
        return min(self._starts[line] + word.place.column - 1, self._length)

    def _last(self, index: int) -> int:
        word = self.talk.words[index]
        if self.talk.unit is Unit.CHARACTERS:
            return word.at[1]
        return min(self._first(index) + len(word.text), self._length)

    def _in_units(self, at: int) -> int:
        return at if self._units is None else self._units[min(at, len(self._units) - 1)]
