"""The best choice of branches: laws, brute force, and a general solver."""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import Bounds, LinearConstraint, milp

from linewright.plan.knapsack import Branch, best, cost_of, greedy


@st.composite
def trees(draw: st.DrawFn, most: int = 9, told: bool = False) -> list[Branch]:
    """Branches in pre-order: each grows from the one before or from one on the way to it."""
    found: list[Branch] = []
    for i in range(draw(st.integers(0, most))):
        way: list[int | None] = [None]
        at = i - 1 if i else None
        while at is not None:
            way.append(at)
            at = found[at].parent
        parent = draw(st.sampled_from(way))
        known = told and (parent is None or found[parent].told) and draw(st.booleans())
        worth = draw(st.integers(0, 20)) / 4
        found.append(Branch(parent, worth, draw(st.integers(1, 8)), known))
    return found


def closed(branches: list[Branch], chosen: set[int]) -> bool:
    return all(
        branches[i].parent is None or branches[i].parent in chosen or branches[branches[i].parent or 0].told
        for i in chosen
    )


def brute(branches: list[Branch], budget: int, a_return: int) -> float:
    free = [i for i, branch in enumerate(branches) if not branch.told]
    return max(
        sum(branches[i].worth for i in chosen)
        for size in range(len(free) + 1)
        for chosen in combinations(free, size)
        if closed(branches, set(chosen)) and cost_of(branches, set(chosen), a_return) <= budget
    )


@given(trees(told=True), st.integers(0, 40), st.integers(0, 5))
@settings(deadline=None, max_examples=300)
def test_equal_to_brute_force_and_never_below_greedy(branches: list[Branch], budget: int, a_return: int) -> None:
    found = best(branches, budget, a_return)
    chosen = set(found.chosen)
    assert closed(branches, chosen)
    assert found.seconds == cost_of(branches, chosen, a_return) <= budget
    assert found.worth == pytest.approx(sum(branches[i].worth for i in chosen))
    assert found.worth == pytest.approx(brute(branches, budget, a_return))
    hasty = greedy(branches, budget, a_return)
    assert closed(branches, set(hasty.chosen))
    assert hasty.seconds == cost_of(branches, set(hasty.chosen), a_return) <= budget
    assert hasty.worth <= found.worth + 1e-9


def solver(branches: list[Branch], budget: int, a_return: int) -> float:
    """The same question to a general mixed-integer solver, scipy.optimize.milp (HiGHS).

    One 0-1 variable for each branch and one for each place with a branch told from it: a place pays a return for each
    branch and is given one back.
    """
    size = len(branches)
    places = sorted({-1 if b.parent is None else b.parent for b in branches})
    total = size + len(places)
    worth = np.array([-b.worth for b in branches] + [0.0] * len(places))
    rows, highs = [], []
    cost = np.array([b.seconds + a_return for b in branches] + [-a_return] * len(places), dtype=float)
    rows.append(cost)
    highs.append(float(budget))
    for i, branch in enumerate(branches):
        if branch.parent is not None:
            row = np.zeros(total)
            row[i], row[branch.parent] = 1, -1
            rows.append(row)
            highs.append(0.0)
    for number, place in enumerate(places):  # given back only where a branch from there is told
        row = np.zeros(total)
        row[size + number] = 1
        for i, branch in enumerate(branches):
            if (-1 if branch.parent is None else branch.parent) == place:
                row[i] = -1
        rows.append(row)
        highs.append(0.0)
    found = milp(
        worth,
        constraints=LinearConstraint(np.array(rows), -np.inf, np.array(highs)),
        integrality=np.ones(total),
        bounds=Bounds(0, 1),
    )
    return float(-found.fun)


@pytest.mark.parametrize("seed", range(12))
def test_as_a_general_solver_says_on_random_trees(seed: int) -> None:
    random = np.random.default_rng(seed)
    branches: list[Branch] = []
    for i in range(40):
        way: list[int | None] = [None]
        at = i - 1 if i else None
        while at is not None:
            way.append(at)
            at = branches[at].parent
        parent = way[int(random.integers(len(way)))]
        branches.append(Branch(parent, float(random.integers(0, 100)) / 7, int(random.integers(1, 15))))
    assert best(branches, 90, 4).worth == pytest.approx(solver(branches, 90, 4))


def test_a_branch_that_needs_no_return_is_told_first() -> None:
    branches = [Branch(None, 1, 5), Branch(0, 1, 5), Branch(0, 1, 5)]
    assert best(branches, 10, 3).chosen == (0, 2) or best(branches, 10, 3).chosen == (0, 1)
    assert best(branches, 17, 3).worth == 2  # the third would need a return: 18 seconds
    assert best(branches, 18, 3).worth == 3


def test_nothing_to_tell_is_no_trouble() -> None:
    assert best([], 60, 5).chosen == ()
    assert best([Branch(None, 1, 61)], 60, 5).chosen == ()
