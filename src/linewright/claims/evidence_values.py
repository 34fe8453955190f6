"""What the board holds, as values of evidence: a side, squares, files in a row."""

from __future__ import annotations

from collections.abc import Iterable

import chess

from linewright.claims.rulings import color_name
from linewright.language.evidence import Row, Term


def color_term(color: chess.Color) -> Term:
    """A side as evidence names it."""
    return Term(color_name(color))


def square_row(squares: Iterable[chess.Square], by: str = " ", word: str = "") -> Row:
    """Squares as evidence lists them: ``c3 d4``; see :class:`Row`."""
    return Row(tuple(chess.square_name(square) for square in squares), by, word=word)


def file_row(files: Iterable[int]) -> Row:
    """Files (0 = a) as evidence lists them: ``c e``; ``none``."""
    return Row(tuple(chess.FILE_NAMES[file] for file in files))
