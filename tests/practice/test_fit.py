"""Fitting the model of memory to a class's own answers."""

from __future__ import annotations

import random
import uuid

import pytest

from linewright.practice.schedule.fit import fitted, histories
from linewright.practice.schedule.log import EntryKind, LogEntry
from linewright.practice.schedule.settings import DAY
from tests.practice.library_memory import memory, scheduler
from tests.practice.logs import START

DRILL = "0" * 16


def reviews(ratings: list[int], days: list[float]) -> list[LogEntry]:
    return [
        LogEntry(str(uuid.UUID(int=i + 1)), EntryKind.REVIEW, DRILL, START + round(day * DAY), rating)
        for i, (rating, day) in enumerate(zip(ratings, days, strict=True))
    ]


def forgetful(count: int, seed: int) -> list[LogEntry]:
    """A pupil whose memory lasts half as long as the library's usual weights say."""
    chance = random.Random(seed)
    planner = scheduler()
    log: list[LogEntry] = []
    for n in range(count):
        drill, at, own = f"{n:016x}", START + n * 1000, []
        for _ in range(8):
            right = True
            if own:
                known = memory(drill, own, planner)
                days = (at - known.last) / DAY
                right = chance.random() < 0.9 ** (days / (0.3 * known.stability))
            own.append(
                LogEntry(str(uuid.UUID(int=chance.getrandbits(128))), EntryKind.REVIEW, drill, at, 3 if right else 1)
            )
            at += max(DAY, memory(drill, own, planner).due - at)
        log += own
    return log


def test_fitting_explains_a_classs_own_answers_better() -> None:
    """By the optimiser of the fsrs project, on answers made by another memory than the usual one."""
    pytest.importorskip("fsrs_rs_python", reason="needs the extra fit (pip install fsrs-rs-python)")
    fit = fitted([forgetful(120, 1), forgetful(120, 2)])
    assert fit is not None
    assert fit.after < fit.before
    scheduler(0.9, fit.weights)  # within the library's bounds


def test_few_answers_are_not_fitted_to() -> None:
    pytest.importorskip("fsrs_rs_python", reason="needs the extra fit (pip install fsrs-rs-python)")
    assert fitted([forgetful(5, 1)]) is None


def test_same_day_answers_are_no_histories_of_their_own() -> None:
    found = list(histories(reviews([3, 3, 1, 3], [0, 0.01, 2.01, 5])))
    assert found == [((3, 0), (3, 0), (1, 2)), ((3, 0), (3, 0), (1, 2), (3, 2))]
