"""Text for a terminal: folded between words at its width, and a small board instead of a FEN."""

from __future__ import annotations

import re
import shutil
import sys
from collections.abc import Iterator, Sequence
from textwrap import TextWrapper
from typing import Final

import chess

from linewright.lesson.walk import Said
from linewright.settle.text_board import board_text
from linewright.talk.model import Talk, Unit

#: Columns that lines of prose are folded at on a wider terminal: longer ones are hard to read (common practice).
WIDEST: Final = 100
#: Columns of a terminal that doesn't say.
USUAL: Final = 80
#: Columns below which folding helps nobody.
NARROWEST: Final = 40
#: Columns between a board and what stands beside it.
_GAP: Final = 2

#: A position that evidence spells out as FEN.
FEN: Final = re.compile(r"[:;,]?(?: in)?(?: the)? ?position ((?:[pnbrqkPNBRQK1-8]+/){7}\S+ [wb] \S+ \S+(?: \d+ \d+)?)")


def is_terminal() -> bool:
    """Whether people read what is printed; else a program or an editor does."""
    return sys.stdout.isatty()


def width() -> int:
    """Columns that lines are folded at."""
    return max(NARROWEST, min(shutil.get_terminal_size((USUAL, 24)).columns, WIDEST))


def fold(line: str, columns: int, indent: int | None = None) -> list[str]:
    """A line folded between words; what follows the first row is set in.

    :param indent: columns; None for those of the line itself and two more.
    """
    own = len(line) - len(line.lstrip())
    further = " " * min((own + 2) if indent is None else indent, columns // 2)
    wrapper = TextWrapper(
        columns, subsequent_indent=further, break_long_words=False, break_on_hyphens=False, drop_whitespace=True
    )
    # A per-cent sign stays with its number.
    rows = wrapper.wrap(re.sub(r"(?<=\d) %", "\N{NO-BREAK SPACE}%", line))
    return [row.replace("\N{NO-BREAK SPACE}%", " %") for row in rows] or [""]


def folded(lines: Sequence[str]) -> list[str]:
    """Lines as they are for a program, folded for a reader."""
    if not is_terminal():
        return list(lines)
    return [row for line in lines for row in (fold(line, width()) if len(line) > width() else [line])]


def remark(words: str) -> None:
    """A word to the user, with the program's name before it."""
    aside(f"linewright: {words}")


def aside(line: str) -> None:
    """A line on standard error, beside the results; folded on a terminal."""
    for row in fold(line, width()) if sys.stderr.isatty() else [line]:
        print(row, file=sys.stderr)


def small_board(fen: str, black_below: bool = False) -> list[str]:
    """A position as nine rows of text; letters where the terminal has no figurines."""
    rows = board_text(fen, black_below)
    try:
        rows.encode(sys.stdout.encoding or "ascii")
    except (UnicodeEncodeError, LookupError):
        rows = board_text(fen, black_below, figurines=False)
    return rows.splitlines()


def beside_board(fen: str, lines: Sequence[str], columns: int, black_below: bool = False) -> Iterator[str]:
    """A small board, and lines folded beside it."""
    board = small_board(fen, black_below)
    left = max(map(len, board)) + _GAP
    text = [row for line in lines for row in (fold(line, columns - left) if line else [""])]
    for number in range(max(len(board), len(text))):
        row = board[number] if number < len(board) else ""
        yield f"{row:<{left}}{text[number] if number < len(text) else ''}".rstrip()


def place_of(talk: Talk, said: Said) -> str:
    """Where words are said: ``12:34`` in captions, ``line:column`` in typed talks."""
    if talk.unit is not Unit.SECONDS:
        return f"{said.place.line}:{said.place.column}"
    minutes, seconds = divmod(int(said.start), 60)
    hours, minutes = divmod(minutes, 60)
    return f"{hours}:{minutes:02}:{seconds:02}" if hours else f"{minutes}:{seconds:02}"


def to_move(fen: str) -> str:
    return f"{'White' if chess.Board(fen).turn else 'Black'} to move"


def without_fen(evidence: str) -> tuple[str, str | None]:
    """Evidence without the position that it spells out, and that position's FEN; None where it spells out none."""
    found = FEN.search(evidence)
    if found is None:
        return evidence, None
    return f"{evidence[: found.start()]}{evidence[found.end() :]}".strip(), found[1]
