"""The page's own modules against the Python ones: memory, log and days must be the same in every browser."""

from __future__ import annotations

import uuid
from collections.abc import Iterator
from dataclasses import asdict
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from linewright.practice.drills.drill import Drill, Task
from linewright.practice.page import modules_script
from linewright.practice.schedule.log import Entry, Kind, effective, entry_json
from linewright.practice.schedule.schedule import (
    DAY,
    LONGEST,
    Memory,
    Wish,
    memories,
    pace_of,
    plan_day,
    remembered,
    scheduler,
    spread,
    window,
)
from tests.practice.logs import DRILLS, START, logs

#: JavaScript leaves the last digits of powers to the engine (ECMA-262, Math.pow); so do C libraries.
CLOSE = 1e-9


@pytest.fixture(scope="module")
def modules(browser: Any) -> Iterator[Any]:
    page = browser.new_page()
    names = ("fsrs", "log", "plan", "judge")
    exported = (
        "Scheduler, round, effective, memories, checked, newId, fuzzRange, spread, planDay, paceOf, dailyLoad, "
        "judgeMove, judgeSquares, squaresOf"
    )
    page.evaluate(f"() => {{ {modules_script(names)} globalThis.M = {{ {exported} }}; }}")
    yield page
    page.close()


RATINGS = st.sampled_from([1, 2, 3, 4])
#: From seconds to years between answers.
GAPS = st.sampled_from([0, 5_000, 60_000, 700_000, DAY // 2, DAY, 3 * DAY, 17 * DAY, 120 * DAY, 900 * DAY])
HISTORY = st.lists(st.tuples(RATINGS, GAPS), min_size=1, max_size=14)
ALONE = settings(deadline=None, max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture])


@given(st.lists(HISTORY, min_size=1, max_size=8), st.floats(0.75, 0.96))
@ALONE
def test_memory_is_the_librarys(modules: Any, histories: list[list[tuple[int, int]]], retention: float) -> None:
    """Each state after each answer, against py-fsrs through ``schedule.memories``."""
    planner = scheduler(retention)
    entries: list[Entry] = []
    for number, history in enumerate(histories):
        at = START
        for index, (rating, gap) in enumerate(history):
            at += gap
            name = f"{number:08x}-{index:04x}-4000-8000-000000000000"
            entries.append(Entry(name, Kind.REVIEW, f"{number:016x}", at, rating))
    expected = memories(entries, planner)
    now = max(entry.at for entry in entries) + 12 * DAY
    got = modules.evaluate(
        """([entries, weights, retention, longest, now]) => {
            const scheduler = new M.Scheduler(weights, retention, longest);
            return [...M.memories(entries, scheduler)].map(([id, m]) => [id, {...m, r: scheduler.remembered(m, now)}]);
        }""",
        [[entry_json(e) for e in entries], list(planner.parameters), retention, LONGEST, now],
    )
    assert {drill for drill, _ in got} == expected.keys()
    for drill, memory in got:
        own = expected[drill]
        assert memory["stability"] == pytest.approx(own.stability, rel=CLOSE)
        assert memory["difficulty"] == pytest.approx(own.difficulty, rel=CLOSE)
        assert (memory["due"], memory["last"]) == (own.due, own.last)
        assert (memory["state"] != "review") == own.learning
        assert (memory["reviews"], memory["lapses"]) == (own.reviews, own.lapses)
        assert memory["r"] == pytest.approx(remembered(own, now, planner), rel=CLOSE)


@given(logs(30))
@ALONE
def test_the_log_counts_alike(modules: Any, entries: tuple[Entry, ...]) -> None:
    got = modules.evaluate("(entries) => M.effective(entries).map((e) => e.id)", [entry_json(e) for e in entries])
    assert got == [entry.id for entry in effective(entries)]
    kept = modules.evaluate("(entries) => entries.every((e) => M.checked(e))", [entry_json(e) for e in entries])
    assert kept


@st.composite
def known(draw: st.DrawFn) -> dict[str, Memory]:
    found = {}
    for n in range(draw(st.integers(0, 40))):
        interval = draw(st.integers(1, 90))
        due = START + draw(st.integers(-5, 5)) * DAY
        learning = draw(st.integers(0, 5)) == 0
        found[f"{n:016x}"] = Memory(
            f"{n:016x}", draw(st.floats(1, 90)), draw(st.floats(1, 10)), learning, 0, due, due - interval * DAY, 3, 0
        )
    return found


def given_to_page(memories: dict[str, Memory]) -> list[Any]:
    return [[d, {**asdict(m), "state": "learning" if m.learning else "review"}] for d, m in memories.items()]


@given(known(), st.floats(1, 15))
@ALONE
def test_days_are_spread_alike(modules: Any, memories: dict[str, Memory], minutes: float) -> None:
    got = modules.evaluate(
        "([known, minutes, longest]) => [...M.spread(new Map(known), 12, minutes, longest)]",
        [given_to_page(memories), minutes, LONGEST],
    )
    assert dict(map(tuple, got)) == spread(memories, 12.0, minutes)


@given(known(), st.floats(1, 15), st.data())
@ALONE
def test_a_day_is_planned_alike(modules: Any, memories: dict[str, Memory], minutes: float, data: st.DataObject) -> None:
    planner = scheduler()
    wishes = []
    for n in range(data.draw(st.integers(0, 50))):
        path = [f"{p:016x}" for p in range(n) if data.draw(st.integers(0, 6)) == 0]
        wishes.append(Wish(f"{n:016x}", data.draw(st.sampled_from([0.0, 0.05, 0.3, 1.0])), tuple(path)))
    expected = plan_day(wishes, memories, START, minutes, 9.5, planner)
    got = modules.evaluate(
        """([wishes, known, now, minutes, weights, longest]) =>
            M.planDay(wishes, new Map(known), now, minutes, 9.5, new M.Scheduler(weights, 0.9, longest))""",
        [
            [asdict(w) for w in wishes],
            given_to_page(memories),
            START,
            minutes,
            list(planner.parameters),
            LONGEST,
        ],
    )
    assert [(tuple(run["drills"]), tuple(run["due"])) for run in got] == [(r.drills, r.due) for r in expected]


@given(logs(40))
@ALONE
def test_pace_is_taken_alike(modules: Any, entries: tuple[Entry, ...]) -> None:
    assert modules.evaluate("(e) => M.paceOf(e)", [entry_json(e) for e in entries]) == pace_of(entries)


def test_ranges_of_days_are_alike(modules: Any) -> None:
    got = modules.evaluate(f"() => Array.from({{length: 400}}, (_, i) => M.fuzzRange(i + 1, {LONGEST}))")
    assert [tuple(pair) for pair in got] == [window(interval) for interval in range(1, 401)]


def test_names_of_entries_are_random_uuids(modules: Any) -> None:
    """RFC 9562, section 5.4: version 4 in the 13th digit, variant 8 to b in the 17th."""
    names = modules.evaluate("() => Array.from({length: 200}, () => M.newId())")
    assert len(set(names)) == 200
    assert all(uuid.UUID(name).version == 4 and uuid.UUID(name).variant == uuid.RFC_4122 for name in names)


SQUARES = [
    # text, whole files, squares
    ("d5", False, ["d5"]),
    ("D5, e5 and c4", False, ["d5", "e5", "c4"]),
    ("c", True, ["c4"]),
    ("the c-file", True, None),
    ("c-file d7", True, ["c4", "d7"]),
    ("c", False, None),
    ("Nf3", False, None),
    ("", False, None),
]


@pytest.mark.parametrize(("text", "files", "squares"), SQUARES, ids=[s[0] or "nothing" for s in SQUARES])
def test_typed_squares(modules: Any, text: str, files: bool, squares: list[str] | None) -> None:
    assert modules.evaluate("([text, files]) => M.squaresOf(text, files)", [text, files]) == squares


def test_any_square_of_a_file_will_do_where_files_are_asked(modules: Any) -> None:
    drill = asdict(Drill(DRILLS[0], Task.SQUARES, "", "white", "", squares=("c4", "e4"), whole_files=True))
    for squares, right in (
        (["c1", "e8"], True),
        (["c1", "c2", "e5"], True),
        (["c1"], False),
        (["c1", "e1", "d1"], False),
    ):
        assert modules.evaluate("([d, s]) => M.judgeSquares(d, s)", [drill, squares]) is right
