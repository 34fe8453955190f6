"""Cut PGN text into games, as bytes, without reading moves.

NumPy finds the bytes that can matter among moves; only those are looked at one by one.

A game is a block of tag pairs (which may be missing) and the movetext after it. The rules are the PGN
standard's (Edwards 1994, sections 6, 7, 8.1 and 8.2), read leniently: a game also ends where the next one's
tags or its move 1 begin, a ``{`` that is never closed spoils its own game only, and so does a game too long
to be one.
"""

from __future__ import annotations

import re
from bisect import bisect_left
from collections.abc import Iterator
from dataclasses import dataclass
from enum import IntFlag
from typing import Final

import numpy as np

from linewright.games.index.arrays import I64, U8

#: Bytes that one game may take; a heavily annotated game takes some tens of thousands.
LONGEST_GAME: Final = 1 << 20

#: Bytes in which a comment that seems to contain a game's tags must be closed to be taken as a comment.
_COMMENT_REACH: Final = 1 << 16

#: Bytes that must follow before it is settled that a game begins: the longest termination marker, and one.
_LOOK_AHEAD: Final = 8

_BOM: Final = b"\xef\xbb\xbf"


class Flaw(IntFlag):
    """What is wrong with a game's outline."""

    NONE = 0
    OPEN_COMMENT = 1
    OPEN_VARIATION = 2
    TOO_LONG = 4
    STRAY_BRACKET = 8
    CUT_SHORT = 16


@dataclass(frozen=True, slots=True)
class Cut:
    """Games cut from one stretch of bytes.

    :param data: the stretch.
    :param starts: offset of each game's first byte, shape (games,); so the rest.
    :param texts: offset of its movetext (its end if it has none).
    :param ends: offset behind its last byte.
    :param lines: line of its first byte in the file, from 1.
    :param text_lines: line where its movetext starts.
    :param flaws: :class:`Flaw` bits.
    """

    data: bytes
    starts: I64
    texts: I64
    ends: I64
    lines: I64
    text_lines: I64
    flaws: I64

    def __len__(self) -> int:
        return len(self.starts)


#: Bytes that NumPy looks at a time, so that they stay in the processor's cache.
_STRETCH: Final = 1 << 17

#: Where in the text the cutting is: before a game's moves, among them, behind the result, or in what is dropped up to
#: the next tags.
_HEAD, _TEXT, _DONE, _LOST = range(4)

#: Blanks and line ends; all of an escaped line or comment.
_BLANKS: Final = re.compile(rb"[\x00-\x20]*+")
_LINE: Final = re.compile(rb"[^\r\n]*+")

_TAG: Final = re.compile(rb'\[[ \t]*+([0-9A-Za-z_-]++)[ \t]++"')
_TAG_CUT: Final = re.compile(rb"\[[ \t]*+[0-9A-Za-z_-]*+[ \t]*+\Z")

#: A tag pair up to its ``]``, or its line's end where that is missing.
_PAIR: Final = re.compile(rb'\[(?:[^"\]\r\n]++|"(?:[^"\\\r\n]++|\\[^\r\n])*+\\?+"?+)*+\]?+')

#: Whole tag pairs but Event.
_PAIRS: Final = re.compile(
    rb'(?:[\x00-\x20]*+\[(?![ \t]*+Event)[^"\]\r\n]*+(?:"(?:[^"\\\r\n]++|\\[^\r\n])*+"[^"\]\r\n]*+)*+\])*+'
)

#: A termination marker; a token ends at anything that can't continue one (0-1 is no result inside 0-1-0).
_RESULT: Final = re.compile(rb"\*|(?:1-0|0-1|1/2-1/2)(?![0-9A-Za-z/-])")

#: ``1.``, but not ``1...``.
_FIRST_MOVE: Final = re.compile(rb"1 *+\.(?!\.)")

#: A line that begins with a bracket.
_BRACKET_LINE: Final = re.compile(rb"[\r\n][\x00-\x20]*+(\[)")
_BRACE: Final = re.compile(rb"[{}]")

