"""Whether a share has shifted: Fisher's exact test for two proportions, and Holm's correction for many tests."""

from __future__ import annotations

from collections.abc import Sequence
from math import lgamma
from typing import Final

import numpy as np

#: The level at which a shift is reported, over all that are looked at in one check.
LEVEL: Final = 0.05
#: Named in what is printed.
TEST: Final = f"Fisher's exact test, two-sided, level {LEVEL:g} after Holm's correction"
#: Tables as likely as the one seen but for rounding count as no likelier.
_SLACK: Final = 1 + 1e-7


def fisher(a: int, of_a: int, b: int, of_b: int) -> float:
    """The two-sided p-value for one share behind ``a`` of ``of_a`` and ``b`` of ``of_b``: the chance of all tables with
    the same margins that are no likelier than the one seen.

    Source: R. A. Fisher, Statistical Methods for Research Workers (1934 edition), section 21.02; from memory. 1 where
    either is empty.

    :raises ValueError: for counts that can't be.
    """
    if not (0 <= a <= of_a and 0 <= b <= of_b):
        raise ValueError(f"{a} of {of_a} and {b} of {of_b}")
    total, hits = of_a + of_b, a + b
    if not of_a or not of_b:
        return 1.0
    first, last = max(0, hits - of_b), min(hits, of_a)
    log = np.array([_log_choose(of_a, k) + _log_choose(of_b, hits - k) for k in range(first, last + 1)])
    chances = np.exp(log - _log_choose(total, hits))
    return float(min(1.0, chances[chances <= chances[a - first] * _SLACK].sum()))


def _log_choose(n: int, k: int) -> float:
    return lgamma(n + 1) - lgamma(k + 1) - lgamma(n - k + 1)


def holm(chances: Sequence[float]) -> tuple[float, ...]:
    """P-values corrected for how many there are, in the order given: those at most a level are significant together.

    Source: S. Holm, "A simple sequentially rejective multiple test procedure", Scandinavian Journal of Statistics 6
    (1979), 65-70; from memory.
    """
    order = sorted(range(len(chances)), key=lambda i: chances[i])
    corrected, highest = [0.0] * len(chances), 0.0
    for rank, place in enumerate(order):
        highest = max(highest, min(1.0, (len(chances) - rank) * chances[place]))
        corrected[place] = highest
    return tuple(corrected)
