"""A course: several talks' walks as one tree, with an index of openings and the ways between the talks."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date

import chess
import chess.pgn

from linewright.lesson.opening import lesson_opening, opening_at
from linewright.lesson.pgn import walk_to_pgn
from linewright.lesson.walk import Node, Walk

#: Pieces that make two equal positions worth a link: before that every talk of one opening meets every other.
LEAST_PLIES = 4


@dataclass(frozen=True, slots=True)
class Lesson:
    """A talk of a course.

    :param slug: what its files' names begin with.
    :param day: when the talk was last written to; None leaves it out.
    """

    slug: str
    walk: Walk
    day: date | None = None


@dataclass(frozen=True, slots=True)
class LessonSpot:
    """A position in a talk.

    :param lesson: the talk's number in the course, from 0.
    :param node: the position in its tree.
    """

    lesson: int
    node: int


@dataclass(frozen=True, slots=True)
class IndexEntry:
    """An opening of the index, with the talks that reach it."""

    name: str
    eco: str
    fen: str
    spots: tuple[LessonSpot, ...]


@dataclass(frozen=True, slots=True)
class CommonPosition:
    """A position that talks reach by different moves; the talks go one way from there."""

    fen: str
    spots: tuple[LessonSpot, ...]


@dataclass(frozen=True, slots=True)
class Branch:
    """A run of moves of all talks' common tree, up to where talks or lines part.

    :param moves: ``(FEN before, SAN)`` in order.
    :param spots: where each talk that covers its last move does so.
    :param branches: what follows.
    """

    moves: tuple[tuple[str, str], ...]
    spots: tuple[LessonSpot, ...]
    branches: tuple[Branch, ...]


def key(fen: str) -> str:
    """What makes a position: men, side to move, castling, and a square for taking in passing where one may."""
    return chess.Board(fen).epd()


def opening_index(lessons: Sequence[Lesson]) -> tuple[IndexEntry, ...]:
    """Every catalogued opening that a talk reaches, by name, then code; each position once."""
    found: dict[str, tuple[str, str, str, list[LessonSpot]]] = {}
    for number, lesson in enumerate(lessons):
        for node in lesson.walk.nodes:
            opening = opening_at(node.fen)
            if opening is None:
                continue
            entry = found.setdefault(key(node.fen), (opening.name, opening.eco, node.fen, []))
            if all(spot.lesson != number for spot in entry[3]):
                entry[3].append(LessonSpot(number, node.id))
    entries = (IndexEntry(name, eco, fen, tuple(spots)) for name, eco, fen, spots in found.values())
    return tuple(sorted(entries, key=lambda entry: (entry.name, entry.eco, entry.fen)))


def meetings(lessons: Sequence[Lesson]) -> tuple[CommonPosition, ...]:
    """Where two talks come to one position by different moves, at the first position of each common way."""
    places: dict[str, list[LessonSpot]] = {}
    for number, lesson in enumerate(lessons):
        for node in lesson.walk.nodes:
            spots = places.setdefault(key(node.fen), [])
            if node.ply >= LEAST_PLIES and all(spot.lesson != number for spot in spots):
                spots.append(LessonSpot(number, node.id))
    found = []
    for spots in places.values():
        ways = {lessons[s.lesson].walk.moves_to(s.node) for s in spots}
        if len(spots) > 1 and len(ways) > 1 and not _met_before(lessons, spots, places):
            found.append(CommonPosition(lessons[spots[0].lesson].walk.nodes[spots[0].node].fen, tuple(spots)))
    return tuple(found)


def _met_before(lessons: Sequence[Lesson], spots: Sequence[LessonSpot], places: dict[str, list[LessonSpot]]) -> bool:
    """Whether the talks were at one position a move earlier already, so that nothing new meets here."""
    parents = set()
    for spot in spots:
        walk = lessons[spot.lesson].walk
        parent = walk.nodes[spot.node].parent
        parents.add(key(walk.nodes[parent].fen) if parent is not None else "")
    if len(parents) != 1:
        return False
    before = places.get(parents.pop(), [])
    return {spot.lesson for spot in spots} <= {spot.lesson for spot in before}


def common_tree(lessons: Sequence[Lesson]) -> tuple[Branch, ...]:
    """All talks' trees as one, cut where lines part or where the talks that cover them change."""
    roots: dict[str, list[LessonSpot]] = {}
    for number, lesson in enumerate(lessons):
        roots.setdefault(lesson.walk.start, []).append(LessonSpot(number, 0))
    return tuple(branch for spots in roots.values() for branch in _branches(lessons, spots))


def _branches(lessons: Sequence[Lesson], spots: Sequence[LessonSpot]) -> Iterator[Branch]:
    for following in _children(lessons, spots):
        moves, at = [_last_move(lessons, following)], following
        while len(after := _children(lessons, at)) == 1 and len(after[0]) == len(at):
            at = after[0]
            moves.append(_last_move(lessons, at))
        yield Branch(tuple(moves), tuple(at), tuple(_branches(lessons, at)))


def _children(lessons: Sequence[Lesson], spots: Sequence[LessonSpot]) -> list[list[LessonSpot]]:
    """The next moves of some equal positions, each with the talks that play it."""
    found: dict[str, list[LessonSpot]] = {}
    for spot in spots:
        walk = lessons[spot.lesson].walk
        for child in walk.nodes[spot.node].children:
            found.setdefault(walk.nodes[child].uci, []).append(LessonSpot(spot.lesson, child))
    return list(found.values())


def _last_move(lessons: Sequence[Lesson], spots: Sequence[LessonSpot]) -> tuple[str, str]:
    """The move that leads to some equal positions: FEN before, SAN."""
    ((before, san),) = lessons[spots[0].lesson].walk.written([spots[0].node])
    return before, san


def state(node: Node) -> int:
    """How many steps are done when a talk first shows a position: its place on the talk's page."""
    return 0 if node.step is None else node.step + 1


def course_pgn(lessons: Sequence[Lesson]) -> str:
    """One PGN file with every talk, in the course's order."""
    return "\n".join(walk_to_pgn(lesson.walk, record=True) for lesson in lessons)


def opening_named(walk: Walk) -> str:
    """``Caro-Kann Panov (B13)``, ``""`` for none."""
    opening = lesson_opening(walk)
    return opening.text if opening else ""
