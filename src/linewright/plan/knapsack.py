"""The best set of lines under a budget: a knapsack on a tree, where a line needs the one that it branches from, and
going back to a place costs too."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt


@dataclass(frozen=True, slots=True)
class KnapsackItem:
    """Something that can be taught.

    :param parent: index of the item that must be taught before; -1 for none. Parents come before their children, and an
        item's descendants right behind it (depth first).
    :param cost: whole seconds, 0 or more, without a return to the place that it branches from.
    :param worth: 0 or more.
    """

    parent: int
    cost: int
    worth: float


def optimum(items: Sequence[KnapsackItem], budget: int, going_back: int = 0) -> tuple[int, ...]:
    """The set of greatest worth that costs at most ``budget``, every item with its parent; indices, ascending.

    Exact, by dynamic programming over the items in depth-first order: each is either taken, and its first child may
    follow, or left out with all below it. A second state says whether one that grows from the same place was taken
    before, so that this one needs a return. Time and memory grow as items times budget. Source: the left-right approach
    of Johnson and Niemi, "On knapsacks, partitions, and a new dynamic programming technique for trees", Mathematics of
    Operations Research 8 (1983), from memory; the second state is ours.

    :param going_back: whole seconds that each return takes: one for every item but the first from a place.
    """
    if budget < 0 or not items:
        return ()
    after = _ends(items)
    best = np.zeros((len(items) + 1, 2, budget + 1))
    for number in range(len(items) - 1, -1, -1):
        for back in (0, 1):
            here = best[number, back]
            here[:] = best[after[number], _back_after(items, number, after[number], back)]
            seconds = items[number].cost + back * going_back
            if seconds <= budget:
                taken = items[number].worth + best[number + 1, _back_into(items, number)][: budget + 1 - seconds]
                np.maximum(here[seconds:], taken, out=here[seconds:])
    return _read_off(items, after, best, budget, going_back)


def _read_off(
    items: Sequence[KnapsackItem], after: Sequence[int], best: npt.NDArray[np.float64], budget: int, going_back: int
) -> tuple[int, ...]:
    """The items taken in the best set; what adds nothing isn't."""
    chosen, number, back, left = [], 0, 0, budget
    while number < len(items):
        skipped = _back_after(items, number, after[number], back)
        if best[number, back, left] > best[after[number], skipped, left]:
            chosen.append(number)
            left -= items[number].cost + back * going_back
            number, back = number + 1, _back_into(items, number)
        else:
            number, back = after[number], skipped
    return tuple(chosen)


def _back_into(items: Sequence[KnapsackItem], number: int) -> int:
    """Whether the item behind one that is taken needs a return: not if it grows from it."""
    return int(number + 1 < len(items) and items[number + 1].parent != number)


def _back_after(items: Sequence[KnapsackItem], number: int, after: int, back: int) -> int:
    """Whether the next item needs a return when one is left out with all below it: as this one did, if from the same
    place; else the way to this one was taken from there."""
    return back if after < len(items) and items[after].parent == items[number].parent else int(after < len(items))


def greedy(items: Sequence[KnapsackItem], budget: int, going_back: int = 0) -> tuple[int, ...]:
    """What one would do by hand: take what is worth most a second among what can be taught next and still fits."""
    chosen: set[int] = set()
    places: set[int] = set()
    left = budget

    def seconds(number: int) -> int:
        return items[number].cost + going_back * (items[number].parent in places)

    while True:
        free = [
            number
            for number, item in enumerate(items)
            if number not in chosen and seconds(number) <= left and (item.parent < 0 or item.parent in chosen)
        ]
        if not free:
            return tuple(sorted(chosen))
        best = max(free, key=lambda number: (items[number].worth / max(seconds(number), 1e-9), -number))
        left -= seconds(best)
        chosen.add(best)
        places.add(items[best].parent)


def worth(items: Sequence[KnapsackItem], chosen: Sequence[int]) -> float:
    """What a set of items is worth together."""
    return sum(items[number].worth for number in chosen)


def cost(items: Sequence[KnapsackItem], chosen: Sequence[int], going_back: int = 0) -> int:
    """Seconds that a set of items takes, returns included: one for every item but the first from a place."""
    returns = len(chosen) - len({items[number].parent for number in chosen})
    return sum(items[number].cost for number in chosen) + going_back * returns


def _ends(items: Sequence[KnapsackItem]) -> list[int]:
    """For each item the index behind its last descendant."""
    ends = list(range(1, len(items) + 1))
    for number in range(len(items) - 1, -1, -1):
        parent = items[number].parent
        if parent >= number:
            raise ValueError(f"item {number} stands before its parent {parent}")
        if parent >= 0:
            ends[parent] = max(ends[parent], ends[number])
    return ends
