"""Whether the newest games are of another kind than all: fashions drift, and promises from old games with them."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Final

import chess
import numpy as np

from linewright.games.api import CountsBelow
from linewright.plan.position_flow import FlowLevel, Reached, reached
from linewright.plan.reply_cache import Ask, games_at, remember_answers

#: Part of the dated games that count as new (0-1), and how many there must be: a half is known to 7 points by 200.
NEWEST, ENOUGH = 0.25, 200
#: Points (0-1) by which a share must have moved to be reported; below that a plan counts as unchanged.
OFF: Final = 0.05


@dataclass(frozen=True, slots=True)
class RecentShift:
    """What is inside by the newest games alone.

    :param since: the first year of them; ``games``: how many.
    """

    since: int
    games: int
    reached: tuple[Reached, ...]


def find_recent_shift(
    counts: CountsBelow, rows: Sequence[Reached], again: Callable[[Ask], tuple[FlowLevel, ...]], side: chess.Color
) -> RecentShift | None:
    """The newest games' word on what is inside; None where it is much the same, or rests on too few.

    It is reported where the newest games' 95 % interval leaves out the part of all, and they are :data:`OFF` apart.

    :param rows: by all games; ``again`` counts the levels by other games.
    """
    years = counts.years()  # none in the starter table, whose games bear no years
    dated = np.sort(years[years > 0])
    if len(dated) < ENOUGH / NEWEST:
        return None
    since = int(dated[int(len(dated) * (1 - NEWEST))])
    newest = counts.since(since)
    if newest.games < ENOUGH or since <= int(dated[0]):
        return None
    ask = remember_answers(newest)
    now = tuple(reached(again(ask), games_at(ask, side)))
    known = {row.move: row.part for row in rows}
    if any(
        abs(row.part - known.get(row.move, 0.0)) >= OFF and not row.low <= known[row.move] <= row.high for row in now
    ):
        return RecentShift(since, newest.games, now)
    return None
