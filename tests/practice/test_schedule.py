"""Scheduling: the library's published sequences, its forgetting curve, days within their minutes, fitting."""

from __future__ import annotations

import random
import uuid
from datetime import UTC, datetime

import fsrs
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linewright.practice.schedule.fit import fitted, histories
from linewright.practice.schedule.log import Entry, Kind
from linewright.practice.schedule.schedule import (
    DAY,
    Memory,
    Wish,
    daily_load,
    memories,
    memory,
    pace_of,
    plan_day,
    remembered,
    scheduler,
    spread,
    window,
)
from tests.practice.logs import START, logs

DRILL = "0" * 16


def reviews(ratings: list[int], days: list[float]) -> list[Entry]:
    return [
        Entry(str(uuid.UUID(int=i + 1)), Kind.REVIEW, DRILL, START + round(day * DAY), rating)
        for i, (rating, day) in enumerate(zip(ratings, days, strict=True))
    ]


def test_the_librarys_published_intervals() -> None:
    """py-fsrs 6.3.2, tests/test_basic.py, ``test_review_card``: each review when the card falls due."""
    ratings = [3, 3, 3, 3, 3, 3, 1, 1, 3, 3, 3, 3, 3]
    published = [0, 2, 11, 46, 163, 498, 0, 0, 2, 4, 7, 12, 21]
    planner = fsrs.Scheduler(enable_fuzzing=False)  # the test's own: our longest interval is a year
    log: list[Entry] = []
    at, intervals = START, []
    for rating in ratings:
        log.append(Entry(str(uuid.uuid4()), Kind.REVIEW, DRILL, at, rating))
        state = memory(DRILL, log, planner)
        intervals.append((state.due - state.last) // DAY)
        at = state.due
    assert intervals == published


def test_the_librarys_published_memory() -> None:
    """py-fsrs 6.3.2, tests/test_basic.py, ``test_memo_state``."""
    days = [0, 0, 1, 4, 12, 33]
    state = memory(DRILL, reviews([1, 3, 3, 3, 3, 3], days), scheduler())
    assert state.stability == pytest.approx(53.62691, abs=1e-4)
    assert state.difficulty == pytest.approx(6.3574867, abs=1e-4)


@given(st.floats(0.1, 300), st.integers(0, 2000))
@settings(deadline=None)
def test_the_forgetting_curve_of_the_documentation(stability: float, days: int) -> None:
    """``R(t) = (1 + F·t/S)^(-w20)``, ``F = 0.9^(-1/w20) - 1``: open-spaced-repetition, "The Algorithm", FSRS-6."""
    planner = scheduler()
    state = Memory(DRILL, stability, 5.0, False, 0, 0, START, 1, 0)
    w20 = 0.1542
    factor = 0.9 ** (-1 / w20) - 1
    expected = (1 + factor * days / stability) ** -w20
    card = fsrs.Card(stability=stability, difficulty=5.0, last_review=datetime.fromtimestamp(START / 1000, UTC))
    by_library = planner.get_card_retrievability(card, datetime.fromtimestamp((START + days * DAY) / 1000, UTC))
    assert remembered(state, START + days * DAY, planner) == pytest.approx(expected)
    assert expected == pytest.approx(by_library)


def test_after_its_stability_nine_in_ten_are_remembered() -> None:
    planner = scheduler()
    state = Memory(DRILL, 30.0, 5.0, False, 0, 0, START, 1, 0)
    assert remembered(state, START + 30 * DAY, planner) == pytest.approx(0.9)


@given(logs(40))
@settings(deadline=None, max_examples=50)
def test_states_are_those_of_the_library(entries: tuple[Entry, ...]) -> None:
    """Rebuilt from the log as the library itself rebuilds a card (``Scheduler.reschedule_card``)."""
    plain = [e for e in entries if e.kind is Kind.REVIEW]
    planner = scheduler(0.85)
    for drill, state in memories(plain, planner).items():
        own = sorted((e for e in plain if e.drill == drill), key=lambda e: e.order)
        logged = [fsrs.ReviewLog(1, fsrs.Rating(e.rating), datetime.fromtimestamp(e.at / 1000, UTC), None) for e in own]
        card = planner.reschedule_card(fsrs.Card(card_id=1), logged)
        assert (state.stability, state.difficulty) == (card.stability, card.difficulty)
        assert state.due == round(card.due.timestamp() * 1000)
        assert state.learning == (card.state is not fsrs.State.Review)


@pytest.mark.parametrize("interval", range(1, 400))
def test_days_move_within_the_librarys_own_fuzz(interval: int) -> None:
    """The range from which py-fsrs 6.3.2 draws at random, ``Scheduler._get_fuzzed_interval``."""
    from datetime import timedelta

    low, high = window(interval)
    planner = scheduler()
    drawn = {planner._get_fuzzed_interval(interval=timedelta(days=interval)).days for _ in range(30)}
    # The library's draw may end one day beyond its own range: random() times the width plus one, then rounded.
    assert low <= min(drawn)
    assert max(drawn) <= high + 1


def learned(count: int, due: int) -> dict[str, Memory]:
    return {f"{n:016x}": Memory(f"{n:016x}", 20.0, 5.0, False, 0, due, due - 20 * DAY, 3, 0) for n in range(count)}


def test_a_heavy_day_is_spread_over_its_neighbours() -> None:
    known = learned(60, START)
    load = daily_load(known, 12.0, 4.0, START // DAY - 3, 8)
    assert max(load) == pytest.approx(4.0, rel=0.5)
    assert sum(load) == pytest.approx(60 * 12 / 60)


@given(st.integers(1, 80), st.floats(1, 20))
@settings(deadline=None)
def test_what_is_spread_stays_in_its_range_and_nothing_is_lost(count: int, minutes: float) -> None:
    known = learned(count, START)
    days = spread(known, 12.0, minutes)
    low, high = window(20)
    assert days.keys() == known.keys()
    assert all(low <= day - (START // DAY - 20) <= high for day in days.values())


WISHES = (
    Wish("a" * 16, 0.9),
    Wish("b" * 16, 0.5, ("a" * 16,)),
    Wish("c" * 16, 0.4, ("a" * 16, "b" * 16)),
    Wish("d" * 16, 0.1, ("a" * 16,)),
)


def state(drill: str, due: int, stability: float = 5.0) -> Memory:
    return Memory(drill * 16, stability, 5.0, False, 0, due, due - 5 * DAY, 2, 0)


def test_a_line_is_reviewed_up_to_what_is_due() -> None:
    known = {m.drill: m for m in (state("a", START + 9 * DAY), state("b", START + 9 * DAY), state("c", START - DAY))}
    (run, *new) = plan_day(WISHES, known, START, 10, 12.0, scheduler())
    assert run.drills == ("a" * 16, "b" * 16, "c" * 16)
    assert run.due == ("c" * 16,)
    assert [r.drills for r in new] == [("d" * 16,)], "what was played today is not played again"


def test_new_ones_come_likeliest_first_and_within_the_minutes() -> None:
    runs = plan_day(WISHES, {}, START, 2, 12.0, scheduler())
    assert [run.drills[-1][0] for run in runs] == ["a", "b", "c"], "three at three answers each of 12 s in 2 min"
    assert plan_day(WISHES, {}, START, 0, 12.0, scheduler())[0].drills == ("a" * 16,), "never nothing at all"


def test_the_likelier_and_the_more_forgotten_come_first() -> None:
    known = {m.drill: m for m in (state("a", START - DAY, 50), state("b", START - DAY, 2), state("d", START - DAY, 2))}
    ends = [run.drills[-1][0] for run in plan_day(WISHES, known, START, 60, 12.0, scheduler()) if run.due]
    assert ends[0] == "b"


@given(logs(30), st.floats(1, 30))
@settings(deadline=None, max_examples=40)
def test_a_days_plan_asks_nothing_twice(entries: tuple[Entry, ...], minutes: float) -> None:
    planner = scheduler()
    known = memories(entries, planner)
    wishes = [Wish(d * 16, 0.5, tuple(p * 16 for p in way)) for d, way in (("0", ""), ("1", "0"), ("a", "01"))]
    runs = plan_day(wishes, known, START + 30 * DAY, minutes, pace_of(entries), planner)
    asked = [drill for run in runs for drill in run.drills]
    assert len(asked) == len(set(asked))
    assert all(set(run.due) <= set(run.drills) and run.drills[-1] in run.due for run in runs)


def test_a_pupils_own_pace_is_taken_once_it_is_known() -> None:
    entry = Entry(str(uuid.UUID(int=1)), Kind.REVIEW, DRILL, START, 3, took=7000)
    assert pace_of([entry] * 5) == 12.0
    assert pace_of([entry] * 30) == 7.0


def forgetful(count: int, seed: int) -> list[Entry]:
    """A pupil whose memory lasts half as long as the library's usual weights say."""
    chance = random.Random(seed)
    planner = scheduler()
    log: list[Entry] = []
    for n in range(count):
        drill, at, own = f"{n:016x}", START + n * 1000, []
        for _ in range(8):
            right = True
            if own:
                known = memory(drill, own, planner)
                days = (at - known.last) / DAY
                right = chance.random() < 0.9 ** (days / (0.3 * known.stability))
            own.append(Entry(str(uuid.UUID(int=chance.getrandbits(128))), Kind.REVIEW, drill, at, 3 if right else 1))
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
