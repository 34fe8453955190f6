"""The interval against a statistics library."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import binomtest

from linewright.games.api import wilson_interval


@given(st.integers(1, 5000).flatmap(lambda n: st.tuples(st.integers(0, n), st.just(n))))
def test_agrees_with_scipy(case: tuple[int, int]) -> None:
    won, games = case
    expected = binomtest(won, games).proportion_ci(confidence_level=0.95, method="wilson")
    assert wilson_interval(won, games) == pytest.approx((expected.low, expected.high), abs=1e-9)


@given(st.integers(1, 10**6).flatmap(lambda n: st.tuples(st.integers(0, 2 * n), st.just(n))))
def test_holds_the_score_and_mirrors(case: tuple[int, int]) -> None:
    half_points, games = case
    low, high = wilson_interval(half_points / 2, games)
    assert 0 <= low <= half_points / 2 / games <= high <= 1
    assert wilson_interval(games - half_points / 2, games) == pytest.approx((1 - high, 1 - low))


def test_no_games_tell_nothing() -> None:
    assert wilson_interval(0, 0) == (0.0, 1.0)
