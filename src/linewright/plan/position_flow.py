"""How likely each position arises, through all orders of moves: chances flow from position to position by key."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from math import log, sqrt, tanh
from typing import Final

import chess

from linewright.games.api import position_key

#: From a position to its moves with their chances (0-1 each, together at most 1); what is missing leaves.
Choices = Callable[[chess.Board], Sequence[tuple[str, float]]]
#: From a position to the games that its chances were counted from; 0 where they weren't (the pupil's own moves).
Counted = Callable[[chess.Board], int]
#: Standard errors to either side within which 95 % of a normal law lie.
Z95: Final = 1.96


@dataclass(slots=True)
class MetPosition:
    """A position that arises.

    :param chance: 0-1, over all ways that lead to it at this depth.
    :param line: the likeliest way to it, in UCI, from the first position.
    :param onward: the moves that are followed from it, each with the next position's key and its chance.
    """

    board: chess.Board
    chance: float
    line: tuple[str, ...]
    likeliest: float
    onward: list[tuple[int, float]] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class FlowLevel:
    """All positions after so many half-moves, by key; ``left``: the chance to have left by then.

    The chances of the positions and ``left`` together are one.
    """

    places: dict[int, MetPosition] = field(default_factory=dict)
    left: float = 0.0

    @property
    def inside(self) -> float:
        return sum(place.chance for place in self.places.values())


def flow(root: chess.Board, depth: int, choices: Choices, least: float = 0.0) -> tuple[FlowLevel, ...]:
    """The positions at each depth with their chances, the first one's being 1; ``depth + 1`` levels.

    :param least: ways less likely are not followed; their chance counts as left.
    """
    level = FlowLevel({position_key(root): MetPosition(root.copy(stack=False), 1.0, (), 1.0)})
    levels = [level]
    for _ in range(depth):
        places: dict[int, MetPosition] = {}
        left = level.left
        for place in level.places.values():
            chosen = [(uci, part) for uci, part in choices(place.board) if part > 0 and place.chance * part >= least]
            left += place.chance * max(0.0, 1.0 - sum(part for _, part in chosen))
            for uci, part in chosen:
                _arrive(places, place, uci, part)
        level = FlowLevel(places, left)
        levels.append(level)
    return tuple(levels)


def _arrive(places: dict[int, MetPosition], before: MetPosition, uci: str, part: float) -> None:
    board = before.board.copy(stack=False)
    board.push_uci(uci)
    key, chance = position_key(board), before.chance * part
    before.onward.append((key, part))
    way = before.likeliest * part
    known = places.get(key)
    if known is None:
        places[key] = MetPosition(board, chance, (*before.line, uci), way)
        return
    known.chance += chance
    if way > known.likeliest:
        known.likeliest, known.line = way, (*before.line, uci)


@dataclass(frozen=True, slots=True)
class Reached:
    """How much of the pupil's games is still inside at a move's end.

    :param move: its number in the game.
    :param part: 0-1, from the first position.
    :param low: lower end of its 95 % interval; ``high``: upper end. They tell how far the counted games can be trusted,
        not whether the games to come are of the same kind.
    """

    move: int
    part: float
    low: float
    high: float


def reached(levels: Sequence[FlowLevel], counted: Counted) -> Iterator[Reached]:
    """What is inside after the last half-move of each move of the game."""
    errors = standard_errors(levels, counted)
    start = next(iter(levels[0].places.values())).board.ply()
    for done in range(1, len(levels)):
        if (start + done) % 2 == 0:
            part = levels[done].inside
            yield Reached((start + done) // 2, part, *interval(part, errors[done]))


def standard_errors(levels: Sequence[FlowLevel], counted: Counted) -> tuple[float, ...]:
    """The standard error of :attr:`FlowLevel.inside` at each depth, for the games that the chances were counted from.

    By the delta method: the part inside is a sum of products of shares; at each position the shares are those of a
    multinomial law over its games, and positions err independently. Source: common practice (textbooks of statistics
    give the delta method and the multinomial covariance); checked against resampling in tests/plan/test_laws.py.
    """
    games = {key: counted(place.board) for level in levels for key, place in level.places.items()}
    return tuple(sqrt(_variance(levels[: done + 1], games)) for done in range(len(levels)))


def _variance(levels: Sequence[FlowLevel], games: dict[int, int]) -> float:
    """Of the last level's ``inside``."""
    still = dict.fromkeys(levels[-1].places, 1.0)
    # How the part inside grows with each share; a position that arises at two depths is one sample.
    slopes: dict[int, dict[int, float]] = defaultdict(lambda: defaultdict(float))
    shares: dict[int, dict[int, float]] = defaultdict(dict)
    for level in reversed(levels[:-1]):
        before: dict[int, float] = {}
        for key, place in level.places.items():
            before[key] = sum(part * still[after] for after, part in place.onward if after in still)
            for after, part in place.onward if games[key] else ():
                slopes[key][after] += place.chance * still.get(after, 0.0)
                shares[key][after] = part
        still = before
    found = 0.0
    for key, slope in slopes.items():
        mean = sum(shares[key][after] * grows for after, grows in slope.items())
        square = sum(shares[key][after] * grows * grows for after, grows in slope.items())
        found += max(0.0, square - mean * mean) / games[key]
    return found


def interval(part: float, error: float) -> tuple[float, float]:
    """The 95 % interval of a part (0-1), symmetric in its logit, so that it stays between 0 and 1 (common practice)."""
    if not 0.0 < part < 1.0:
        return part, part
    middle, off = log(part / (1 - part)), Z95 * error / (part * (1 - part))
    return (1 + tanh((middle - off) / 2)) / 2, (1 + tanh((middle + off) / 2)) / 2
