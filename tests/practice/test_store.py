"""Classes in SQLite and in PostgreSQL: nothing lost, nothing counted twice, nothing seen by others."""

from __future__ import annotations

import gzip
import json
import threading
import uuid
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import chess
import pytest
import sqlalchemy as sa
from alembic.autogenerate import compare_metadata
from alembic.runtime.migration import MigrationContext
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from linewright.practice.classes.class_file import load, save
from linewright.practice.classes.class_report import class_report
from linewright.practice.classes.class_rows import Pupil, SchoolClass
from linewright.practice.classes.database import writing
from linewright.practice.classes.store import Store
from linewright.practice.classes.tables import entries as table
from linewright.practice.classes.tables import metadata
from linewright.practice.drills.drill import Accepted, Drill, Task, drill_id
from linewright.practice.schedule.log import EntryKind, LogEntry, effective
from linewright.support.errors import UnusableInput
from tests.practice.library_memory import memories, scheduler
from tests.practice.logs import DAY, START, logs

DRILL = Drill(
    drill_id(Task.ANSWER, chess.STARTING_FEN, "white"),
    Task.ANSWER,
    chess.STARTING_FEN,
    "white",
    "White to move.",
    (Accepted("e2e4", "e4"),),
    lesson="First moves",
)
MORE = settings(deadline=None, max_examples=8, suppress_health_check=[HealthCheck.function_scoped_fixture])


@pytest.fixture
def store(address: str) -> Iterator[Store]:
    with Store.open(address) as opened:
        yield opened


def answers(count: int, at: int = START, rating: int = 3, answer: str = "e2e4") -> list[LogEntry]:
    return [
        LogEntry(str(uuid.uuid4()), EntryKind.REVIEW, DRILL.id, at + n * 60_000, rating, answer, 5000)
        for n in range(count)
    ]


def test_migrations_make_the_tables_that_the_code_knows(store: Store) -> None:
    """Alembic's own comparison finds no difference."""
    with store.engine.connect() as connection:
        assert compare_metadata(MigrationContext.configure(connection), metadata) == []


def test_opening_again_changes_nothing(address: str, store: Store) -> None:
    made = store.new_class("Juniors")
    with Store.open(address) as again:
        assert again.classes() == (made,)


def test_tables_of_a_newer_version_are_left_alone(address: str, store: Store) -> None:
    with writing(store.engine) as connection:
        connection.execute(sa.text("UPDATE alembic_version SET version_num = 'later'"))
    with pytest.raises(UnusableInput, match="newer Linewright"):
        Store.open(address)


@pytest.mark.parametrize("url", ["mysql://x/y", "nonsense", "sqlite:////proc/no/such/place.sqlite"])
def test_what_is_no_database_is_said_in_a_sentence(url: str) -> None:
    with pytest.raises(UnusableInput):
        Store.open(url)


def test_the_same_answers_sent_twice_count_once(store: Store) -> None:
    pupil, _ = store.add_pupil(store.new_class("A").id, "Ana")
    sent = answers(5)
    assert store.sync(pupil.id, sent).new == 5
    assert store.sync(pupil.id, sent[2:] + answers(1)).new == 1
    assert len(store.log(pupil.id)) == 6


def test_a_device_gets_what_it_does_not_know(store: Store) -> None:
    pupil, _ = store.add_pupil(store.new_class("A").id, "Ana")
    phone, tablet = answers(3), answers(2, START + DAY)
    first = store.sync(pupil.id, phone)
    other = store.sync(pupil.id, tablet)
    assert {e.id for e in other.entries} == {e.id for e in (*phone, *tablet)}
    again = store.sync(pupil.id, [], first.seq)
    assert [e.id for e in again.entries] == [e.id for e in tablet]
    assert store.sync(pupil.id, [], again.seq).entries == ()


