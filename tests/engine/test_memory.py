"""Remembered verdicts: round trips, damage, two processes, and files that can't be used."""

from __future__ import annotations

import os
import sqlite3
import subprocess
import sys
import threading
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linewright.engine import EngineVerdict, Line, Score, VerdictMemory, WinDrawLoss
from linewright.engine.verdict_memory import VERSION
from linewright.support.errors import UnusableInput

EPD = "rnbqkbnr/pppppppp/8/8/8/8/PPPPPPPP/RNBQKBNR w KQkq -"
LINE = Line(Score(centipawns=31), WinDrawLoss(0.042, 0.956, 0.002), ("e2e4", "c7c5"))
VERDICT = EngineVerdict(EPD, (LINE,), "Scripted 1.0", 1000, 14)

scores = st.one_of(
    st.builds(Score, centipawns=st.integers(-30_000, 30_000)),
    st.builds(Score, mate=st.integers(-200, 200).filter(bool)),
)
expectations = st.none() | st.tuples(st.integers(0, 500), st.integers(0, 500)).map(
    lambda two: WinDrawLoss(two[0] / 1000, two[1] / 1000, (1000 - sum(two)) / 1000)
)
moves = st.lists(st.sampled_from(["e2e4", "a7a8q", "e1g1", "h7h8n"]), min_size=1, max_size=6).map(tuple)
lines = st.lists(st.builds(Line, scores, expectations, moves), min_size=1, max_size=4).map(tuple)
verdicts = st.builds(EngineVerdict, st.just(EPD), lines, st.text(min_size=1), st.integers(1, 10**9), st.integers(0, 99))


@settings(deadline=None, max_examples=80)
@given(verdicts)
def test_what_is_remembered_is_recalled(verdict: EngineVerdict) -> None:
    memory = VerdictMemory(*_in_memory())
    memory.remember(verdict, 32, 3)
    assert memory.recall(EPD, verdict.engine, 32, verdict.nodes, 3) == verdict
    assert memory.recall(EPD, verdict.engine, 32, verdict.nodes + 1, 3) is None
    assert memory.recall(EPD, verdict.engine, 32, verdict.nodes, 4) is None
    assert memory.recall(EPD, verdict.engine, 64, 1, 1) is None
    memory.close()


def test_the_best_verdict_is_the_one_with_the_most_work() -> None:
    memory = VerdictMemory(*_in_memory())
    assert memory.best(EPD) is None
    for nodes, engine in ((1000, "One"), (9000, "Two"), (4000, "One")):
        memory.remember(EngineVerdict(EPD, (LINE,), engine, nodes, 9), 32, 1)
    found = memory.best(EPD)
    assert found is not None and (found.engine, found.nodes) == ("Two", 9000)
    memory.close()


def _in_memory() -> tuple[sqlite3.Connection, Path]:
    from linewright.engine.verdict_memory import _connect

    return _connect(Path(":memory:")), Path(":memory:")


def test_it_outlives_the_session(tmp_path: Path) -> None:
    path = tmp_path / "new folder" / "verdicts.sqlite"
    with VerdictMemory.open(path) as memory:
        memory.remember(VERDICT, 32, 3)
    with VerdictMemory.open(path) as memory:
        assert memory.recall(EPD, "Scripted 1.0", 32, 1000, 3) == VERDICT
        assert memory.recall(EPD, "Scripted 2.0", 32, 1000, 3) is None
        assert memory.notes == []


