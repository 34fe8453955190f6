"""A printed diagram as an SVG picture that stands alone, for hand-outs and films."""

from __future__ import annotations

import re
from collections.abc import Iterable
from functools import cache
from importlib import resources

from linewright.lesson.walk import BoardMark
from linewright.publish.html.diagrams import hatched_board, mark_path, men, spot

#: A printer's marks in colours of the Okabe-Ito set, one meaning each (as in ``page.css``).
MARK_COLOURS = {"ring": "#0072b2", "dot": "#009e73", "cross": "#d55e00", "path": "#cc79a7"}

#: The picture's box: eight squares of 100, the frame, the coordinates outside it.
BOX = "-58 -26 892 892"

PLATE, INK, WHITE_MAN = "#fdfaf0", "#1d1a16", "#fffef9"
#: On white paper.
PRINT_PLATE, PRINT_INK = "#ffffff", "#000000"


def board_svg(
    fen: str,
    side: str = "",
    marks: Iterable[BoardMark] = (),
    last: str = "",
    plate: str = PRINT_PLATE,
    ink: str = PRINT_INK,
    fine: bool = False,
) -> str:
    """The diagram of a position.

    :param fen: at least its piece placement.
    :param side: ``"black"`` to show Black's side below.
    :param marks: printer's marks to draw on it.
    :param last: a move in UCI whose squares get corner ticks.
    :param plate: the board's ground, ``#rrggbb``.
    :param ink: lines and black men.
    :param fine: hatch with twice the lines, for large boards.
    """
    black = side == "black"
    ticks = "".join(_tick(square, black, plate, ink) for square in (last[:2], last[2:4]) if square)
    drawn = "".join(_mark(mark, black, plate) for mark in marks)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{BOX}" width="892" height="892">'
        f"<defs>{_shapes(plate, ink)}</defs>{_ground(black, plate, ink, fine)}"
        f"{ticks}{men(fen, side)}{drawn}</svg>"
    )


@cache
def piece_shapes() -> dict[str, str]:
    """The drawings of ``pieces.svg`` by name: ``sN`` a knight's outline, ``iN`` its inner lines."""
    text = resources.files("linewright.publish.html").joinpath("pieces.svg").read_text(encoding="utf-8")
    return dict(re.findall(r'<g id="(\w+)">(.*?)</g>', text, re.S))


@cache
def _shapes(plate: str, ink: str) -> str:
    """The men as groups ``wN``, ``bN``: a halo of the ground, the body, inner lines."""
    shapes = piece_shapes()
    men = []
    for piece in "PRNBQK":
        body, inner = shapes[f"s{piece}"], shapes[f"i{piece}"]
        for colour, fill, line in (("w", WHITE_MAN if plate != PRINT_PLATE else PRINT_PLATE, ink), ("b", ink, plate)):
            dots = inner.replace('class="dot"', f'fill="{line}" stroke="none"')
            men.append(
                f'<g id="{colour}{piece}" stroke-linejoin="round">'
                f'<g fill="{plate}" stroke="{plate}" stroke-width="11">{body}</g>'
                f'<g fill="{fill}" stroke="{ink}" stroke-width="3.3">{body}</g>'
                f'<g fill="none" stroke="{line}" stroke-width="2.8" stroke-linecap="round">{dots}</g></g>'
            )
    return "".join(men)


@cache
def _ground(black: bool, plate: str, ink: str, fine: bool) -> str:
    coarse, between = hatched_board()
    hatch = coarse + between if fine else coarse
    names = []
    for i in range(8):
        k = 7 - i if black else i
        names.append(f'<text x="{i * 100 + 50}" y="857">{"abcdefgh"[k]}</text>')
        names.append(f'<text x="-37" y="{i * 100 + 63}">{8 - k}</text>')
    return (
        f'<path fill="{plate}" d="M-14-14H814V814H-14Z"/>'
        f'<path d="{hatch}" fill="none" stroke="{ink}" stroke-width="{1.7 if fine else 2.2}"/>'
        f'<path fill="none" stroke="{ink}" stroke-width="2.5" d="M-14-14H814V814H-14ZM-4-4H804V804H-4Z"/>'
        f'<g font-family="Libertinus Serif" font-size="38" fill="{ink}" text-anchor="middle">{"".join(names)}</g>'
    )


def _tick(square: str, black: bool, plate: str, ink: str) -> str:
    x, y = spot(square, black)
    corner = f'<path transform="translate({x} {y})" d="M6 24V6H24M76 6H94V24M94 76V94H76M24 94H6V76" fill="none"'
    return f'{corner} stroke="{plate}" stroke-width="13"/>{corner} stroke="{ink}" stroke-width="5"/>'


def _mark(mark: BoardMark, black: bool, plate: str) -> str:
    colour = MARK_COLOURS.get(mark.shape)
    if colour is None:
        return ""
    if mark.shape == "path":
        pairs = zip(mark.squares, mark.squares[1:], strict=False)
        return "".join(_path(spot(a, black), spot(b, black), colour, plate) for a, b in pairs)
    return "".join(_single(mark.shape, spot(square, black), colour, plate) for square in mark.squares)


def _single(shape: str, at: tuple[int, int], colour: str, plate: str) -> str:
    x, y = at
    fill = colour if shape == "dot" else "none"
    width = {"ring": 7, "dot": 2, "cross": 9}[shape]
    drawn = {
        "ring": '<circle cx="50" cy="50" r="43"/>',
        "dot": '<circle cx="50" cy="50" r="15"/>',
        "cross": '<path d="M22 22L78 78M78 22L22 78"/>',
    }[shape]
    return (
        f'<g transform="translate({x} {y})" stroke-linecap="round">'
        f'<g fill="none" stroke="{plate}" stroke-width="{width + 10}">{drawn}</g>'
        f'<g fill="{fill}" stroke="{colour}" stroke-width="{width}">{drawn}</g></g>'
    )


def _path(start: tuple[int, int], end: tuple[int, int], colour: str, plate: str) -> str:
    """A dashed path with an open head, as the board element's ``diagram.js`` draws it."""
    shaft, head = mark_path(start, end)
    ends = 'fill="none" stroke-linecap="round" stroke-linejoin="round"'
    return (
        f'<path {ends} d="{shaft}{head}" stroke="{plate}" stroke-width="17"/>'
        f'<path {ends} d="{shaft}" stroke="{colour}" stroke-width="8" stroke-dasharray="20 15"/>'
        f'<path {ends} d="{head}" stroke="{colour}" stroke-width="8"/>'
    )
