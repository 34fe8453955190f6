"""How a reply's popularity and score went through the years."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from linewright.games.ingest.columns import UNKNOWN
from linewright.games.report.study_values import FEW_GAMES, Direction, Period, Proportion, Scored, Trend
from linewright.games.report.wilson import wilson_interval

U16 = npt.NDArray[np.uint16]
Bools = npt.NDArray[np.bool_]

#: Years that a period may have, and the most periods that are shown: what a reader takes in at a glance.
PERIOD_YEARS, MOST_PERIODS = (1, 2, 5, 10, 25, 50, 100), 8

#: Proportion of the dated games, the oldest, that share the first period, however many years they took: a few early
#: forerunners would else make all periods coarse.
FORERUNNERS = 0.05


def proportion(games: int, of: int) -> Proportion:
    """A share with its interval; ``of`` 0 gives the share 0 and nothing known."""
    low, high = wilson_interval(games, of)
    return Proportion(games, of, games / of if of else 0.0, low, high)


def scored(half_points: npt.NDArray[np.uint8], white: bool) -> Scored:
    """The score of a side over the games with a known result.

    :param half_points: White's, :data:`linewright.games.query.game_columns.UNKNOWN` where unknown.
    """
    known = half_points[half_points != UNKNOWN]
    points = float(known.sum()) / 2
    points = points if white else len(known) - points
    low, high = wilson_interval(points, len(known))
    return Scored(len(known), points / len(known) if len(known) else 0.5, low, high)


def periods_of(years: U16) -> tuple[tuple[int, int], ...]:
    """Periods of equal length that cover the years known (0: unknown), at most :data:`MOST_PERIODS`.

    The first one reaches back to the first year, the last one ends with the last.
    """
    known = np.sort(years[years > 0])
    if not len(known):
        return ()
    first, last = int(known[int(FORERUNNERS * len(known))]), int(known[-1])
    length = next(n for n in PERIOD_YEARS if last // n - first // n < MOST_PERIODS or n == PERIOD_YEARS[-1])
    starts = [int(known[0]), *((n * length) for n in range(first // length + 1, last // length + 1))]
    return tuple(zip(starts, [start - 1 for start in starts[1:]] + [last], strict=True))


def trend(
    periods: tuple[tuple[int, int], ...], years: U16, chosen: Bools, half_points: npt.NDArray[np.uint8], white: bool
) -> Trend:
    """The trend of one reply.

    :param years: of the position's games that went on, 0 where unknown, shape (games,); ``half_points`` alike.
    :param chosen: the games with the reply, alike.
    :param white: White is to move.
    """
    found = []
    for first, last in periods:
        inside = (years >= first) & (years <= last)
        of = int(np.count_nonzero(inside))
        if of:
            here = inside & chosen
            found.append(
                Period(first, last, proportion(int(np.count_nonzero(here)), of), scored(half_points[here], white))
            )
    return Trend(tuple(found), _direction(found))


def _direction(periods: list[Period]) -> Direction:
    if len(periods) < 2:
        return "unclear"
    *before, now = (period.part for period in periods)
    past = proportion(sum(p.games for p in before), sum(p.of for p in before))
    if past.of < FEW_GAMES or now.of < FEW_GAMES:
        return "unclear"
    return "rising" if now.low > past.high else "falling" if now.high < past.low else "steady"
