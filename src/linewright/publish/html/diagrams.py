"""Printed diagrams as inline SVG; the shapes that they use are defined once on the page."""

from __future__ import annotations

import math
from collections.abc import Iterable
from functools import cache
from itertools import pairwise

from markupsafe import Markup

from linewright.lesson.walk import BoardMark
from linewright.publish.html.markup import html

#: Distance of the hatching's lines along a square's side, in hundredths of the side.
HATCH_GAP = 10


def diagram(fen: str, side: str, name: str, marks: Iterable[BoardMark] = ()) -> Markup:
    """A printed board as inline SVG; the shapes it uses are defined once on the page.

    :param side: ``"black"`` to show Black's side below.
    :param name: its accessible name.
    :param marks: drawn on it, each with the ground's colour around it.
    """
    ground = html('<use href="#bd"/><use href="#co-{}"/>', "b" if side == "black" else "w")
    drawn = Markup("").join(mark_html(mark, side == "black") for mark in marks)
    return html(
        '<svg class="board" viewBox="-58 -26 892 892" role="img" aria-label="{}">{}<g class="men">{}</g>{}</svg>',
        name,
        ground,
        men(fen, side),
        drawn,
    )


def mark_html(mark: BoardMark, black: bool) -> Markup:
    """A printer's mark, first as a halo; the page's styles know its colour."""
    if mark.shape == "path":
        paths = [mark_path(spot(a, black), spot(b, black)) for a, b in pairwise(mark.squares)]
        shapes = [html('<path d="{}{}"', shaft, head) for shaft, head in paths]
    else:
        places = [spot(square, black) for square in mark.squares]
        shapes = [html('<use href="#{}" x="{}" y="{}"', mark.shape, x, y) for x, y in places]
    return Markup("").join(
        html('{0} class="halo mark {1}"/>{0} class="mark {1}"/>', shape, mark.shape) for shape in shapes
    )


def spot(square: str, black: bool) -> tuple[int, int]:
    """A square's upper left corner in a diagram, whose squares are 100 wide."""
    file, rank = ord(square[0]) - ord("a"), 8 - int(square[1])
    return ((7 - file) * 100, (7 - rank) * 100) if black else (file * 100, rank * 100)


def mark_path(start: tuple[int, int], end: tuple[int, int]) -> tuple[str, str]:
    """Path data of a way between two squares, and of the open head at its end; the element's are the same."""
    (x1, y1), (x2, y2) = start, end
    far = math.hypot(x2 - x1, y2 - y1) or 1
    ux, uy = (x2 - x1) / far, (y2 - y1) / far
    ex, ey = x2 + 50 - ux * 8, y2 + 50 - uy * 8
    bx, by = ex - ux * 26, ey - uy * 26
    shaft = f"M{x1 + 50} {y1 + 50}L{ex:.1f} {ey:.1f}"
    head = f"M{bx - uy * 18:.1f} {by + ux * 18:.1f}L{ex:.1f} {ey:.1f}L{bx + uy * 18:.1f} {by - ux * 18:.1f}"
    return shaft, head


def men(fen: str, side: str) -> Markup:
    """The pieces of a position as uses of the piece shapes."""
    parts = []
    for rank, row in enumerate(fen.split()[0].split("/")):
        file = 0
        for sign in row:
            if sign.isdigit():
                file += int(sign)
                continue
            x, y = spot(f"{'abcdefgh'[file]}{8 - rank}", side == "black")
            parts.append(html('<use href="#{}{}" x="{}" y="{}"/>', "w" if sign.isupper() else "b", sign.upper(), x, y))
            file += 1
    return Markup("").join(parts)


@cache
def hatched_board() -> tuple[str, str]:
    """Path data of the dark squares' hatching, squares 100 by 100: lines that rise to the right.

    One path for the whole board: a browser draws it far sooner than 32 repeated squares.
    The second path holds every other line; small boards leave it out, as print would fill in.
    """
    square = [
        ((0, c), (c, 0)) if c <= 100 else ((c - 100, 100), (100, c - 100))
        for c in range(HATCH_GAP // 2, 200, HATCH_GAP)
    ]
    dark = [(file * 100, rank * 100) for rank in range(8) for file in range(8) if (rank + file) % 2]

    def path(lines: list[tuple[tuple[int, int], tuple[int, int]]]) -> str:
        return "".join(f"M{x + a} {y + b}L{x + c} {y + d}" for x, y in dark for (a, b), (c, d) in lines)

    return path(square[::2]), path(square[1::2])
