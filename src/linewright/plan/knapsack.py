"""The best set of lines under a budget: a knapsack on a tree, where a line needs the one that it branches from."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np


@dataclass(frozen=True, slots=True)
class Item:
    """Something that can be told.

    :param parent: index of the item that must be told before; -1 for none. Parents come before their children, and an
        item's descendants right behind it (depth first).
    :param cost: whole seconds, 0 or more.
    :param worth: 0 or more.
    """

    parent: int
    cost: int
    worth: float


def optimum(items: Sequence[Item], budget: int) -> tuple[int, ...]:
    """The set of greatest worth that costs at most ``budget``, every item with its parent; indices, ascending.

    Exact, by dynamic programming over the items in depth-first order: each is either taken, and its first child may
    follow, or left out with all below it. Time and memory grow as items times budget. Source: the left-right approach
    of Johnson and Niemi, "On knapsacks, partitions, and a new dynamic programming technique for trees", Mathematics of
    Operations Research 8 (1983); from memory.
    """
    if budget < 0 or not items:
        return ()
    after = _ends(items)
    best = np.zeros((len(items) + 1, budget + 1))
    for number in range(len(items) - 1, -1, -1):
        item = items[number]
        best[number] = best[after[number]]
        if item.cost <= budget:
            taken = item.worth + best[number + 1][: budget + 1 - item.cost]
            np.maximum(best[number][item.cost :], taken, out=best[number][item.cost :])
    chosen, number, left = [], 0, budget
    while number < len(items):
        item = items[number]
        if item.cost <= left and best[number][left] > best[after[number]][left]:
            chosen.append(number)
            left -= item.cost
            number += 1
        else:
            number = after[number]
    return tuple(chosen)


def greedy(items: Sequence[Item], budget: int) -> tuple[int, ...]:
    """What one would do by hand: always tell what is worth most a second among what can be told next and still fits."""
    chosen: set[int] = set()
    left = budget
    while True:
        free = [
            number
            for number, item in enumerate(items)
            if number not in chosen and item.cost <= left and (item.parent < 0 or item.parent in chosen)
        ]
        if not free:
            return tuple(sorted(chosen))
        best = max(free, key=lambda number: (items[number].worth / max(items[number].cost, 1e-9), -number))
        chosen.add(best)
        left -= items[best].cost


def worth(items: Sequence[Item], chosen: Sequence[int]) -> float:
    """What a set of items is worth together."""
    return sum(items[number].worth for number in chosen)


def cost(items: Sequence[Item], chosen: Sequence[int]) -> int:
    """Seconds that a set of items takes."""
    return sum(items[number].cost for number in chosen)


def _ends(items: Sequence[Item]) -> list[int]:
    """For each item the index behind its last descendant."""
    ends = list(range(1, len(items) + 1))
    for number in range(len(items) - 1, -1, -1):
        parent = items[number].parent
        if parent >= number:
            raise ValueError(f"item {number} stands before its parent {parent}")
        if parent >= 0:
            ends[parent] = max(ends[parent], ends[number])
    return ends
