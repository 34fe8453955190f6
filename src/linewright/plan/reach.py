"""How likely each position arises, through all orders of moves: chances flow from position to position by key."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

import chess

from linewright.base.keys import position_key

#: From a position to its moves with their chances (0-1 each, together at most 1); what is missing leaves.
Choices = Callable[[chess.Board], Sequence[tuple[str, float]]]


@dataclass(slots=True)
class Place:
    """A position that arises.

    :param chance: 0-1, over all ways that lead to it at this depth.
    :param line: the likeliest way to it, in UCI, from the first position.
    """

    board: chess.Board
    chance: float
    line: tuple[str, ...]
    likeliest: float


@dataclass(frozen=True, slots=True)
class Level:
    """All positions after so many half-moves, by key; ``left``: the chance to have left by then.

    The chances of the positions and ``left`` together are one.
    """

    places: dict[int, Place] = field(default_factory=dict)
    left: float = 0.0

    @property
    def inside(self) -> float:
        return sum(place.chance for place in self.places.values())


def flow(root: chess.Board, depth: int, choices: Choices, least: float = 0.0) -> tuple[Level, ...]:
    """The positions at each depth with their chances, the first one's being 1; ``depth + 1`` levels.

    :param least: ways less likely are not followed; their chance counts as left.
    """
    level = Level({position_key(root): Place(root.copy(stack=False), 1.0, (), 1.0)})
    levels = [level]
    for _ in range(depth):
        places: dict[int, Place] = {}
        left = level.left
        for place in level.places.values():
            chosen = [(uci, part) for uci, part in choices(place.board) if part > 0 and place.chance * part >= least]
            left += place.chance * max(0.0, 1.0 - sum(part for _, part in chosen))
            for uci, part in chosen:
                _arrive(places, place, uci, part)
        level = Level(places, left)
        levels.append(level)
    return tuple(levels)


def _arrive(places: dict[int, Place], before: Place, uci: str, part: float) -> None:
    board = before.board.copy(stack=False)
    board.push_uci(uci)
    key, chance = position_key(board), before.chance * part
    way = before.likeliest * part
    known = places.get(key)
    if known is None:
        places[key] = Place(board, chance, (*before.line, uci), way)
        return
    known.chance += chance
    if way > known.likeliest:
        known.likeliest, known.line = way, (*before.line, uci)
