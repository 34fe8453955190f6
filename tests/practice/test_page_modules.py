"""The page's own modules: memory against the ``fsrs`` library, the log against the server's, days by their laws."""

from __future__ import annotations

import uuid
from collections.abc import Iterable, Iterator
from dataclasses import asdict
from datetime import timedelta
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from linewright.practice.drills.drill import Drill, Task
from linewright.practice.outputs.practice_page import SCRIPTS
from linewright.practice.schedule.log import EntryKind, LogEntry, effective, entry_json
from linewright.practice.schedule.settings import DAY, LONGEST
from linewright.publish.html.joined_scripts import joined_modules
from tests.practice.library_memory import Memory, memories, remembered, scheduler
from tests.practice.logs import DRILLS, START, logs

#: JavaScript leaves the last digits of powers to the engine (ECMA-262, Math.pow); so do C libraries.
CLOSE = 1e-9


@pytest.fixture(scope="module")
def modules(browser: Any) -> Iterator[Any]:
    page = browser.new_page()
    names = ("fsrs.js", "log.js", "plan.js", "judge.js")
    exported = (
        "Scheduler, round, effective, memories, checked, newId, fuzzRange, spread, planDay, paceOf, dailyLoad, "
        "judgeMove, judgeSquares, squaresOf"
    )
    page.evaluate(f"() => {{ {joined_modules(SCRIPTS, names)} globalThis.M = {{ {exported} }}; }}")
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
    """Each state after each answer, against py-fsrs through ``library_memory``."""
    planner = scheduler(retention)
    entries: list[LogEntry] = []
    for number, history in enumerate(histories):
        at = START
        for index, (rating, gap) in enumerate(history):
            at += gap
            name = f"{number:08x}-{index:04x}-4000-8000-000000000000"
            entries.append(LogEntry(name, EntryKind.REVIEW, f"{number:016x}", at, rating))
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
def test_the_log_counts_alike(modules: Any, entries: tuple[LogEntry, ...]) -> None:
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


def states(modules: Any, entries: list[LogEntry], longest: int = LONGEST) -> dict[str, Any]:
    """Every drill's state by the page, after all entries."""
    return dict(
        modules.evaluate(
            "([e, weights, longest]) => [...M.memories(e, new M.Scheduler(weights, 0.9, longest))]",
            [[entry_json(e) for e in entries], list(scheduler().parameters), longest],
        )
    )


def answers(ratings: list[int], days: list[float]) -> list[LogEntry]:
    return [
        LogEntry(
            f"{i + 1:08x}-0000-4000-8000-000000000000", EntryKind.REVIEW, DRILLS[0], START + round(day * DAY), rating
        )
        for i, (rating, day) in enumerate(zip(ratings, days, strict=True))
    ]


