"""Cut PGN text into games, as bytes, without reading moves.

A game is a block of tag pairs (which may be missing) and the movetext after it. The rules are the PGN
standard's (Edwards 1994, sections 6, 7, 8.1 and 8.2), read leniently: a game also ends where the next one's
tags or its move 1 begin, a ``{`` that is never closed spoils its own game only, and so does a game too long
to be one.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from enum import IntFlag
from typing import Final

import numpy as np
import numpy.typing as npt

from linewright.base.kernels import I64, U8, jit

#: Bytes that one game may take; a heavily annotated game takes some tens of thousands.
LONGEST_GAME: Final = 1 << 20

#: Bytes in which a comment that seems to contain a game's tags must be closed to be taken as a comment.
_COMMENT_REACH: Final = 1 << 16

#: Bytes that must follow before it is settled that a game begins: the longest termination marker, and one.
_LOOK_AHEAD: Final = 8

#: The kernel's states.
_HEAD, _TEXT, _DONE, _LOST = 0, 1, 2, 3

#: Bytes that mean nothing to the cutting where they stand among moves: 1 anywhere, 2 only inside a token.
_PLAIN: Final = np.zeros(256, dtype=np.uint8)
_PLAIN[list(b"abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ23456789+#=-!?")] = 1
_PLAIN[list(b"01")] = 2

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

    :param data: the stretch, shape (bytes,).
    :param starts: offset of each game's first byte, shape (games,); so the rest.
    :param texts: offset of its movetext (its end if it has none).
    :param ends: offset behind its last byte.
    :param lines: line of its first byte in the file, from 1.
    :param text_lines: line where its movetext starts.
    :param flaws: :class:`Flaw` bits.
    """

    data: U8
    starts: I64
    texts: I64
    ends: I64
    lines: I64
    text_lines: I64
    flaws: I64

    def __len__(self) -> int:
        return len(self.starts)


@jit
def _tag_at(data: U8, at: int) -> int:
    """1 if a tag pair starts here (``[Name "``), 2 if it is Event, -1 if the data ends in it, else 0."""
    size = len(data)
    if data[at] != 91:  # [
        return 0
    i = at + 1
    while i < size and (data[i] == 32 or data[i] == 9):
        i += 1
    first = i
    while i < size and (
        48 <= data[i] <= 57 or 65 <= data[i] <= 90 or 97 <= data[i] <= 122 or data[i] == 95 or data[i] == 45
    ):
        i += 1
    name = i - first
    blank = i
    while i < size and (data[i] == 32 or data[i] == 9):
        i += 1
    if i >= size:
        return -1
    if name == 0 or i == blank or data[i] != 34:  # "
        return 0
    event = (
        name == 5
        and data[first] == 69
        and data[first + 1] == 118
        and data[first + 2] == 101
        and data[first + 3] == 110
        and data[first + 4] == 116
    )
    return 2 if event else 1


@jit
def _after_tag(data: U8, at: int) -> int:
    """Offset behind the tag pair at ``at``: behind its ``]``, or its line's end where that is missing."""
    quoted = False
    i = at
    while i < len(data) and data[i] != 10 and data[i] != 13:
        if data[i] == 92 and quoted:  # backslash
            i += 1
            if i >= len(data) or data[i] == 10 or data[i] == 13:
                return i
        elif data[i] == 34:
            quoted = not quoted
        elif data[i] == 93 and not quoted:
            return i + 1
        i += 1
    return i


@jit
def _result_at(data: U8, at: int) -> int:
    """Length of the termination marker (``1-0``, ``0-1``, ``1/2-1/2``, ``*``) at ``at``, else 0."""
    size = len(data)
    length = 0
    if data[at] == 42:
        return 1
    if at + 2 < size and data[at + 1] == 45:
        if (data[at] == 49 and data[at + 2] == 48) or (data[at] == 48 and data[at + 2] == 49):
            length = 3
    elif (
        at + 6 < size
        and (data[at] == 49 and data[at + 1] == 47 and data[at + 2] == 50 and data[at + 3] == 45)
        and (data[at + 4] == 49 and data[at + 5] == 47 and data[at + 6] == 50)
    ):
        length = 7
    if length == 0:
        return 0
    if at + length < size:
        after = data[at + length]
        # A token ends at anything that can't continue one (0-1 is no result inside 0-1-0).
        if (48 <= after <= 57) or (65 <= after <= 90) or (97 <= after <= 122) or after == 45 or after == 47:
            return 0
    return length


