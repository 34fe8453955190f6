"""Weights of the model of memory fitted to a class's own answers, once there are enough of them.

Fitted by the optimiser of the ``fsrs`` project (``fsrs-rs-python``, the extra ``fit``); the optimiser inside the
``fsrs`` package itself is the same method, but needs a gigabyte of ``torch``.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

import fsrs

from linewright.practice.schedule.log import LogEntry, by_drill
from linewright.practice.schedule.settings import DAY
from linewright.support.extras import extra

#: Answers, a day or more after the one before, that a fit must rest on: the library's own floor (``fsrs.optimizer``:
#: one mini-batch), below which it hands back its defaults.
ENOUGH = 512


@dataclass(frozen=True, slots=True)
class Fit:
    """Fitted weights.

    :param weights: the 21 weights of FSRS-6, within the library's bounds.
    :param answers: how many they rest on.
    :param before: mean log loss of the library's own weights on these answers; ``after``: of the fitted ones.
    """

    weights: tuple[float, ...]
    answers: int
    before: float
    after: float


def fitted(logs: Iterable[Sequence[LogEntry]]) -> Fit | None:
    """Weights fitted to the logs of several pupils; None while there are too few answers.

    :raises UnusableInput: when the optimiser is not installed.
    """
    optimiser = extra("fsrs_rs_python", "fit")
    items = [
        optimiser.FSRSItem([optimiser.FSRSReview(rating, days) for rating, days in history])
        for log in logs
        for reviews in by_drill(log).values()
        for history in histories(reviews)
    ]
    if len(items) < ENOUGH:
        return None
    usual = fsrs.Scheduler().parameters
    weights = _bounded(optimiser.FSRS(list(usual)).compute_parameters(items))
    before = optimiser.FSRS(list(usual)).evaluate(items).log_loss
    after = optimiser.FSRS(list(weights)).evaluate(items).log_loss
    if after >= before:
        weights, after = usual, before
    return Fit(weights, len(items), before, after)


def histories(reviews: Sequence[LogEntry]) -> Iterator[tuple[tuple[int, int], ...]]:
    """For each review a day or more after the one before: all ratings up to it, each with the days since the last."""
    days = [0, *((b.at - a.at) // DAY for a, b in pairwise(reviews))]
    rows = [(review.rating, elapsed) for review, elapsed in zip(reviews, days, strict=True)]
    for end, elapsed in enumerate(days, 1):
        if elapsed > 0:
            yield tuple(rows[:end])


def _bounded(weights: Sequence[float]) -> tuple[float, ...]:
    """Weights moved into the library's bounds, which single precision may miss by a hair."""
    bounds = zip(weights, fsrs.scheduler.LOWER_BOUNDS_PARAMETERS, fsrs.scheduler.UPPER_BOUNDS_PARAMETERS, strict=True)
    return tuple(min(max(weight, low), high) for weight, low, high in bounds)
