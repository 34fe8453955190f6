"""The lesson's tree cut into lines, as a book would set them."""

from __future__ import annotations

from dataclasses import dataclass

from linewright.lesson.walk import Walk


@dataclass(frozen=True, slots=True)
class LessonLine:
    """A run of moves said as one line.

    :param nodes: from the move that opens it to its end.
    :param parent: node that it branches from.
    :param sides: lines that branch off it, in the order of their branching.
    """

    nodes: tuple[int, ...]
    parent: int
    sides: tuple[LessonLine, ...]


def lesson_lines(walk: Walk) -> tuple[LessonLine, ...]:
    """The lines from the start position, first shown first; each node but the start is in exactly one."""
    return tuple(_line_from(walk, child) for child in walk.nodes[0].children)


def _line_from(walk: Walk, first: int) -> LessonLine:
    """The line that a node opens: it follows first children, the others open its sidelines."""
    run = [first]
    while children := walk.nodes[run[-1]].children:
        run.append(children[0])
    sides = tuple(_line_from(walk, side) for node in run for side in walk.nodes[node].children[1:])
    return LessonLine(tuple(run), walk.nodes[first].parent or 0, sides)
