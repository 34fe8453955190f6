"""A plan: the lines that deserve the minutes, in the order to teach them, what they cover, and what is left."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

import chess

from linewright.games.api import DEPTH_BELOW, CountsBelow, position_key
from linewright.plan.branches import RETURN, Branches, Judged, TeachingUnit, covered_levels, grow_branches
from linewright.plan.knapsack import KnapsackItem, cost, greedy, optimum, worth
from linewright.plan.lesson_index import LessonIndex
from linewright.plan.news.recent_shift import RecentShift, find_recent_shift
from linewright.plan.position_flow import Reached, reached
from linewright.plan.reply_cache import games_at, remember_answers

#: Seconds of a talk that go to greeting, naming the opening and the close (our estimate); off the budget.
FRAME: Final = 30
#: Lines named for another talk.
NEXT: Final = 8


@dataclass(frozen=True, slots=True)
class PlannedLine:
    """A line as it is to be taught: from where it branches off to its end.

    :param units: indices of :attr:`Plan.units`, in order.
    :param back: half-moves gone back before it; 0 for the first line.
    :param seconds: that it takes, the return to where it branches off included.
    """

    units: tuple[int, ...]
    back: int
    seconds: int


@dataclass(frozen=True, slots=True)
class Plan:
    """What to teach in so many seconds.

    :param root: FEN of the first position; ``opening``: the pupil's move there, in SAN, where it is theirs.
    :param budget: seconds, the talk's frame included; ``seconds``: what the chosen lines take with it.
    :param lines: the chosen ones in the order to teach them.
    :param next: units for another talk: those that a second talk as long should teach, those worth most first.
    :param greedy: what the greedy choice is worth, for comparison with ``worth``.
    :param lately: what is reached by the newest games alone, where that is much more or less.
    """

    root: str
    side: chess.Color
    games: int
    only: str
    note: str
    budget: int
    seconds: int
    opening: str
    start: str
    units: tuple[TeachingUnit, ...]
    chosen: tuple[int, ...]
    lines: tuple[PlannedLine, ...]
    reached: tuple[Reached, ...]
    next: tuple[int, ...]
    worth: float
    greedy: float
    lately: RecentShift | None = None

    def moves(self, unit: int) -> tuple[str, ...]:
        """The moves, in UCI, from ``start`` to a unit's answer."""
        found = self.units[unit]
        return (*found.line, found.answer_uci) if found.answer_uci else found.line


def make_plan(
    counts: CountsBelow,
    side: chess.Color,
    budget: int,
    talk: LessonIndex | None = None,
    judged: Judged = lambda _: None,
    depth: int = DEPTH_BELOW,
) -> Plan:
    """The plan for ``budget`` seconds below a position."""
    ask = remember_answers(counts)
    found = grow_branches(counts.root, side, ask, talk, judged, depth)
    items = found.items()
    free = max(0, budget - FRAME)
    chosen = optimum(items, free, RETURN)
    plain = greedy(items, free, RETURN)
    spare = [KnapsackItem(item.parent, 0 if n in chosen else item.cost, item.worth) for n, item in enumerate(items)]
    second = sorted(set(optimum(spare, free, RETURN)) - set(chosen), key=lambda n: -items[n].worth)
    taught = _taught_moves(found, chosen)
    levels = covered_levels(found.start, side, ask, taught, depth)
    rows = tuple(row for row in reached(levels, games_at(ask, side)) if row.part > 0)
    return Plan(
        root=counts.root.fen(),
        side=side,
        games=counts.games,
        only=counts.only.in_words(),
        note=counts.note,
        budget=budget,
        seconds=cost(items, chosen, RETURN) + FRAME,
        opening=found.opening,
        start=found.start.fen(),
        units=found.units,
        chosen=chosen,
        lines=teaching_order(found.units, chosen),
        reached=rows,
        next=tuple(second[:NEXT]),
        worth=worth(items, chosen),
        greedy=worth(items, plain),
        lately=find_recent_shift(
            counts, rows, lambda asked: covered_levels(found.start, side, asked, taught, depth), side
        ),
    )


def _taught_moves(found: Branches, chosen: Sequence[int]) -> dict[int, dict[str, str]]:
    moves: dict[int, dict[str, str]] = {}
    for number in chosen:
        unit = found.units[number]
        moves.setdefault(position_key(chess.Board(unit.before)), {})[unit.line[-1]] = unit.answer_uci
    return moves


def teaching_order(units: Sequence[TeachingUnit], chosen: Sequence[int]) -> tuple[PlannedLine, ...]:
    """The chosen units as lines, the likeliest first, each branch taught to its end before the next.

    Such an order has as few returns as there can be: one less than lines. Their lengths together are the same in every
    such order but for where the talk ends, so the first line may be the main one: what is taught first is remembered.
    """
    following: dict[int, list[int]] = {}
    for number in sorted(chosen, key=lambda n: (-units[n].chance, n)):
        following.setdefault(units[number].parent, []).append(number)
    lines: list[PlannedLine] = []
    depth = 0

    def teach(number: int) -> None:
        nonlocal depth
        run = [number]
        while run[-1] in following:
            run.append(following[run[-1]][0])
        from_ply = len(units[number].line) - 1
        seconds = sum(units[number].seconds for number in run) + (RETURN if lines else 0)
        lines.append(PlannedLine(tuple(run), max(0, depth - from_ply) if lines else 0, seconds))
        last = units[run[-1]]
        depth = len(last.line) + bool(last.answer)
        for taught in reversed(run):
            for other in following.get(taught, [])[1:]:
                teach(other)

    for first in following.get(-1, []):
        teach(first)
    return tuple(lines)


def with_note(plan: Plan, note: str) -> Plan:
    """The plan with one more word to the user."""
    return replace(plan, note="; ".join(filter(None, (plan.note, note))))