@given(logs(20), st.data())
@MORE
def test_two_devices_and_a_network_cut_end_with_one_state(store: Store, entries: Any, data: st.DataObject) -> None:
    """Devices that send parts, lose answers of the server and send again: the state is that of the whole log."""
    pupil, _ = store.add_pupil(store.new_class(uuid.uuid4().hex).id, "Ana")
    devices: list[dict[str, Any]] = [{"known": {}, "seq": 0}, {"known": {}, "seq": 0}]
    for entry in entries:
        device = devices[data.draw(st.integers(0, 1))]
        device["known"][entry.id] = entry
        if data.draw(st.booleans()):
            done = store.sync(pupil.id, list(device["known"].values()), device["seq"])
            if data.draw(st.booleans()):  # else the answer is lost on its way
                device["known"] |= {e.id: e for e in done.entries}
                device["seq"] = done.seq
    for device in (*devices, *devices):
        done = store.sync(pupil.id, list(device["known"].values()), device["seq"])
        device["known"] |= {e.id: e for e in done.entries}
        device["seq"] = done.seq
    planner = scheduler()
    expected = memories(entries, planner)
    assert effective(store.log(pupil.id)) == effective(entries)
    assert all(memories(device["known"].values(), planner) == expected for device in devices)


def test_many_at_once_lose_nothing(store: Store) -> None:
    mine = store.new_class("A")
    pupils = [store.add_pupil(mine.id, f"P{n}")[0] for n in range(6)]
    sent = {pupil.id: answers(20) for pupil in pupils}
    troubles: list[BaseException] = []

    def work(pupil_id: str) -> None:
        try:
            for entry in sent[pupil_id]:
                store.sync(pupil_id, [entry])
        except BaseException as error:
            troubles.append(error)

    threads = [threading.Thread(target=work, args=(p.id,)) for p in pupils for _ in range(2)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert troubles == []
    assert all([e.id for e in store.log(p.id)] == [e.id for e in sent[p.id]] for p in pupils)


def test_the_log_is_never_rewritten(store: Store) -> None:
    """Not even by hand: the database itself refuses."""
    pupil, _ = store.add_pupil(store.new_class("A").id, "Ana")
    store.sync(pupil.id, answers(1))
    for statement in (table.update().values(rating=1), table.delete()):
        with pytest.raises(sa.exc.DBAPIError, match="never"), writing(store.engine) as connection:
            connection.execute(statement)
    assert store.log(pupil.id)[0].rating == 3


def test_an_entry_of_the_same_name_belongs_to_each_pupil_alone(store: Store) -> None:
    mine = store.new_class("A")
    ana, tom = (store.add_pupil(mine.id, name)[0] for name in ("Ana", "Tom"))
    (entry,) = answers(1)
    store.sync(ana.id, [entry])
    assert store.sync(tom.id, [replace(entry, rating=1)]).new == 1
    assert store.log(ana.id)[0].rating == 3


def owner(store: Store, token: str) -> tuple[Pupil, SchoolClass] | None:
    """Whose link it is, asked alone."""
    return store.pupils_of([token])[0]


def test_links_are_kept_as_hashes_and_can_be_taken_back(store: Store) -> None:
    mine = store.new_class("A")
    pupil, token = store.add_pupil(mine.id, "Ana")
    assert owner(store, token) == (pupil, mine)
    with store.engine.connect() as connection:
        kept = repr(connection.execute(sa.text("SELECT * FROM pupils")).all())
    assert token not in kept
    fresh = store.new_link(pupil.id)
    assert owner(store, token) is None
    assert owner(store, fresh) is not None
    store.revoke(pupil.id)
    assert owner(store, fresh) is None
    assert [p.linked for p in store.pupils(mine.id)] == [False]


def test_many_links_are_looked_up_together_each_as_alone(store: Store) -> None:
    first, second = store.new_class("A"), store.new_class("B")
    made = [store.add_pupil(home.id, name) for home, name in ((first, "Ana"), (second, "Tom"), (first, "Eva"))]
    store.revoke(made[2][0].id)
    asked = [made[1][1], "x", "z" * 32, made[0][1], made[2][1], made[1][1]]
    found = store.pupils_of(asked)
    assert found == [owner(store, token) for token in asked]
    assert found == [(made[1][0], second), None, None, (made[0][0], first), None, (made[1][0], second)]
    assert store.pupils_of([]) == []


@pytest.mark.parametrize("token", ["", "x", "x" * 32, "' OR 1=1 --", "é" * 32, "x" * 10_000])
def test_what_is_no_link_opens_nothing(store: Store, token: str) -> None:
    store.add_pupil(store.new_class("A").id, "Ana")
    assert owner(store, token) is None


def test_links_can_not_be_guessed() -> None:
    from linewright.practice.classes.link_tokens import LENGTH, new_token

    assert LENGTH * 8 >= 128
    assert len({new_token() for _ in range(1000)}) == 1000


def test_erasing_leaves_nothing_of_a_pupil_and_all_of_others(store: Store) -> None:
    mine = store.new_class("A")
    ana, tom = (store.add_pupil(mine.id, name)[0] for name in ("Ana", "Tom"))
    store.sync(ana.id, answers(4))
    store.sync(tom.id, answers(3))
    assert store.erase(ana.id) == 4
    assert [p.name for p in store.pupils(mine.id)] == ["Tom"]
    assert len(store.log(tom.id)) == 3
    with store.engine.connect() as connection:
        for name in ("pupils", "entries"):
            assert ana.id not in repr(connection.execute(sa.text(f"SELECT * FROM {name}")).all())
    with pytest.raises(UnusableInput, match="not known"):
        store.sync(ana.id, answers(1))


def test_one_pupils_trouble_never_stops_another(store: Store) -> None:
    pupil, _ = store.add_pupil(store.new_class("A").id, "Ana")
    gone, kept = store.sync_many([("0" * 32, answers(1), 0), (pupil.id, answers(2), 0)])
    assert isinstance(gone, UnusableInput)
    assert not isinstance(kept, UnusableInput)
    assert kept.new == 2


def test_lessons_are_replaced_and_what_was_learned_stays(store: Store) -> None:
    mine = store.new_class("A")
    pupil, _ = store.add_pupil(mine.id, "Ana")
    store.put_lesson(mine.id, "First moves", [DRILL])
    before = store.stamp(mine.id)
    store.sync(pupil.id, answers(2))
    assert store.stamp(mine.id) == before
    changed = replace(DRILL, asked="How does White begin?")
    store.put_lesson(mine.id, "First moves", [changed])
    assert store.drills(mine.id) == (changed,)
    assert store.stamp(mine.id) != before
    assert len(store.log(pupil.id)) == 2
    assert store.remove_lesson(mine.id, "First moves")
    assert not store.remove_lesson(mine.id, "First moves")


def test_a_class_file_brings_everything_back(store: Store, tmp_path: Path) -> None:
    mine = store.new_class("A", 0.85, 20)
    pupil, token = store.add_pupil(mine.id, "Ana")
    store.put_lesson(mine.id, "First moves", [DRILL])
    store.sync(
        pupil.id, [*answers(30), LogEntry(str(uuid.uuid4()), EntryKind.UNDO, DRILL.id, START, undoes=str(uuid.uuid4()))]
    )
    path = tmp_path / "a.class"
    assert save(store, path) == 31
    with Store.open(f"sqlite:///{tmp_path / 'other.sqlite'}") as other:
        assert load(other, path) == 34
        assert load(other, path) == 0, "loading again adds nothing"
        assert other.classes() == (mine,)
        assert owner(other, token) == (pupil, mine), "links go on working"
        assert other.drills(mine.id) == (DRILL,)
        assert other.log(pupil.id) == store.log(pupil.id)
        save(other, tmp_path / "again.class")
        more = answers(1, START + DAY)
        other.sync(pupil.id, more)
        save(other, path)
    assert load(store, path) == 1, "what was answered elsewhere comes back"
    assert store.log(pupil.id)[-1] == more[0]


def test_one_class_of_several_goes_into_a_file_alone(store: Store, tmp_path: Path) -> None:
    mine, other = store.new_class("A"), store.new_class("B")
    store.sync(store.add_pupil(mine.id, "Ana")[0].id, answers(2))
    store.sync(store.add_pupil(other.id, "Tom")[0].id, answers(3))
    assert save(store, tmp_path / "a.class", mine.id) == 2
    text = gzip.decompress((tmp_path / "a.class").read_bytes()).decode()
    assert "Ana" in text
    assert "Tom" not in text


def test_a_class_file_cut_short_loads_nothing(store: Store, tmp_path: Path) -> None:
    mine = store.new_class("A")
    store.sync(store.add_pupil(mine.id, "Ana")[0].id, answers(9))
    whole = tmp_path / "a.class"
    save(store, whole)
    rows = gzip.decompress(whole.read_bytes()).splitlines(keepends=True)
    cases = {
        "lines": gzip.compress(b"".join(rows[:6])),
        "bytes": whole.read_bytes()[: whole.stat().st_size // 2],
        "foreign": gzip.compress(json.dumps({"a": 1}).encode()),
        "text": b"not a class file at all",
        "empty": b"",
    }
    for name, content in cases.items():
        path = tmp_path / name
        path.write_bytes(content)
        with Store.open(f"sqlite:///{tmp_path / name}.sqlite") as other:
            with pytest.raises(UnusableInput):
                load(other, path)
            assert other.classes() == (), name


def test_names_of_classes_and_pupils_are_single(store: Store) -> None:
    mine = store.new_class("A")
    with pytest.raises(UnusableInput, match="already"):
        store.new_class("A")
    store.add_pupil(mine.id, "Ana")
    with pytest.raises(UnusableInput, match="already"):
        store.add_pupil(mine.id, " Ana ")
    with pytest.raises(UnusableInput, match="not a valid name"):
        store.add_pupil(mine.id, "\x00\n")
    assert store.class_named() == mine
    store.new_class("B")
    with pytest.raises(UnusableInput, match="which class"):
        store.class_named()


def test_the_report_counts_what_was_not_taken_back(store: Store) -> None:
    mine = store.new_class("A")
    store.put_lesson(mine.id, "First moves", [DRILL])
    ana, tom = (store.add_pupil(mine.id, name)[0] for name in ("Ana", "Tom"))
    wrong = answers(6, START, 1, "a2a3")
    store.sync(ana.id, [*wrong, *answers(2, START + DAY)])
    slip = LogEntry(str(uuid.uuid4()), EntryKind.UNDO, DRILL.id, wrong[-1].at + 1, undoes=wrong[-1].id)
    store.sync(ana.id, [slip])
    report = class_report(store, mine.id, START + 2 * DAY)
    ana_row, tom_row = report.pupils
    assert (ana_row.answers, ana_row.right, ana_row.drills) == (7, pytest.approx(2 / 7), 1)
    assert tom_row.answers == 0
    (missed,) = report.missed
    assert (missed.answers, missed.pupils, missed.gave) == (7, 1, (("a2a3", 5),))
    assert missed.wrong == pytest.approx(5 / 7)
    assert report.answers == 7
    assert tom.name == tom_row.name


def test_much_taken_back_is_looked_up_in_parts(store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("linewright.practice.classes.class_report.AT_ONCE", 2)
    mine = store.new_class("A")
    pupil, _ = store.add_pupil(mine.id, "Ana")
    given_back = answers(5)
    undos = [LogEntry(str(uuid.uuid4()), EntryKind.UNDO, DRILL.id, e.at + 1, undoes=e.id) for e in given_back]
    store.sync(pupil.id, [*given_back, *undos, *answers(2)])
    (row,) = class_report(store, mine.id, START).pupils
    assert row.answers == 2


@given(logs(25))
@MORE
def test_the_report_agrees_with_the_log(store: Store, entries: tuple[LogEntry, ...]) -> None:
    mine = store.new_class(uuid.uuid4().hex)
    pupil, _ = store.add_pupil(mine.id, "Ana")
    store.sync(pupil.id, entries)
    (row,) = class_report(store, mine.id, START).pupils
    counts = effective(entries)
    assert row.answers == len(counts)
    assert row.drills == len({entry.drill for entry in counts})
    assert row.last == max((entry.at for entry in counts), default=None)
