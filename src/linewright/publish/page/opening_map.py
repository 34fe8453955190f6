"""The opening map of a lesson: one row for each line, one column for each half-move."""

from __future__ import annotations

from dataclasses import dataclass

from markupsafe import Markup

from linewright.lesson.lines import LessonLine, lesson_lines
from linewright.lesson.walk import Walk
from linewright.publish.html.markup import html, node_move
from linewright.publish.theme import PLAIN, Theme

#: Distances of the map in its own units (CSS pixels at full width).
ROW = 29
TOP = 24
LEFT = 10
WIDEST = 400
STEP_MOST = 15.0
STEP_LEAST = 7.5


@dataclass(frozen=True, slots=True)
class MapDot:
    """A position on the map."""

    node: int
    x: float
    y: float
    fork: bool
    end: bool


@dataclass(frozen=True, slots=True)
class MapLabel:
    """The move that opens a line, written above its first dot."""

    node: int
    x: float
    y: float


@dataclass(frozen=True, slots=True)
class OpeningMap:
    """The opening map: one row for each line, one column for each half-move.

    :param rails: SVG path data of the connections.
    """

    width: float
    height: float
    dots: tuple[MapDot, ...]
    labels: tuple[MapLabel, ...]
    rails: str


def draw_map(walk: Walk) -> OpeningMap:
    """Lays the tree out so that no rail crosses another.

    Under each line come its sidelines, the one that branches last first: a rail from an early branch then
    passes left of everything between.
    """
    deepest = max(node.ply for node in walk.nodes)
    step = min(STEP_MOST, max(STEP_LEAST, (WIDEST - 2 * LEFT) / max(deepest, 1)))
    dots = [MapDot(0, LEFT, TOP, len(walk.nodes[0].children) > 1, False)]
    labels: list[MapLabel] = []
    rails: list[str] = []
    where = {0: (float(LEFT), float(TOP))}
    row = 0

    def place(line: LessonLine) -> None:
        nonlocal row
        y = TOP + ROW * row
        from_x, from_y = where[line.parent]
        xs = [round(LEFT + step * walk.nodes[node].ply, 1) for node in line.nodes]
        if y == from_y:
            rails.append(f"M{from_x} {y}H{xs[-1]}")
        else:
            rails.append(f"M{from_x} {from_y}V{y - 8}Q{from_x} {y} {min(from_x + 8, xs[0])} {y}H{xs[-1]}")
        labels.append(MapLabel(line.nodes[0], xs[0], y))
        for node, x in zip(line.nodes, xs, strict=True):
            children = len(walk.nodes[node].children)
            where[node] = (x, y)
            dots.append(MapDot(node, x, y, children > 1, children == 0))
        for side in reversed(line.sides):
            row += 1
            place(side)

    for index, line in enumerate(lesson_lines(walk)):
        row += index > 0
        place(line)
    width = max(dot.x for dot in dots) + LEFT + 44
    return OpeningMap(round(width, 1), TOP + ROW * row + 14, tuple(dots), tuple(labels), "".join(rails))


def map_html(walk: Walk, drawn: OpeningMap, theme: Theme = PLAIN) -> Markup:
    """The opening map as SVG for pointing at; the index of lines is its equal for keyboard and ear."""
    dots = Markup("").join(
        html(
            '<circle data-n="{}"{} cx="{}" cy="{}" r="{}"/>',
            d.node,
            dot_class(d.fork, d.end),
            d.x,
            d.y,
            4.6 if d.fork else 3,
        )
        for d in drawn.dots
    )
    labels = Markup("").join(
        html(
            '<foreignObject x="{}" y="{}" width="84" height="18"><span class="lab">{}</span></foreignObject>',
            label.x - 5,
            label.y - 23,
            node_move(walk, label.node, theme),
        )
        for label in drawn.labels
    )
    return html(
        '<svg class="map" viewBox="0 0 {0} {1}" width="{0}" height="{1}" aria-hidden="true">'
        '<path class="rail" d="{2}"/>'
        '<path class="trail" d=""/>{3}{4}<circle class="here" r="6.5"/></svg>',
        drawn.width,
        drawn.height,
        drawn.rails,
        labels,
        dots,
    )


def dot_class(fork: bool, end: bool) -> Markup:
    return Markup(' class="fork"') if fork else Markup(' class="end"') if end else Markup("")
