"""Laws of reach, of the knapsack on trees and of the statistics, checked against general solvers and libraries."""

from __future__ import annotations

import random
from itertools import pairwise, product
from unittest.mock import patch

import chess
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.stats import fisher_exact, hypergeom
from statsmodels.stats.multitest import multipletests
from statsmodels.stats.proportion import std_prop

from linewright.plan.knapsack import KnapsackItem, cost, greedy, optimum, worth
from linewright.plan.news.statistics import fisher, holm
from linewright.plan.position_flow import flow, interval, standard_errors


@st.composite
def trees(draw: st.DrawFn, most: int = 11) -> list[KnapsackItem]:
    """Random trees in depth-first order."""
    size = draw(st.integers(1, most))
    parents: list[int] = []
    path: list[int] = []
    for number in range(size):
        path = path[: draw(st.integers(0, len(path)))]
        parents.append(path[-1] if path else -1)
        path.append(number)
    costs = draw(st.lists(st.integers(0, 9), min_size=size, max_size=size))
    worths = draw(st.lists(st.integers(0, 40), min_size=size, max_size=size))
    return [KnapsackItem(p, c, float(w)) for p, c, w in zip(parents, costs, worths, strict=True)]


def may_be(items: list[KnapsackItem], chosen: tuple[int, ...]) -> bool:
    return all(items[n].parent < 0 or items[n].parent in chosen for n in chosen)


#: Seconds of a return.
BACK = st.integers(0, 7)


def seconds(items: list[KnapsackItem], chosen: tuple[int, ...], back: int) -> int:
    """Told one by one, as a trainer would: every branch from a place but the first needs a return to it."""
    told: set[int] = set()
    spent = 0
    for number in chosen:
        spent += items[number].cost + (back if items[number].parent in told else 0)
        told.add(items[number].parent)
    return spent


@settings(deadline=None, max_examples=150)
@given(trees(), st.integers(0, 30), BACK)
def test_the_optimum_equals_brute_force(items: list[KnapsackItem], budget: int, back: int) -> None:
    best = 0.0
    for taken in product((False, True), repeat=len(items)):
        chosen = tuple(n for n, take in enumerate(taken) if take)
        if may_be(items, chosen) and seconds(items, chosen, back) <= budget:
            best = max(best, worth(items, chosen))
    found = optimum(items, budget, back)
    assert may_be(items, found) and cost(items, found, back) == seconds(items, found, back) <= budget
    assert worth(items, found) == best


@settings(deadline=None)
@given(trees(most=40), st.integers(0, 60), BACK)
def test_the_optimum_is_never_worth_less_than_the_greedy_choice(
    items: list[KnapsackItem], budget: int, back: int
) -> None:
    plain = greedy(items, budget, back)
    assert may_be(items, plain) and seconds(items, plain, back) <= budget
    assert worth(items, optimum(items, budget, back)) >= worth(items, plain)


@pytest.mark.parametrize("seed", range(8))
@pytest.mark.parametrize("back", [0, 6])
def test_the_optimum_equals_that_of_a_general_solver(seed: int, back: int) -> None:
    """scipy.optimize.milp (HiGHS): greatest worth, cost within the budget, no item without its parent.

    For each place that items grow from, one more variable: 1 saves the return of the first of them, if there is one.
    """
    chance = random.Random(seed)
    parents = [-1]
    path = [0]
    for number in range(1, 120):
        path = path[: chance.randint(0, len(path))]
        parents.append(path[-1] if path else -1)
        path.append(number)
    items = [KnapsackItem(p, chance.randint(1, 20), chance.random()) for p in parents]
    places = sorted(set(parents))
    size = len(items) + len(places)
    rows = [[float(item.cost + back) for item in items] + [float(-back)] * len(places)]
    limits = [200.0]
    for number, item in enumerate(items):
        if item.parent >= 0:
            row = [0.0] * size
            row[number], row[item.parent] = 1.0, -1.0
            rows.append(row)
            limits.append(0.0)
    for index, place in enumerate(places):
        row = [-1.0 if parent == place else 0.0 for parent in parents] + [0.0] * len(places)
        row[len(items) + index] = 1.0
        rows.append(row)
        limits.append(0.0)
    solved = milp(
        [-item.worth for item in items] + [0.0] * len(places),
        constraints=LinearConstraint(np.array(rows), ub=np.array(limits)),
        integrality=np.ones(size),
        bounds=Bounds(0, 1),
    )
    assert worth(items, optimum(items, 200, back)) == pytest.approx(-solved.fun, rel=1e-4)


def test_items_out_of_order_are_refused() -> None:
    with pytest.raises(ValueError, match="before its parent"):
        optimum([KnapsackItem(1, 1, 1.0), KnapsackItem(-1, 1, 1.0)], 5)


@settings(deadline=None, max_examples=40)
@given(st.integers(0, 10**6), st.integers(0, 6))
def test_chances_sum_to_one_at_every_depth(seed: int, depth: int) -> None:
    """Whatever is chosen, what is inside and what has left are all there is."""

    def choices(board: chess.Board) -> list[tuple[str, float]]:
        chance = random.Random(f"{seed} {board.epd()}")
        moves = chance.sample(list(board.legal_moves), min(3, board.legal_moves.count()))
        parts = [chance.random() for _ in moves]
        whole = sum(parts) + chance.choice([0.0, 0.5])
        return [(move.uci(), part / whole) for move, part in zip(moves, parts, strict=True)]

    levels = flow(chess.Board(), depth, choices)
    assert len(levels) == depth + 1
    for before, level in pairwise(levels):
        assert level.left >= before.left
    for level in levels:
        assert level.inside + level.left == pytest.approx(1.0)


