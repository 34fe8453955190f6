"""The lesson's tree cut into lines, and the opening map drawn from them."""

from __future__ import annotations

from dataclasses import dataclass

from linewright.lesson.walk import Walk

#: Distances of the map in its own units (CSS pixels at full width).
ROW = 29
TOP = 24
LEFT = 10
WIDEST = 400
STEP_MOST = 15.0
STEP_LEAST = 7.5


@dataclass(frozen=True, slots=True)
class Line:
    """A run of moves said as one line.

    :param nodes: from the move that opens it to its end.
    :param parent: node that it branches from.
    :param sides: lines that branch off it, in the order of their branching.
    """

    nodes: tuple[int, ...]
    parent: int
    sides: tuple[Line, ...]


def lines(walk: Walk) -> tuple[Line, ...]:
    """The lines from the start position, first shown first; each node but the start is in exactly one."""
    return tuple(line_from(walk, child) for child in walk.nodes[0].children)


def line_from(walk: Walk, first: int) -> Line:
    """The line that a node opens: it follows first children, the others open its sidelines."""
    run = [first]
    while children := walk.nodes[run[-1]].children:
        run.append(children[0])
    sides = tuple(line_from(walk, side) for node in run for side in walk.nodes[node].children[1:])
    return Line(tuple(run), walk.nodes[first].parent or 0, sides)


@dataclass(frozen=True, slots=True)
class Dot:
    """A position on the map."""

    node: int
    x: float
    y: float
    fork: bool
    end: bool


@dataclass(frozen=True, slots=True)
class Label:
    """The move that opens a line, written above its first dot."""

    node: int
    x: float
    y: float


@dataclass(frozen=True, slots=True)
class Map:
    """The opening map: one row for each line, one column for each half-move.

    :param rails: SVG path data of the connections.
    """

    width: float
    height: float
    dots: tuple[Dot, ...]
    labels: tuple[Label, ...]
    rails: str


def draw_map(walk: Walk) -> Map:
    """Lays the tree out so that no rail crosses another.

    Under each line come its sidelines, the one that branches last first: a rail from an early branch then
    passes left of everything between.
    """
    deepest = max(node.ply for node in walk.nodes)
    step = min(STEP_MOST, max(STEP_LEAST, (WIDEST - 2 * LEFT) / max(deepest, 1)))
    dots = [Dot(0, LEFT, TOP, len(walk.nodes[0].children) > 1, False)]
    labels: list[Label] = []
    rails: list[str] = []
    where = {0: (float(LEFT), float(TOP))}
    row = 0

    def place(line: Line) -> None:
        nonlocal row
        y = TOP + ROW * row
        from_x, from_y = where[line.parent]
        xs = [round(LEFT + step * walk.nodes[node].ply, 1) for node in line.nodes]
        if y == from_y:
            rails.append(f"M{from_x} {y}H{xs[-1]}")
        else:
            rails.append(f"M{from_x} {from_y}V{y - 8}Q{from_x} {y} {min(from_x + 8, xs[0])} {y}H{xs[-1]}")
        labels.append(Label(line.nodes[0], xs[0], y))
        for node, x in zip(line.nodes, xs, strict=True):
            children = len(walk.nodes[node].children)
            where[node] = (x, y)
            dots.append(Dot(node, x, y, children > 1, children == 0))
        for side in reversed(line.sides):
            row += 1
            place(side)

    for index, line in enumerate(lines(walk)):
        row += index > 0
        place(line)
    width = max(dot.x for dot in dots) + LEFT + 44
    return Map(round(width, 1), TOP + ROW * row + 14, tuple(dots), tuple(labels), "".join(rails))
