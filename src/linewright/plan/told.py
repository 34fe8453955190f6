"""What one or several talks teach: their positions, whatever the order of moves."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import chess

from linewright.claims.scene import lesson_side
from linewright.errors import UnusableInput
from linewright.lesson.walk import MoveStep, Walk
from linewright.plan.reach import key_of

#: Signs by which a talk calls a move a mistake: ?, ?? and ?! (PGN standard 1994, section 10).
MISTAKES = frozenset({2, 4, 6})


@dataclass(frozen=True, slots=True)
class Told:
    """A move that a talk shows.

    :param talk: number of the talk.
    :param node: the node of its walk that the move leads to.
    :param mistake: a sign calls it one.
    """

    uci: str
    san: str
    talk: int
    node: int
    mistake: bool


@dataclass(frozen=True, slots=True)
class Taught:
    """A position of the talks.

    :param fen: full FEN by the first telling.
    :param moves: shown from it, each once for each talk, first told first.
    :param nodes: (talk, node) that show it.
    """

    fen: str
    moves: tuple[Told, ...]
    nodes: tuple[tuple[int, int], ...]


@dataclass(frozen=True)
class Lessons:
    """Talks for one side, by position.

    :param start: FEN that they start from.
    """

    walks: tuple[Walk, ...]
    side: chess.Color
    start: str
    positions: dict[str, Taught]

    def answer(self, key: str) -> Told | None:
        """The pupil's move in a position: the first one told that isn't called a mistake."""
        taught = self.positions.get(key)
        if taught is None:
            return None
        return next((move for move in taught.moves if not move.mistake), None)

    def shows(self, key: str) -> bool:
        """Do the talks go on from the position?"""
        taught = self.positions.get(key)
        return taught is not None and bool(taught.moves)


def side_of(walk: Walk, asked: str = "") -> chess.Color:
    """The side that a talk is for.

    :param asked: ``white`` or ``black``, as the user named it; ``""`` to hear it from the talk.
    :raises UnusableInput: where nothing tells.
    """
    if asked:
        return asked == "white"
    side = lesson_side(walk)
    if side is None:
        raise UnusableInput(
            f"{walk.talk.source}: the talk doesn't tell which side it is for",
            "Write {side: white} or {side: black} into it, or say --side white or --side black.",
        )
    return side


def lessons(walks: Sequence[Walk], side: chess.Color) -> Lessons:
    """Gather what talks for one side teach.

    Talks that start from different positions are gathered too; the first one's start is kept.
    """
    fens: dict[str, str] = {}
    moves: dict[str, dict[tuple[int, str], Told]] = {}
    nodes: dict[str, list[tuple[int, int]]] = {}
    for number, walk in enumerate(walks):
        wrong = _mistakes(walk)
        keys = [key_of(chess.Board(node.fen)) for node in walk.nodes]
        for node, key in zip(walk.nodes, keys, strict=True):
            fens.setdefault(key, node.fen)
            nodes.setdefault(key, []).append((number, node.id))
            shown = moves.setdefault(key, {})
            for child in node.children:
                move = walk.nodes[child]
                shown.setdefault((number, move.uci), Told(move.uci, move.san, number, child, child in wrong))
    positions = {key: Taught(fens[key], tuple(moves[key].values()), tuple(nodes[key])) for key in fens}
    return Lessons(tuple(walks), side, walks[0].start if walks else chess.STARTING_FEN, positions)


def _mistakes(walk: Walk) -> frozenset[int]:
    return frozenset(step.node for step in walk.steps if isinstance(step, MoveStep) and step.nag in MISTAKES)


def by_side(walks: Iterable[Walk], asked: str = "") -> dict[chess.Color, tuple[Walk, ...]]:
    """Talks by the side that they are for."""
    found: dict[chess.Color, list[Walk]] = {}
    for walk in walks:
        found.setdefault(side_of(walk, asked), []).append(walk)
    return {side: tuple(some) for side, some in found.items()}
