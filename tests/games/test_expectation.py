"""The expectation against FIDE's table, scores against a statistics library."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import binomtest, norm

from linewright.games.report.expectation import SPREAD, against_expectation, expected_score, expected_scores

#: FIDE Handbook B.02, table 8.1.2: the last difference that is converted into 0.50, 0.51, …, 0.99; from memory.
FIDE_TABLE = (
    "3 10 17 25 32 39 46 53 61 68 76 83 91 98 106 113 121 129 137 145 153 162 170 179 188 197 206 215 225 235 245 256 "
    "267 278 290 302 315 328 344 357 374 391 411 432 456 484 517 559 619 735"
)

#: How far the table's own rounding by hand may lie from the curve: half a hundredth, and a little in its tails.
ROUNDING = 0.0075


def test_the_expectation_is_that_of_fides_table() -> None:
    last = [int(number) for number in FIDE_TABLE.split()]
    difference = 0
    for hundredths, end in enumerate(last, start=50):
        while difference <= end:
            assert expected_score(difference) == pytest.approx(hundredths / 100, abs=ROUNDING), difference
            assert expected_score(-difference) == pytest.approx(1 - hundredths / 100, abs=ROUNDING)
            difference += 1
    rounded = sum(round(expected_score(d), 2) == round(0.5 + sum(d > end for end in last) / 100, 2) for d in range(736))
    assert rounded / 736 > 0.9  # for nine differences in ten it is the table's very number


@given(st.integers(-4000, 4000))
def test_expectation_laws(difference: int) -> None:
    assert expected_score(difference) + expected_score(-difference) == pytest.approx(1)
    assert expected_score(difference) == pytest.approx(norm.cdf(difference / SPREAD))
    assert expected_scores(np.array([difference]))[0] == pytest.approx(expected_score(difference))
    assert expected_score(difference + 1) >= expected_score(difference)


@given(st.integers(1, 400).flatmap(lambda n: st.tuples(st.just(n), st.integers(0, n))), st.floats(0, 1))
def test_the_interval_is_the_library_s(games: tuple[int, int], expected: float) -> None:
    played, won = games
    found = against_expectation(won, expected * played, played)
    assert found is not None
    interval = binomtest(won, played).proportion_ci(0.95, "wilson")
    assert found.over == pytest.approx(won / played - expected)
    assert (found.low + expected, found.high + expected) == pytest.approx((interval.low, interval.high), abs=1e-9)
    assert found.low <= found.over + 1e-12 and found.over <= found.high + 1e-12


def test_no_games_no_expectation() -> None:
    assert against_expectation(0, 0, 0) is None