#: Behind these a token may start.
_BEFORE_TOKENS: Final = frozenset([*range(33), *b".()"])


def _places(data: U8) -> list[int]:
    """Offsets of the bytes that can matter among moves: brackets and comments, an escaped line, and what may be a
    result or a first move."""
    return [
        place
        for first in range(0, len(data), _STRETCH)
        for place in (_places_in(data, first, min(first + _STRETCH, len(data))) + first).tolist()
    ]


def _places_in(data: U8, first: int, last: int) -> I64:
    here = data[first:last]
    before, after = np.empty_like(here), np.empty_like(here)
    before[0], before[1:] = data[first - 1] if first else 10, here[:-1]
    after[-1], after[:-1] = data[last] if last < len(data) else 32, here[1:]
    found = (here - 40 < 3) | (here == 91) | (here == 123) | (here == 59)  # ( ) * and [ and { and ;
    found |= (here == 37) & ((before == 10) | (before == 13))  # %
    # 0 or 1, before - or /, or at a token's start before a full stop or a blank.
    starts = (before <= 32) | (before - 40 < 2) | (before == 46) | (before == 93) | (before == 125)
    found |= ((here | 1) == 49) & (((after | 2) == 47) | (starts & ((after == 46) | (after == 32))))
    return np.flatnonzero(found)


def _line_ends(data: U8, final: bool) -> I64:
    """Offsets of line ends: LF, CR LF or CR alone, but for a CR that the next block may go on with a line feed."""
    after = np.empty_like(data)
    after[-1:], after[:-1] = 32 if final else 10, data[1:]
    return np.flatnonzero((data == 10) | ((data == 13) & (after != 10)))


