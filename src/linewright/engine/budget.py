"""Sharing out an engine's time over the positions of a talk: most where the doubt is greatest."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

#: The rungs of the ladder of work, in nodes. Work is rounded down to a rung, so that the same budget asks the same
#: question again although the machine was a little faster or slower this time.
RUNGS: Final[tuple[int, ...]] = tuple(25_000 * 2**step for step in range(12))
#: The least work worth asking for: below it an engine overlooks what a club player sees. Our choice.
LEAST: Final = 50_000
#: The most for one position: what more finds, no trainer is blamed for. Our choice.
MOST: Final = 12_800_000
#: The part of the time that is given out; the rest is for starting, and for questions that take longer than most.
SHARE: Final = 0.85


def share(doubts: Sequence[float], seconds: float, nodes_per_second: float) -> tuple[int, ...]:
    """How many nodes to spend on each position.

    :param doubts: the doubt about each position, 0 and up: 0 for none, at most ``LEAST`` is spent on it then; a
        position doubted twice as much gets twice the rest.
    :param seconds: time for all of them together.
    :param nodes_per_second: the engine's speed.
    :returns: nodes for each, a rung of ``RUNGS``, or 0 where time doesn't allow even ``LEAST``: then the least
        doubted go without. Their sum stays within the time.
    """
    budget = seconds * nodes_per_second * SHARE
    given = [0] * len(doubts)
    order = sorted(range(len(doubts)), key=lambda i: (-doubts[i], i))
    served = order[: int(budget // LEAST)]
    for index in served:
        given[index] = LEAST
    rest = budget - LEAST * len(served)
    doubtful = [index for index in served if doubts[index] > 0]
    while doubtful and rest > 0:
        total = sum(doubts[index] for index in doubtful)
        full = [index for index in doubtful if LEAST + rest * doubts[index] / total >= MOST]
        if not full:
            for index in doubtful:
                given[index] = _rung(LEAST + rest * doubts[index] / total)
            break
        for index in full:  # what these can't use goes to the others
            given[index] = MOST
        rest -= (MOST - LEAST) * len(full)
        doubtful = [index for index in doubtful if index not in full]
    return tuple(given)


def enough(nodes: int) -> int:
    """The work from which on a remembered verdict will do for a share of ``nodes``: two rungs below, since the speed
    measured on a busy machine can be a half or double of what it was the last time."""
    return max(min(nodes, LEAST), nodes // 4)


def _rung(nodes: float) -> int:
    return max(rung for rung in RUNGS if rung <= nodes)
