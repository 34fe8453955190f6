"""How often somebody may ask: a bucket of tokens for each, that fills up again with time."""

from __future__ import annotations

import time
from collections import OrderedDict
from collections.abc import Callable

#: A pupil's device syncs after each answer and when it comes back: one a second for long, sixty at once.
PUPIL_RATE, PUPIL_BURST = 1.0, 60
#: Wrong links from one address: a mistyped one now and then; 192 bits are not guessed at one a minute.
STRANGER_RATE, STRANGER_BURST = 1 / 60, 20
#: Links tried, by all together, from addresses that many wrong ones came from: a class that comes in behind a guesser
#: finds room, and 192 bits are not guessed at twenty a second either.
LATE_RATE, LATE_BURST = 20.0, 200
#: A pupil's whole log: seconds of work where it is a long one, and wanted once in a while.
WHOLE_RATE, WHOLE_BURST = 1 / 30, 5
#: Buckets remembered at most; the one longest untouched goes first.
MOST = 10_000


class Limit:
    """A rate limit by name. Not shared between processes.

    :param rate: how many a second in the long run.
    :param burst: how many at once.
    """

    def __init__(self, rate: float, burst: int, clock: Callable[[], float] = time.monotonic) -> None:
        self._rate, self._burst, self._clock = rate, burst, clock
        self._buckets: OrderedDict[str, tuple[float, float]] = OrderedDict()

    def allows(self, name: str) -> bool:
        """Takes one from the name's bucket; False when it is empty."""
        left = self._left(name)
        if left < 1:
            return False
        self._keep(name, left - 1)
        return True

    def empty(self, name: str) -> bool:
        """Whether nothing is left, without taking any."""
        return self._left(name) < 1

    def _left(self, name: str) -> float:
        left, at = self._buckets.get(name, (float(self._burst), self._clock()))
        return min(float(self._burst), left + (self._clock() - at) * self._rate)

    def _keep(self, name: str, left: float) -> None:
        self._buckets[name] = (left, self._clock())
        self._buckets.move_to_end(name)
        while len(self._buckets) > MOST:
            self._buckets.popitem(last=False)
