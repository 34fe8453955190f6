"""The interval in which an expected score lies."""

from __future__ import annotations

from math import sqrt

#: The normal distribution's 97.5 % point: 95 % of it lies within ± this many standard deviations.
Z_95 = 1.959963984540054


def wilson_interval(score_sum: float, games: int) -> tuple[float, float]:
    """The 95 % score interval of a proportion, without continuity correction, as (low, high) in 0-1.

    Source: E. B. Wilson, "Probable inference, the law of succession, and statistical inference", Journal of
    the American Statistical Association 22 (1927), 209-212. Draws count as half a success; a half point
    varies less than a whole one, so with draws the interval is a little wider than need be, never narrower.

    :param score_sum: points won, ``0 <= score_sum <= games``.
    :param games: games that they were won in; 0 gives (0, 1): nothing is known.
    """
    if games <= 0:
        return 0.0, 1.0
    z2 = Z_95 * Z_95
    rate = score_sum / games
    centre = (rate + z2 / (2 * games)) / (1 + z2 / games)
    half = Z_95 * sqrt(rate * (1 - rate) / games + z2 / (4 * games * games)) / (1 + z2 / games)
    # At the ends the formula gives exactly 0 or 1, but for rounding.
    low = 0.0 if score_sum <= 0 else max(0.0, centre - half)
    high = 1.0 if score_sum >= games else min(1.0, centre + half)
    return low, high
