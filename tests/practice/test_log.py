"""The log: what counts of it depends on the set of entries alone."""

from __future__ import annotations

import json
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linewright.practice.schedule.log import EntryKind, LogEntry, effective, entries_of_json, entry_json, entry_of_json
from tests.practice.library_memory import memories, scheduler
from tests.practice.logs import START, logs

A, B, C, D = (f"0000000{n}-0000-4000-8000-000000000000" for n in (1, 2, 3, 4))
DRILL = "0" * 16


def review(name: str, at: int = 0, rating: int = 3) -> LogEntry:
    return LogEntry(name, EntryKind.REVIEW, DRILL, START + at, rating)


def undo(name: str, of: str, at: int) -> LogEntry:
    return LogEntry(name, EntryKind.UNDO, DRILL, START + at, undoes=of)


CASES = [
    # entries, ids that count, comment
    ([review(A)], [A], "a review counts"),
    ([review(A), undo(B, A, 1)], [], "taken back"),
    ([review(A), undo(B, A, 1), undo(C, B, 2)], [A], "taking back taken back"),
    ([review(A), undo(B, A, 1), undo(C, A, 2)], [], "taken back twice is taken back"),
    ([review(A), undo(B, A, 1), undo(C, A, 2), undo(D, C, 3)], [], "one of two undos stands"),
    ([review(A, 5), undo(B, A, 1)], [A], "an undo before its target reaches nothing"),
    ([undo(B, C, 1), undo(C, B, 1), review(A)], [A], "two that name each other"),
    ([review(A), undo(B, D, 1)], [A], "an undo of what is not known"),
    ([undo(B, B, 1), review(A)], [A], "an undo of itself"),
]


@pytest.mark.parametrize(("entries", "counts", "why"), CASES, ids=[c[2] for c in CASES])
def test_what_counts(entries: list[LogEntry], counts: list[str], why: str) -> None:
    assert [entry.id for entry in effective(entries)] == counts, why
    assert [entry.id for entry in effective(entries[::-1])] == counts, why


@given(logs(), st.randoms())
@settings(deadline=None)
def test_order_of_arrival_and_repetition_change_nothing(entries: tuple[LogEntry, ...], chance: Any) -> None:
    mixed = [*entries, *chance.choices(entries, k=len(entries))] if entries else []
    chance.shuffle(mixed)
    assert effective(mixed) == effective(entries)
    planner = scheduler()
    assert memories(mixed, planner) == memories(entries, planner)


@given(logs(), st.randoms())
@settings(deadline=None)
def test_two_devices_that_were_apart_end_alike(entries: tuple[LogEntry, ...], chance: Any) -> None:
    phone = {e.id: e for e in entries if chance.random() < 0.6}
    tablet = {e.id: e for e in entries if e.id not in phone or chance.random() < 0.3}
    assert effective([*phone.values(), *tablet.values()]) == effective([*tablet.values(), *phone.values()])
    assert effective([*phone.values(), *tablet.values()]) == effective(entries)


@given(logs())
@settings(deadline=None)
def test_undoing_takes_back_exactly_the_last_answer(entries: tuple[LogEntry, ...]) -> None:
    before = effective(entries)
    at = max((e.at for e in entries), default=START) + 1
    answer = LogEntry(D, EntryKind.REVIEW, DRILL, at, 3)
    back = LogEntry(C, EntryKind.UNDO, DRILL, at + 1, undoes=D)
    assert effective([*entries, answer]) == (*before, answer)
    assert effective([*entries, answer, back]) == before


@given(logs())
@settings(deadline=None)
def test_entries_come_back_from_json(entries: tuple[LogEntry, ...]) -> None:
    assert tuple(entry_of_json(json.loads(json.dumps(entry_json(entry)))) for entry in entries) == entries


BAD: list[tuple[Any, str]] = [
    ("a string", "object"),
    ({}, "kind"),
    ({**entry_json(review(A)), "id": "17"}, "hexadecimal"),
    ({**entry_json(review(A)), "kind": "erase"}, "erase"),
    ({**entry_json(review(A)), "rating": 5}, "rating"),
    ({**entry_json(review(A)), "rating": True}, "rating"),
    ({**entry_json(review(A)), "at": 1.5}, "at"),
    ({**entry_json(review(A)), "at": -1}, "at"),
    ({**entry_json(review(A)), "drill": "<script>"}, "drill"),
    ({**entry_json(review(A)), "answer": 3}, "text"),
    ({"id": A, "kind": "undo", "drill": DRILL, "at": START}, "undoes"),
]


@pytest.mark.parametrize(("row", "named"), BAD, ids=[str(i) for i in range(len(BAD))])
def test_what_is_no_entry_is_named_and_never_stops_the_rest(row: Any, named: str) -> None:
    wrong, fine = entries_of_json([row, entry_json(review(B))])
    assert isinstance(wrong, ValueError)
    assert named in str(wrong)
    assert fine == review(B)


@given(
    st.recursive(
        st.none() | st.booleans() | st.integers() | st.text(),
        lambda x: st.lists(x) | st.dictionaries(st.sampled_from(["id", "kind", "drill", "at", "rating", "undoes"]), x),
    )
)
@settings(deadline=None)
def test_any_json_is_an_entry_or_says_why_not(row: Any) -> None:
    for found in entries_of_json([row]):
        assert isinstance(found, (LogEntry, ValueError))
