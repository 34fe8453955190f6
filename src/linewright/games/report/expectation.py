"""What the ratings predict, and how far a score is from it."""

from __future__ import annotations

from dataclasses import dataclass
from math import erf, sqrt
from typing import Final

import numpy as np
import numpy.typing as npt

from linewright.games.report.wilson import wilson_interval

#: The standard deviation, in rating points, of the difference of two players' performances: Elo's 200 points a
#: player and √2, rounded up as FIDE's table has it.
SPREAD: Final = 2000 / 7

#: Named in what is printed.
EXPECTATION_FORMULA: Final = (
    "Elo's normal curve, E = Φ(7·difference / 2000), as FIDE's conversion table (Handbook B.02, 8.1.2)"
)

#: Largest difference, in rating points, that the curve is looked up for.
_LARGEST: Final = 4000
_CURVE: Final = np.array([0.5 * (1 + erf(d / SPREAD / sqrt(2))) for d in range(-_LARGEST, _LARGEST + 1)])


def expected_score(difference: float) -> float:
    """Expected score (0-1) of a player rated ``difference`` points above the opponent.

    Elo's normal curve (A. E. Elo, The Rating of Chessplayers, 1978) with the spread 2000/7 that FIDE's table
    8.1.2 (Handbook B.02) follows; from memory. The table rounds to hundredths and gives 1.00 beyond 735. FIDE's
    rule that a difference counts as 400 at most is one for changing ratings, not for expecting scores, and is not
    applied.
    """
    return 0.5 * (1 + erf(difference / SPREAD / sqrt(2)))


def expected_scores(differences: npt.NDArray[np.integer]) -> npt.NDArray[np.float64]:
    """:func:`expected_score` of many whole differences."""
    found: npt.NDArray[np.float64] = _CURVE[np.clip(differences, -_LARGEST, _LARGEST) + _LARGEST]
    return found


@dataclass(frozen=True, slots=True)
class RatingExpectation:
    """A score against what the ratings predict, over the games with a result and both ratings.

    :param games: how many those are.
    :param score: the side's score in them (0-1).
    :param expected: the mean of their expected scores (0-1).
    :param over: ``score - expected``; ``low`` and ``high``: that of the score's 95 % Wilson interval.
    """

    games: int
    score: float
    expected: float
    over: float
    low: float
    high: float


def against_expectation(points: float, expected_sum: float, games: int) -> RatingExpectation | None:
    """How points scored compare with what the ratings predict; None without games.

    :param points: scored in ``games`` games, from which the ratings predict ``expected_sum`` points.
    """
    if games <= 0:
        return None
    score, expected = points / games, expected_sum / games
    low, high = wilson_interval(points, games)
    return RatingExpectation(games, score, expected, score - expected, low - expected, high - expected)