class _Cutter:
    """Cuts one stretch of bytes into games.

    :param final: no more data follows.
    :param lost: start by looking for the next tags, dropping what is before.
    :param margin: 2 if the first byte is in column 0, 1 if only blanks are before it on its line, else 0.
    """

    def __init__(self, data: bytes, places: list[int], final: bool, lost: bool, margin: int) -> None:
        self._data, self._places, self._final, self._margin = data, places, final, margin
        self._size = len(data)
        self.games: list[tuple[int, int, int, int]] = []
        self._state = _LOST if lost else _HEAD
        self._at = 0
        # Of the current game: its start (-1: none has begun), its moves' start, and what is wrong with it.
        self._start, self._text, self._flaw = -1, -1, 0
        self._has_event = False
        self._moved = False  # a token stands in the movetext outside comments
        self._depth = 0
        self._token_at = 0  # a token may start here, whatever is before

    def run(self) -> tuple[int, int, bool]:
        """Cut.

        :returns: bytes used up; margin there; still lost.
        """
        steps = (self._head, self._among_moves, self._behind, self._find_tags)
        while self._at < self._size and steps[self._state]():
            pass
        return self._left()

    def _left(self) -> tuple[int, int, bool]:
        size, lost = self._size, self._state == _LOST
        if self._final:
            if self._start >= 0:
                # A text that stops in mid-line without a result may have lost more than its end.
                unfinished = self._state == _TEXT and self._data[-1] > 32
                self._end(size, Flaw.CUT_SHORT if unfinished else 0)
            return size, 2, lost
        if not lost and self._start >= 0:
            at = self._start
            return at, 2 if self._in_column_0(at) else 1 if self._fresh(at) else 0, False
        line = max(self._data.rfind(b"\n", 0, self._at), self._data.rfind(b"\r", 0, min(self._at, size - 1))) + 1
        if lost and size - line > _COMMENT_REACH:  # one endless line: keep nothing of it
            return size, 0, True
        if not line:
            return 0, self._margin, lost
        return line, 2, lost

    def _in_column_0(self, at: int) -> bool:
        return self._data[at - 1] in b"\r\n" if at else self._margin == 2

    def _fresh(self, at: int) -> bool:
        """Are only blanks before it on its line?"""
        while at and self._data[at - 1] <= 32 and self._data[at - 1] not in b"\r\n":
            at -= 1
        return self._data[at - 1] in b"\r\n" if at else self._margin > 0

    def _skip_blanks(self) -> int:
        """Go on to what is neither blank nor an escaped line; the byte there, -1 at the end."""
        data, at = self._data, self._at
        while True:
            at = _BLANKS.match(data, at).end()  # type: ignore[union-attr]  # it fits anything
            if at >= self._size or data[at] != 37 or not self._in_column_0(at):
                break
            at = _LINE.match(data, at).end()  # type: ignore[union-attr]
        self._at = at
        return data[at] if at < self._size else -1

    def _skip_line(self, at: int) -> None:
        self._at = _LINE.match(self._data, at).end()  # type: ignore[union-attr]

    def _tag_at(self, at: int) -> int:
        """1 if a tag pair starts at this ``[``, 2 if it is Event, -1 if the data ends in it, else 0."""
        found = _TAG.match(self._data, at)
        if found:
            return 2 if found[1] == b"Event" else 1
        return -1 if not self._final and _TAG_CUT.match(self._data, at) else 0

    def _begin(self) -> bool:
        """End the game and begin the next; False where too little follows to be sure."""
        at = self._at
        if not self._final and self._size - at < _LOOK_AHEAD:
            return False
        if self._start >= 0:
            self._end(at)
        self._start, self._text, self._flaw = at, -1, 0
        self._has_event = self._moved = False
        self._depth = 0
        self._state = _HEAD
        return True

    def _end(self, at: int, flaw: int = 0) -> None:
        flaw |= self._flaw | (Flaw.OPEN_VARIATION if self._depth else 0)
        self.games.append((self._start, self._text if self._text >= 0 else at, at, flaw))

    def _find_tags(self) -> bool:
        """In what is dropped: go on to the next tags."""
        byte = self._skip_blanks()
        if byte < 0:
            return False
        tag = self._tag_at(self._at) if byte == 91 else 0
        if tag > 0:
            return self._begin()
        if tag == 0:
            self._skip_line(self._at)
        return tag == 0

    def _head(self) -> bool:
        """Pass over the tags; the first other thing is the moves' start."""
        data = self._data
        while (byte := self._skip_blanks()) == 91:
            tag = self._tag_at(self._at)
            if tag < 0 or (tag == 2 and self._has_event and not self._begin()):
                return False
            self._has_event |= tag == 2
            if self._start < 0:
                self._start = self._at
            end = _PAIR.match(data, self._at).end()  # type: ignore[union-attr]
            self._at = self._token_at = _PAIRS.match(data, end).end()  # type: ignore[union-attr]
        if byte < 0:
            return False
        if self._start < 0:
            self._start = self._at
        self._text = self._token_at = self._at
        self._state = _TEXT
        return self._among_moves()

    def _among_moves(self) -> bool:
        """Go on to the next byte that can matter, and past it."""
        data, places = self._data, self._places
        number = bisect_left(places, self._at)
        while True:
            at = places[number] if number < len(places) else self._size
            if not self._moved:
                self._moved = bool(data[self._at : at].strip(_SKIPPED))
            self._at = at
            if at >= self._size:
                return True
            byte = data[at]
            if byte == 40 or byte == 41:
                self._depth = self._depth + 1 if byte == 40 else max(self._depth - 1, 0)
            elif byte == 91:
                if self._fresh(at):
                    tag = self._tag_at(at)
                    if tag:
                        return tag > 0 and self._begin()
                self._flaw |= Flaw.STRAY_BRACKET  # the reader would take the game to end here
            elif byte == 123:
                return self._comment()
            elif byte == 59 or (byte == 37 and self._in_column_0(at)):
                self._skip_line(at)
                return True
            else:
                if self._depth == 0 and byte != 37 and self._token_may_start(at) and self._ends_here():
                    return self._state != _TEXT
                self._moved = True
            self._at = at + 1
            number += 1

    def _token_may_start(self, at: int) -> bool:
        return at == 0 or self._data[at - 1] in _BEFORE_TOKENS or at == self._token_at

    def _ends_here(self) -> bool:
        """At a token: does a result end the moves here, or a first move the game?"""
        data, at = self._data, self._at
        if data[at] == 49 and data[at + 1 : at + 2] in (b".", b" "):
            if not (self._moved and _FIRST_MOVE.match(data, at)):
                return False
            self._begin()
            return True
        result = _RESULT.match(data, at)
        if not result or not (result.end() < self._size or self._final):
            return False
        self._at = self._token_at = result.end()
        self._state = _DONE
        return True

    def _comment(self) -> bool:
        """Pass over a comment; one with tags of the next game in it was never closed."""
        data, at = self._data, self._at + 1
        end = data.find(b"}", at)
        inside = end if end >= 0 else self._size
        if data.find(b"[", at, inside) >= 0:
            for found in _BRACKET_LINE.finditer(data, at, inside):
                bracket = found.start(1)
                tag = self._tag_at(bracket)
                closing = self._closes(bracket) if tag > 0 else tag
                if closing < 0:
                    return False
                if tag > 0 and not closing:
                    self._flaw |= Flaw.OPEN_COMMENT
                    self._at = self._token_at = bracket
                    return True
        if end < 0:
            self._flaw |= Flaw.OPEN_COMMENT
        self._at = self._token_at = inside + (end >= 0)
        return True

    def _closes(self, at: int) -> int:
        """Is the first brace behind a closing one within reach? 1 yes, 0 no, -1 the data ends before."""
        limit = min(self._size, at + _COMMENT_REACH)
        brace = _BRACE.search(self._data, at, limit)
        if brace:
            return int(brace[0] == b"}")
        return 0 if limit < self._size or self._final else -1

    def _behind(self) -> bool:
        """Behind the result: comments still belong to the game, all else begins the next."""
        byte = self._skip_blanks()
        if byte < 0:
            return False
        at = self._at
        if byte == 91:
            tag = self._tag_at(at)
            if tag:
                return tag > 0 and self._begin()
        elif byte == 123:
            return self._comment()
        elif byte == 59:
            self._skip_line(at)
            return True
        elif byte not in b"$()" and self._token_may_start(at) and not _RESULT.match(self._data, at):
            return self._begin()
        self._at = at + 1
        return True