def test_the_librarys_published_intervals(modules: Any) -> None:
    """py-fsrs 6.3.2, tests/test_basic.py, ``test_review_card``: each review when the card falls due; its longest
    interval is the library's, a hundred years."""
    ratings = [3, 3, 3, 3, 3, 3, 1, 1, 3, 3, 3, 3, 3]
    published = [0, 2, 11, 46, 163, 498, 0, 0, 2, 4, 7, 12, 21]
    days: list[float] = []
    at, intervals = START, []
    for number in range(1, len(ratings) + 1):
        days.append((at - START) / DAY)
        state = states(modules, answers(ratings[:number], days), longest=36_500)[DRILLS[0]]
        intervals.append((state["due"] - state["last"]) // DAY)
        at = state["due"]
    assert intervals == published


def test_the_librarys_published_memory(modules: Any) -> None:
    """py-fsrs 6.3.2, tests/test_basic.py, ``test_memo_state``."""
    state = states(modules, answers([1, 3, 3, 3, 3, 3], [0, 0, 1, 4, 12, 33]))[DRILLS[0]]
    assert state["stability"] == pytest.approx(53.62691, abs=1e-4)
    assert state["difficulty"] == pytest.approx(6.3574867, abs=1e-4)


@given(st.floats(0.1, 300), st.integers(0, 2000))
@ALONE
def test_the_forgetting_curve_of_the_documentation(modules: Any, stability: float, days: int) -> None:
    """``R(t) = (1 + F·t/S)^(-w20)``, ``F = 0.9^(-1/w20) - 1``: open-spaced-repetition, "The Algorithm", FSRS-6."""
    w20 = 0.1542
    expected = (1 + (0.9 ** (-1 / w20) - 1) * days / stability) ** -w20
    got = modules.evaluate(
        "([weights, stability, now]) => new M.Scheduler(weights, 0.9, 365).remembered({ stability, last: 0 }, now)",
        [list(scheduler().parameters), stability, days * DAY],
    )
    assert got == pytest.approx(expected)


@pytest.mark.parametrize("interval", [*range(1, 60), *range(60, 400, 7)])
def test_days_move_within_the_librarys_own_fuzz(modules: Any, interval: int) -> None:
    """The range from which py-fsrs 6.3.2 draws at random, ``Scheduler._get_fuzzed_interval``; its draw may end one
    day beyond its own range: random() times the width plus one, then rounded."""
    low, high = modules.evaluate(f"() => M.fuzzRange({interval}, {LONGEST})")
    drawn = {scheduler()._get_fuzzed_interval(interval=timedelta(days=interval)).days for _ in range(30)}
    assert low <= min(drawn)
    assert max(drawn) <= high + 1


# A day's plan. Paces are 12 seconds an answer.


def spread(modules: Any, known: dict[str, Memory], minutes: float) -> dict[str, int]:
    call = "([known, minutes, longest]) => [...M.spread(new Map(known), 12, minutes, longest)]"
    return dict(modules.evaluate(call, [given_to_page(known), minutes, LONGEST]))


@given(known(), st.floats(1, 15))
@ALONE
def test_what_is_spread_stays_in_its_range_and_nothing_is_lost(
    modules: Any, memories: dict[str, Memory], minutes: float
) -> None:
    days = spread(modules, memories, minutes)
    assert days.keys() == memories.keys()
    for drill, day in days.items():
        own = memories[drill]
        interval = (own.due - own.last) // DAY
        low, high = modules.evaluate(f"() => M.fuzzRange({interval}, {LONGEST})")
        assert day == own.due // DAY or low <= day - own.last // DAY <= high


def test_a_heavy_day_is_spread_over_its_neighbours(modules: Any) -> None:
    due = {f"{n:016x}": Memory(f"{n:016x}", 20.0, 5.0, False, 0, START, START - 20 * DAY, 3, 0) for n in range(60)}
    load = modules.evaluate(
        "([known, now, longest]) => M.dailyLoad(new Map(known), 12, 4, now, 8, longest)",
        [given_to_page(due), START - 3 * DAY, LONGEST],
    )
    assert max(load) == pytest.approx(4.0, rel=0.5)
    assert sum(load) == pytest.approx(60 * 12 / 60)


#: What could be asked: name, chance of being met, the drills on the way.
WISHES = (("a", 0.9, ""), ("b", 0.5, "a"), ("c", 0.4, "ab"), ("d", 0.1, "a"))


def planned(
    modules: Any, wishes: Iterable[tuple[str, float, str]], known: dict[str, Memory], minutes: float, now: int = START
) -> list[tuple[str, str]]:
    """Each run's drills and those of them that are due, as letters."""
    asked = [{"drill": d * 16, "reach": reach, "path": [p * 16 for p in way]} for d, reach, way in wishes]
    runs = modules.evaluate(
        """([wishes, known, now, minutes, weights, longest]) =>
            M.planDay(wishes, new Map(known), now, minutes, 12, new M.Scheduler(weights, 0.9, longest))""",
        [asked, given_to_page(known), now, minutes, list(scheduler().parameters), LONGEST],
    )
    return [tuple("".join(drill[0] for drill in run[part]) for part in ("drills", "due")) for run in runs]


def learnt(*drills: tuple[str, int, float]) -> dict[str, Memory]:
    """States by letter, days from now until due, and stability."""
    dues = [(d * 16, START + days * DAY, stability) for d, days, stability in drills]
    return {d: Memory(d, stability, 5.0, False, 0, due, due - 5 * DAY, 2, 0) for d, due, stability in dues}


def test_a_line_is_reviewed_up_to_what_is_due(modules: Any) -> None:
    known = learnt(("a", 9, 5), ("b", 9, 5), ("c", -1, 5))
    assert planned(modules, WISHES, known, 10) == [("abc", "c"), ("d", "d")], "played today is not played again"


def test_new_ones_come_likeliest_first_and_within_the_minutes(modules: Any) -> None:
    ends = [drills[-1] for drills, _ in planned(modules, WISHES, {}, 2)]
    assert ends == ["a", "b", "c"], "three at three answers each of 12 s in 2 min"
    assert planned(modules, WISHES, {}, 0)[0] == ("a", "a"), "never nothing at all"


def test_the_likelier_and_the_more_forgotten_come_first(modules: Any) -> None:
    known = learnt(("a", -1, 50), ("b", -1, 2), ("d", -1, 2))
    assert planned(modules, WISHES, known, 60)[0][0][-1] == "b"


@given(logs(30), st.floats(1, 30))
@ALONE
def test_a_days_plan_asks_nothing_twice(modules: Any, entries: tuple[LogEntry, ...], minutes: float) -> None:
    known = memories(entries, scheduler())
    runs = planned(modules, (("0", 0.5, ""), ("1", 0.5, "0"), ("a", 0.5, "01")), known, minutes, START + 30 * DAY)
    asked = [drill for drills, _ in runs for drill in drills]
    assert len(asked) == len(set(asked))
    assert all(set(due) <= set(drills) and drills[-1] in due for drills, due in runs)


@pytest.mark.parametrize(
    ("count", "took", "pace"),
    [(5, 7000, 12.0), (19, 7000, 12.0), (20, 7000, 7.0), (30, 7000, 7.0), (30, 500, 3.0)],
)
def test_a_pupils_own_pace_is_taken_once_it_is_known(modules: Any, count: int, took: int, pace: float) -> None:
    log = [LogEntry(str(uuid.UUID(int=n)), EntryKind.REVIEW, DRILLS[0], START, 3, took=took) for n in range(count)]
    assert modules.evaluate("(e) => M.paceOf(e)", [entry_json(e) for e in log]) == pace


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