def test_two_orders_of_moves_flow_together() -> None:
    """1.d4 d5 2.c4 and 1.c4 d5 2.d4 are one position."""
    lines = {"": [("d2d4", 0.6), ("c2c4", 0.4)], "d2d4": [("d7d5", 1.0)], "c2c4": [("d7d5", 0.5)]}

    def choices(board: chess.Board) -> list[tuple[str, float]]:
        if board.ply() < 2:
            e4, c4 = board.piece_at(chess.D4), board.piece_at(chess.C4)
            return lines["" if board.ply() == 0 else "d2d4" if e4 else "c2c4" if c4 else ""]
        return [("c2c4" if board.piece_at(chess.D4) else "d2d4", 1.0)] if board.ply() == 2 else []

    last = flow(chess.Board(), 3, choices)[3]
    assert len(last.places) == 1
    (place,) = last.places.values()
    assert place.chance == pytest.approx(0.6 + 0.4 * 0.5)
    assert place.line == ("d2d4", "d7d5", "c2c4")
    assert last.left == pytest.approx(0.2)


@settings(deadline=None, max_examples=80)
@given(st.integers(0, 60), st.integers(0, 60), st.integers(0, 60), st.integers(0, 60))
def test_fishers_test_is_scipys(a: int, rest_a: int, b: int, rest_b: int) -> None:
    """scipy.stats.fisher_exact, two-sided."""
    if not (a + rest_a) or not (b + rest_b):
        assert fisher(a, a + rest_a, b, b + rest_b) == 1.0
        return
    expected = fisher_exact([[a, rest_a], [b, rest_b]]).pvalue
    assert fisher(a, a + rest_a, b, b + rest_b) == pytest.approx(expected, rel=1e-6, abs=1e-12)


def test_fishers_test_of_large_counts() -> None:
    """Against sums of scipy's hypergeometric chances."""
    a, of_a, b, of_b = 900, 3000, 700, 2000
    law = hypergeom(of_a + of_b, a + b, of_a)
    at = np.arange(0, 1601)
    chances = law.pmf(at)
    assert fisher(a, of_a, b, of_b) == pytest.approx(chances[chances <= law.pmf(a) * (1 + 1e-7)].sum(), rel=1e-6)


@pytest.mark.parametrize("counts", [(5, 4, 1, 9), (-1, 4, 1, 9)])
def test_counts_that_cant_be_are_refused(counts: tuple[int, int, int, int]) -> None:
    with pytest.raises(ValueError, match="of"):
        fisher(*counts)


@settings(deadline=None)
@given(st.lists(st.floats(0, 1), min_size=1, max_size=30))
def test_holms_correction_is_statsmodels(chances: list[float]) -> None:
    """statsmodels.stats.multitest.multipletests(method="holm"), but for its gc.collect(): that takes nearly a second
    each time where a thousand tests are in memory, and changes no number."""
    with patch("gc.collect"):
        expected = multipletests(chances, method="holm")[1]
    assert holm(chances) == pytest.approx(list(expected))


def test_standard_errors_are_those_of_resampled_games() -> None:
    """Against the spread of the same estimate on games drawn anew (numpy's multinomial), two moves deep."""
    counts = {
        "": {"e2e4": 60, "d2d4": 30, "h2h4": 10},
        "e2e4": {"e7e5": 20, "c7c5": 25, "h7h5": 15},
        "d2d4": {"d7d5": 27, "h7h5": 3},
    }
    board_of = {"": chess.Board()}
    for uci in ("e2e4", "d2d4"):
        board_of[uci] = chess.Board()
        board_of[uci].push_uci(uci)

    def inside(drawn: dict[str, dict[str, int]]) -> float:
        parts = {key: {uci: n / sum(row.values()) for uci, n in row.items()} for key, row in drawn.items()}
        return sum(parts[""][uci] * (1 - parts[uci]["h7h5"]) for uci in ("e2e4", "d2d4"))

    def choices(board: chess.Board) -> list[tuple[str, float]]:
        return next((told(key) for key, known in board_of.items() if known.epd() == board.epd()), [])

    def told(key: str) -> list[tuple[str, float]]:
        total = sum(counts[key].values())
        return [(uci, n / total) for uci, n in counts[key].items() if uci not in ("h2h4", "h7h5")]

    def games(board: chess.Board) -> int:
        return next((sum(counts[key].values()) for key, known in board_of.items() if known.epd() == board.epd()), 0)

    levels = flow(chess.Board(), 2, choices)
    errors = standard_errors(levels, games)
    assert levels[2].inside == pytest.approx(inside(counts))
    assert errors[0] == 0
    # One share alone: the binomial's own standard error, here by statsmodels.
    assert errors[1] == pytest.approx(float(std_prop(0.9, 100)), rel=1e-9)
    drawing = np.random.default_rng(1)

    def drawn() -> dict[str, dict[str, int]]:
        anew = {}
        for key, row in counts.items():
            total = sum(row.values())
            anew[key] = dict(zip(row, drawing.multinomial(total, [n / total for n in row.values()]), strict=True))
        return anew

    spread = np.std([inside(drawn()) for _ in range(20_000)])
    assert errors[2] == pytest.approx(spread, rel=0.03)


@settings(deadline=None)
@given(st.floats(0, 1), st.floats(0, 0.4))
def test_an_interval_holds_its_middle_and_stays_a_share(part: float, error: float) -> None:
    low, high = interval(part, error)
    assert 0 <= low <= part + 1e-12 and part - 1e-12 <= high <= 1
