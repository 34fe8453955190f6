"""A talk as what it teaches: for each position, by any order of moves, the moves it shows and the time it takes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

import chess

from linewright.base.keys import position_key
from linewright.claims.scene import Scene
from linewright.errors import UnusableInput
from linewright.lesson.walk import Node, ReturnStep, Walk
from linewright.talk.model import Unit

#: Words a minute of a trainer who shows moves (as :data:`linewright.publish.timing.RATE`; common practice: 120-160).
RATE: Final = 140
#: Half-moves told before the lesson's own part, in a talk that never goes back: three moves name an opening.
UNBRANCHED_PLIES: Final = 6


@dataclass(frozen=True, slots=True)
class Shown:
    """A move that a talk shows from a position.

    :param node: the walk's node that it leads to, when first shown.
    """

    uci: str
    san: str
    node: int


@dataclass(frozen=True, slots=True)
class Taught:
    """What a talk teaches.

    :param side: whose lesson it is.
    :param root: the first position of its own part, which coverage is counted from.
    :param moves: by position key, the moves shown, first told first.
    :param seconds: by position key, the time told from its arrival on the board to the next step.
    :param length: seconds of the whole talk.
    """

    title: str
    source: str
    side: chess.Color
    root: chess.Board
    moves: Mapping[int, tuple[Shown, ...]]
    seconds: Mapping[int, float]
    length: float
    walk: Walk

    def shown(self, board: chess.Board) -> tuple[Shown, ...]:
        return self.moves.get(position_key(board), ())

    def holds(self, board: chess.Board) -> bool:
        """Whether the talk shows the position at all."""
        return position_key(board) in self.moves


def taught(walk: Walk, side: str = "", root: chess.Board | None = None) -> Taught:
    """What a walk teaches.

    :param side: ``white`` or ``black``; the talk's own unless given, else the one that its words speak for.
    :param root: where coverage is counted from; the earliest position that the talk goes back to unless given.
    :raises UnusableInput: where neither tells whose lesson it is.
    """
    named = side or walk.side
    if not named and (found := Scene(walk).side) is not None:
        named = "white" if found else "black"
    if named not in ("white", "black"):
        raise UnusableInput(
            f"{walk.talk.source}: the talk doesn't say whose lesson it is", "Write --as white or --as black."
        )
    moves: dict[int, dict[str, Shown]] = {}
    for node in walk.nodes:
        here = moves.setdefault(position_key(chess.Board(node.fen)), {})
        for child in node.children:
            after = walk.nodes[child]
            here.setdefault(after.uci, Shown(after.uci, after.san, child))
    times, length = _times(walk)
    return Taught(
        walk.title,
        walk.talk.source,
        named == "white",
        root.copy(stack=False) if root else chess.Board(own_part(walk).fen),
        {key: tuple(shown.values()) for key, shown in moves.items()},
        times,
        length,
        walk,
    )


def own_part(walk: Walk) -> Node:
    """The earliest position that the talk goes back to; without returns a position early on its one line."""
    back = [walk.nodes[step.node] for step in walk.steps if isinstance(step, ReturnStep) and step.node]
    if back:
        return min(back, key=lambda node: node.ply)
    node = walk.nodes[0]
    while node.children and node.ply < UNBRANCHED_PLIES:
        node = walk.nodes[node.children[0]]
    return node


def _times(walk: Walk) -> tuple[dict[int, float], float]:
    """Seconds by position, and of the whole; typed talks as if spoken at :data:`RATE` words a minute."""
    words = walk.talk.words
    timed = walk.talk.unit is Unit.SECONDS

    def at(word: int) -> float:
        if not timed:
            return word * 60 / RATE
        return words[word].start if word < len(words) else words[-1].end if words else 0.0

    found: dict[int, float] = {}
    for number, step in enumerate(walk.steps):
        until = walk.steps[number + 1].said.first if number + 1 < len(walk.steps) else len(words)
        key = position_key(chess.Board(walk.nodes[step.node].fen))
        found[key] = found.get(key, 0.0) + max(at(until) - at(step.said.first), 0.0)
    return found, at(len(words))