@jit
def _first_move_at(data: U8, at: int) -> bool:
    """Is ``1.`` here, but not ``1...``?"""
    i = at + 1
    while i < len(data) and data[i] == 32:
        i += 1
    if i >= len(data) or data[i] != 46:
        return False
    return not (i + 1 < len(data) and data[i + 1] == 46)


@jit
def _closes(data: U8, at: int) -> int:
    """Is the first brace after ``at`` a closing one within reach? 1 yes, 0 no, -1 the data ends before."""
    limit = min(len(data), at + _COMMENT_REACH)
    for i in range(at, limit):
        if data[i] == 125:
            return 1
        if data[i] == 123:
            return 0
    return 0 if limit < len(data) else -1


@jit
def _cut(data: U8, final: bool, lost: bool, line: int, margin: int, out: I64) -> tuple[int, int, int, int, bool]:
    """Cut ``data`` into games.

    :param final: no more data follows.
    :param lost: start by looking for the next tags, dropping what is before.
    :param line: of the first byte.
    :param margin: 2 if the first byte is in column 0, 1 if only blanks are before it on its line, else 0.
    :param out: shape (5 columns + flaws, rows): starts, texts, ends, lines, text lines, flaws.
    :returns: games; bytes used up; line and margin there; still lost.
    """
    size = len(data)
    games = 0
    state = _LOST if lost else _HEAD
    start, start_line, start_margin = -1, line, 0  # of the current game; -1: none has begun
    text, text_line = -1, line
    flaw = 0
    has_event = False
    moved = False  # a token stands in the movetext outside comments
    depth = 0
    fresh = margin > 0  # only blanks since the line's start
    token = True  # a token may start here
    i = 0
    line_start, line_start_line = 0 if margin == 2 else -1, line
    while i < size and games < out.shape[1]:
        c = data[i]
        if state == _TEXT and (_PLAIN[c] == 1 or (_PLAIN[c] == 2 and not token)):  # most bytes, by far
            moved, token, fresh = True, False, False
            i += 1
            continue
        if c == 10 or c == 13:
            if c == 13 and i + 1 >= size and not final:
                break  # the next block may go on with the line feed
            if c == 10 or i + 1 >= size or data[i + 1] != 10:
                line += 1
            fresh = True
            token = True
            i += 1
            line_start, line_start_line = i, line
            continue
        if c <= 32:
            token = True
            i += 1
            continue
        at_column_0 = i == line_start
        if c == 37 and at_column_0:  # % in column 0: an escaped line
            while i < size and data[i] != 10 and data[i] != 13:
                i += 1
            continue
        tag = 0
        if c == 91 and (fresh or state != _TEXT):
            tag = _tag_at(data, i)
            if tag == -1 and not final:
                break
        begins = False
        if tag > 0:
            begins = state != _HEAD or (tag == 2 and has_event)
        elif state == _DONE and c != 123 and c != 59 and c != 36 and c != 40 and c != 41 and c != 91:
            begins = token and _result_at(data, i) == 0
        elif state == _TEXT and token and moved and depth == 0 and c == 49:
            begins = _first_move_at(data, i)
        if begins:
            if not final and size - i < _LOOK_AHEAD:
                break
            if start >= 0:
                out[0, games] = start
                out[1, games] = text if text >= 0 else i
                out[2, games] = i
                out[3, games] = start_line
                out[4, games] = text_line if text >= 0 else line
                out[5, games] = flaw | (2 if depth > 0 else 0)
                games += 1
            start, start_line = i, line
            start_margin = 2 if at_column_0 else 1 if fresh else 0
            text = -1
            flaw, depth = 0, 0
            moved, has_event = False, False
            state = _HEAD
            if games >= out.shape[1]:
                break
        if state == _LOST:
            fresh = False
            while i < size and data[i] != 10 and data[i] != 13:
                i += 1
            continue
        if start < 0:
            start, start_line = i, line
            start_margin = 2 if at_column_0 else 1 if fresh else 0
        fresh = False
        if state == _HEAD:
            if c == 91:
                has_event = has_event or tag == 2
                i = _after_tag(data, i)
                token = True
                continue
            state = _TEXT
            text, text_line = i, line
        if c == 123:  # a comment, up to its }
            i += 1
            first = False
            ended = False
            stop = False
            while i < size and not ended:
                d = data[i]
                if d == 125:
                    ended = True
                elif d == 10 or d == 13:
                    if d == 13 and i + 1 >= size and not final:
                        stop = True
                        break
                    if d == 10 or i + 1 >= size or data[i + 1] != 10:
                        line += 1
                    first = True
                    line_start, line_start_line = i + 1, line
                elif first and d > 32:
                    first = False
                    if d == 91:
                        tag = _tag_at(data, i)
                        if tag > 0:
                            closing = _closes(data, i)
                            if closing == -1 and not final:
                                stop = True
                                break
                            if closing != 1:
                                flaw |= 1
                                fresh = True
                                break
                        elif tag == -1 and not final:
                            stop = True
                            break
                i += 1
            if stop:
                break
            if not ended and i >= size:
                flaw |= 1
            token = True
            continue
        if c == 59:  # ; the rest of the line is a comment
            while i < size and data[i] != 10 and data[i] != 13:
                i += 1
            continue
        if state == _TEXT:
            if c == 40:
                depth += 1
            elif c == 41:
                depth = max(depth - 1, 0)
            elif c == 91:  # reserved for tags: the reader would take the game to end here
                flaw |= 8
            elif token:
                length = _result_at(data, i) if depth == 0 else 0
                if length > 0 and (i + length < size or final):
                    state = _DONE
                    i += length
                    token = True
                    continue
                moved = True
        token = c == 40 or c == 41 or c == 46
        i += 1
    if final and i >= size and games < out.shape[1]:
        if start >= 0:
            out[0, games] = start
            out[1, games] = text if text >= 0 else size
            out[2, games] = size
            out[3, games] = start_line
            out[4, games] = text_line if text >= 0 else line
            # A text that stops in mid-line without a result may have lost more than its end.
            unfinished = state == _TEXT and data[size - 1] > 32
            out[5, games] = flaw | (2 if depth > 0 else 0) | (16 if unfinished else 0)
            games += 1
        return games, size, line, 2, state == _LOST
    if state != _LOST and start >= 0:
        return games, start, start_line, start_margin, False
    if state == _LOST and size - line_start > _COMMENT_REACH:  # one endless line: keep nothing of it
        return games, size, line, 0, True
    if line_start < 0:
        return games, 0, line, margin, state == _LOST
    return games, line_start, line_start_line, 2, state == _LOST