DAMAGE = {
    "no database": lambda data: b"this is no database at all, " * 300,
    "torn off": lambda data: data[: len(data) // 2],
    "pages overwritten": lambda data: data[:4096] + b"\xa5" * (len(data) - 4096),
    "another table": None,
}


@pytest.mark.parametrize("name", DAMAGE)
def test_a_damaged_file_is_set_aside_and_told(tmp_path: Path, name: str) -> None:
    path = tmp_path / "verdicts.sqlite"
    with VerdictMemory.open(path) as memory:
        for number in range(200):
            memory.remember(EngineVerdict(f"{EPD} {number}", (LINE,), "Scripted 1.0", 1000, 1), 32, 3)
    damage = DAMAGE[name]
    if damage is None:
        path.unlink()
        with sqlite3.connect(path) as con:
            con.execute("CREATE TABLE verdicts (other)")
        con.close()
        path_is_foreign(path)
        return
    path.write_bytes(damage(path.read_bytes()))
    before = path.read_bytes()
    with VerdictMemory.open(path) as memory:
        memory.remember(VERDICT, 32, 3)
        assert memory.recall(EPD, "Scripted 1.0", 32, 1000, 3) == VERDICT
        (note,) = memory.notes
    (aside,) = [p for p in tmp_path.iterdir() if ".damaged-" in p.name]
    assert aside.name in note and str(path) in note
    assert aside.read_bytes() == before  # nothing of it is lost


def path_is_foreign(path: Path) -> None:
    """A table of that name and another shape: nothing is remembered, and the file is left as it is."""
    with VerdictMemory.open(path) as memory:
        memory.remember(VERDICT, 32, 3)
        assert memory.recall(EPD, "Scripted 1.0", 32, 1000, 3) is None
        assert len(memory.notes) == 1 and "can't be remembered" in memory.notes[0]


def test_an_empty_file_is_simply_used(tmp_path: Path) -> None:
    path = tmp_path / "verdicts.sqlite"
    path.touch()
    with VerdictMemory.open(path) as memory:
        memory.remember(VERDICT, 32, 3)
        assert len(memory) == 1 and memory.notes == []


def test_a_later_version_s_file_is_left_alone(tmp_path: Path) -> None:
    path = tmp_path / "verdicts.sqlite"
    VerdictMemory.open(path).close()
    with sqlite3.connect(path) as con:
        con.execute(f"PRAGMA user_version = {VERSION + 1}")
    con.close()
    with pytest.raises(UnusableInput, match="later Linewright"):
        VerdictMemory.open(path)


def test_a_row_that_can_t_be_read_is_as_if_it_weren_t_there(tmp_path: Path) -> None:
    path = tmp_path / "verdicts.sqlite"
    with VerdictMemory.open(path) as memory:
        memory.remember(VERDICT, 32, 3)
    for text in ("{", "[]", '{"depth": 1, "lines": []}', '{"depth": 1, "lines": [{"cp": null, "mate": 0}]}'):
        with sqlite3.connect(path) as con:
            con.execute("UPDATE verdicts SET verdict = ?", (text,))
        con.close()
        with VerdictMemory.open(path) as memory:
            assert memory.recall(EPD, "Scripted 1.0", 32, 1000, 3) is None


def test_without_a_place_to_write_the_check_goes_on(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("a file, no folder")
    with VerdictMemory.open(tmp_path / "file" / "verdicts.sqlite") as memory:
        memory.remember(VERDICT, 32, 3)
        assert memory.recall(EPD, "Scripted 1.0", 32, 1000, 3) is None
        assert len(memory.notes) == 1 and "can't be remembered" in memory.notes[0]


WRITER = """
import sys
from pathlib import Path
from linewright.engine import EngineVerdict, Line, Score, VerdictMemory
with VerdictMemory.open(Path(sys.argv[1])) as memory:
    for number in range(150):
        memory.remember(EngineVerdict(f"{sys.argv[2]} {number}", (Line(Score(1), None, ("e2e4",)),), "S", 10, 1), 32, 3)
    assert not memory.notes, memory.notes
"""


def test_two_processes_write_at_once(tmp_path: Path) -> None:
    path = tmp_path / "verdicts.sqlite"
    writers = [subprocess.Popen([sys.executable, "-c", WRITER, str(path), name], env=os.environ) for name in "ab"]
    assert [writer.wait(60) for writer in writers] == [0, 0]
    with VerdictMemory.open(path) as memory:
        assert len(memory) == 300
        assert all(memory.recall(f"{name} {number}", "S", 32, 10, 3) for name in "ab" for number in range(150))


def test_a_file_held_for_a_moment_by_another_is_waited_for(tmp_path: Path) -> None:
    # An exclusive lock on a file not yet in WAL mode: changing its mode is refused at once, whatever the time allowed.
    path = tmp_path / "verdicts.sqlite"
    holder = sqlite3.connect(path, isolation_level=None, check_same_thread=False)
    holder.execute("CREATE TABLE unrelated (x)")
    holder.execute("BEGIN IMMEDIATE")
    release = threading.Timer(0.3, lambda: holder.execute("COMMIT"))
    release.start()
    with VerdictMemory.open(path) as memory:
        memory.remember(VERDICT, 32, 3)
        assert not memory.notes and len(memory) == 1
    release.join()
    holder.close()