#: What stands between moves.
_SKIPPED: Final = bytes(range(33))


def cut(blocks: Iterator[bytes]) -> Iterator[Cut]:
    """Cut a file's blocks of bytes into games; the line numbers run through the file.

    Memory is bounded by the block size plus :data:`LONGEST_GAME`: what grows longer than that without a new
    game beginning is given as one game with the flaw ``TOO_LONG``, and dropped up to the next tags.
    """
    rest, line, margin, lost = b"", 1, 2, False
    while len(rest) < len(_BOM) and (begin := next(blocks, b"")):
        rest += begin
    rest = rest.removeprefix(_BOM)
    block: bytes | None = b""
    while block is not None:
        block = next(blocks, None)
        final = block is None
        data = rest + (block or b"")
        array = np.frombuffer(data, dtype=np.uint8)
        cutter = _Cutter(data, _places(array), final, lost, margin)
        used, margin, lost = cutter.run()
        ends = _line_ends(array, final)
        games = np.array(cutter.games, dtype=np.int64).reshape(-1, 4).T
        starts, texts = (line + ends.searchsorted(games[row]) for row in (0, 1))
        yield Cut(data, games[0], games[1], games[2], starts, texts, games[3])
        rest, line = data[used:], line + int(ends.searchsorted(used))
        if len(rest) > LONGEST_GAME and not final:
            one, end = np.ones(1, dtype=np.int64), np.array([len(rest)], dtype=np.int64)
            yield Cut(rest, 0 * one, end, end, line * one, line * one, int(Flaw.TOO_LONG) * one)
            line += len(_line_ends(np.frombuffer(rest, dtype=np.uint8), final))
            rest, margin, lost = rest[len(rest) - int(rest[-1] == 13) :], 0, True  # a line feed may follow