#: Bytes per game that room is made for at first; a game takes more unless it has hardly any text.
_ROOM: Final = 64


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
        data = np.frombuffer(rest + (block or b""), dtype=np.uint8)
        final = block is None
        while True:
            out = np.empty((6, len(data) // _ROOM + 16), dtype=np.int64)
            games, used, line_after, margin, lost = _cut(data, final, lost, line, margin, out)
            yield Cut(data, *out[:, :games])
            data, line = data[used:], line_after
            if games < out.shape[1]:
                break
        if len(data) > LONGEST_GAME and not final:
            ones = np.ones(1, dtype=np.int64)
            end = np.array([len(data)], dtype=np.int64)
            yield Cut(data, 0 * ones, end, end, line * ones, line * ones, int(Flaw.TOO_LONG) * ones)
            used = len(data) - int(data[-1] == 13)  # a line feed may follow
            line += int(_line_ends(data[:used]))
            data, margin, lost = data[used:], 0, True
        rest = data.tobytes()


@jit
def _line_ends(data: npt.NDArray[np.uint8]) -> int:
    """Line ends in the data: LF, CR LF or CR alone."""
    count = 0
    for i in range(len(data)):
        if data[i] == 10 or (data[i] == 13 and (i + 1 >= len(data) or data[i + 1] != 10)):
            count += 1
    return count
