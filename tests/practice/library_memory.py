"""States of memory as the ``fsrs`` library (py-fsrs) computes them: what the page's own model is checked against.

The model is FSRS-6; its forgetting curve is the power law ``R(t) = (1 + F·t/S)^(-w20)`` with ``F = 0.9^(-1/w20) - 1``,
so that ``R(S) = 0.9``. Sources: the project's documentation, "The Algorithm", section FSRS-6
(open-spaced-repetition); Ye, Su and Cao, "A Stochastic Shortest Path Algorithm for Optimizing Spaced Repetition
Scheduling", KDD 2022, for the model it grew from.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

import fsrs

from linewright.practice.schedule.log import LogEntry, by_drill
from linewright.practice.schedule.settings import LONGEST, RETENTION

_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)


@dataclass(frozen=True, slots=True)
class Memory:
    """How well a pupil remembers one drill; ``due`` and ``last`` in milliseconds since 1970 UTC."""

    drill: str
    stability: float
    difficulty: float
    learning: bool
    step: int
    due: int
    last: int
    reviews: int
    lapses: int


def scheduler(retention: float = RETENTION, parameters: Sequence[float] | None = None) -> fsrs.Scheduler:
    """The library's scheduler without its random fuzz, as the page has it."""
    return fsrs.Scheduler(
        parameters=tuple(parameters) if parameters else fsrs.Scheduler().parameters,
        desired_retention=retention,
        maximum_interval=LONGEST,
        enable_fuzzing=False,
    )


def memories(entries: Iterable[LogEntry], planner: fsrs.Scheduler) -> dict[str, Memory]:
    """Every drill's state, rebuilt from the log."""
    return {drill: memory(drill, reviews, planner) for drill, reviews in by_drill(entries).items()}


def memory(drill: str, reviews: Sequence[LogEntry], planner: fsrs.Scheduler) -> Memory:
    """The state of one drill after its reviews, at least one, in order."""
    card = fsrs.Card(card_id=0)
    lapses = 0
    for review in reviews:
        lapses += card.state is not fsrs.State.Learning and review.rating == fsrs.Rating.Again
        card, _ = planner.review_card(card, fsrs.Rating(review.rating), _moment(review.at))
    assert card.stability is not None and card.difficulty is not None and card.last_review is not None
    return Memory(
        drill,
        card.stability,
        card.difficulty,
        card.state is not fsrs.State.Review,
        card.step or 0,
        _milliseconds(card.due),
        _milliseconds(card.last_review),
        len(reviews),
        lapses,
    )


def remembered(state: Memory, now: int, planner: fsrs.Scheduler) -> float:
    """The chance (0-1) that a drill is remembered now."""
    card = fsrs.Card(stability=state.stability, difficulty=state.difficulty, last_review=_moment(state.last))
    return planner.get_card_retrievability(card, _moment(now))


def _moment(at: int) -> datetime:
    return _EPOCH + timedelta(milliseconds=at)


def _milliseconds(at: datetime) -> int:
    return round((at - _EPOCH) / timedelta(milliseconds=1))
