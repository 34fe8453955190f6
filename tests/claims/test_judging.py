"""An engine judging a check's positions: budget, memory, crashes, and the command that asks for it."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Sequence
from pathlib import Path

import chess
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from typer.testing import CliRunner, Result

from linewright.claims.check import check_walk
from linewright.claims.engine_judge import LINES, judging
from linewright.claims.engine_questions import Judge, Question, Verdicts
from linewright.cli.main import app
from linewright.engine import Engine, EngineSettings, EngineVerdict
from linewright.engine.settings import find
from linewright.engine.verdict_memory import VerdictMemory
from linewright.lesson.finding import Kind, Verdict
from linewright.support.errors import UnusableInput
from tests.claims.judges import level
from tests.claims.support import walk_of
from tests.support import stoppable

SCRIPT = Path(__file__).parents[1] / "engine" / "scripted.py"
#: Work in which every strong engine finds the trap.
NODES = 200_000
TALK = "E4, e5, knight f3, knight c6. White is clearly better. Bishop b5, a6.\n"


@pytest.fixture(autouse=True)
def own_home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    home = tmp_path / "home"
    home.mkdir()
    (home / "settings.toml").write_text("[engine]\nprocesses = 1\n")
    monkeypatch.setenv("LINEWRIGHT_HOME", str(home))


@pytest.fixture
def engine(tmp_path: Path) -> Callable[[str], tuple[Path, Path]]:
    """The scripted engine in a mode: its program, and the log of what it was sent."""

    def make(mode: str) -> tuple[Path, Path]:
        log, program = tmp_path / f"{mode}.log", tmp_path / f"engine-{mode}"
        program.write_text(f"#!/bin/sh\nexec '{sys.executable}' '{SCRIPT}' '{mode}' '{log}'\n")
        program.chmod(0o755)
        return program, log

    return make


def questions(count: int) -> tuple[Question, ...]:
    """The positions after each of White's first moves."""
    found = []
    for move in sorted(chess.Board().legal_moves, key=chess.Move.uci)[:count]:
        board = chess.Board()
        board.push(move)
        found.append(Question(board, 1.0 + len(found) % 3))
    return tuple(found)


def asked(log: Path) -> int:
    """How many questions the engine was sent, those that its speed was measured on left out."""
    return sum(line.startswith("go") and "200000" not in line for line in log.read_text().splitlines())


def judged(program: Path, tmp_path: Path, seconds: float | None, count: int = 6) -> tuple[dict[str, object], list[str]]:
    told: list[str] = []
    with judging(program, tmp_path / "verdicts.sqlite", seconds, told.append) as judge:
        assert judge is not None
        return dict(judge(questions(count))), told


def test_all_positions_are_judged_and_remembered(engine: Callable[[str], tuple[Path, Path]], tmp_path: Path) -> None:
    program, log = engine("fine")
    first, told = judged(program, tmp_path, 5.0)
    assert len(first) == 6 and told == []
    before = asked(log)
    again, _ = judged(program, tmp_path, None)
    assert again == first and asked(log) == before


def test_only_what_is_new_is_asked_for(engine: Callable[[str], tuple[Path, Path]], tmp_path: Path) -> None:
    program, log = engine("fine")
    judged(program, tmp_path, None, 6)
    before = asked(log)
    found, _ = judged(program, tmp_path, None, 8)
    assert len(found) == 8 and asked(log) == before + 2


def test_a_budget_is_exceeded_by_one_position_at_most(
    engine: Callable[[str], tuple[Path, Path]], tmp_path: Path
) -> None:
    """The slow double takes 0.2 s for each question, so that 0.5 s allow two, and a third to be finished."""
    program, log = engine("slow")
    found, told = judged(program, tmp_path, 0.5, 20)
    assert len(found) == asked(log) <= 3
    (note,) = told
    assert note.startswith(f"{20 - len(found)} positions without an engine's verdict: ") and "--seconds" in note


def test_a_crash_is_told_once_and_the_rest_goes_on(engine: Callable[[str], tuple[Path, Path]], tmp_path: Path) -> None:
    program, _ = engine("poisoned")
    board = chess.Board("4k3/8/8/8/8/8/8/R3K3 w Q - 0 1")
    told: list[str] = []
    with judging(program, tmp_path / "verdicts.sqlite", 60.0, told.append) as judge:
        assert judge is not None
        found = judge((*questions(2), Question(board)))
    assert set(found) == {board.epd()}
    (note,) = told
    assert note.startswith("2 positions without an engine's verdict: the engine Scripted 1.0")


def test_no_engine_is_noted_and_stops_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("linewright.engine.settings.NAMES", ("no-such-engine",))
    told: list[str] = []
    with judging(None, tmp_path / "verdicts.sqlite", 5.0, told.append) as judge:
        (found,) = check_walk(walk_of("White is clearly better."), judge=judge)
    assert found.verdict is Verdict.UNDECIDED
    assert len(told) == 1 and "no chess engine was found" in told[0]


def test_an_engine_named_wrongly_is_refused(tmp_path: Path) -> None:
    with pytest.raises(UnusableInput, match="nowhere"), judging(tmp_path / "nowhere", tmp_path / "v", 1.0, print):
        pass


@settings(deadline=None, max_examples=50)
@given(st.permutations(range(12)), st.lists(st.integers(0, 11), max_size=6))
def test_verdicts_do_not_depend_on_the_order_of_asking(order: list[int], twice: list[int]) -> None:
    """And each position is asked about once, with the highest of its doubts."""
    put: list[Question] = []

    def judge(found: object) -> dict[str, object]:
        put.extend(found)  # type: ignore[arg-type]
        return {q.board.epd(): level(q.board) for q in put}

    listed = questions(12)
    more = [Question(listed[i].board, 9.0) for i in twice]
    verdicts = Verdicts.ask(judge, [listed[i] for i in order] + more)  # type: ignore[arg-type]
    assert [verdicts.of(q.board) for q in listed] == [level(q.board) for q in listed]
    assert {q.board.epd(): q.doubt for q in put} == {
        q.board.epd(): 9.0 if i in twice else q.doubt for i, q in enumerate(listed)
    }
    assert len(put) == 12


def test_a_real_engine_finds_the_refutation() -> None:
    """1.e4 e5 2.Nf3 Nc6 3.Bc4 Nd4 4.Nxe5 Qg5 is a well-known trap (common practice)."""
    try:
        program = find()
    except UnusableInput:
        pytest.skip("needs a UCI engine on PATH or in /usr/games")
    line = "[e4|E4] [e5|e5] [Nf3|knight f3] [Nc6|knight c6] [Bc4|bishop c4] [Nd4|knight d4] "
    shown = line + "[Nxd4|knight takes] [<1|or] [Nxe5|knight takes e5]{}."
    with Engine.open(EngineSettings(program)) as opened:

        def judge(found: Sequence[Question]) -> dict[str, EngineVerdict]:
            """By a fixed work, so that the answers don't depend on how busy the machine is."""
            answers = opened.verdicts([q.board for q in found], NODES, LINES)
            return {answer.fen: answer for answer in answers if isinstance(answer, EngineVerdict)}

        silent = [f for f in check_walk(walk_of(shown.format("")), judge=judge) if f.kind is Kind.REFUTATION]
        told = check_walk(walk_of(shown.format(", which is a mistake")), judge=judge)
    (found,) = silent
    assert "it is answered by 4...Qg5, which is not mentioned" in found.evidence and "after 4.Nxe5" in found.evidence
    assert not any(f.kind is Kind.REFUTATION for f in told)


def test_evidence_names_the_move_the_engine_and_its_work() -> None:
    def judge(asked_for: object) -> dict[str, object]:
        return {q.board.epd(): level(q.board) for q in asked_for}  # type: ignore[attr-defined]

    checked: Judge = judge  # type: ignore[assignment]
    (found,) = check_walk(walk_of("[e4|E4]. [e5|E5]. White is clearly better."), judge=checked)
    assert (found.kind, found.verdict) == (Kind.ASSESSMENT, Verdict.FAILS)
    assert found.evidence == "Scripted, 2 M nodes: 0.0 after 1...e5"


# The command.


def run(*words: object) -> Result:
    return CliRunner().invoke(app, ["check", *map(str, words)])


@pytest.fixture
def talk(tmp_path: Path) -> Path:
    path = tmp_path / "talk.md"
    path.write_text(TALK)
    return path


def test_check_asks_the_engine(engine: Callable[[str], tuple[Path, Path]], talk: Path) -> None:
    result = run(talk, "--engine", engine("fine")[0], "--seconds", "3")
    assert "assessment undecided: White is clearly better. — Scripted" in result.stdout or "fails" in result.stdout
    assert "after 2...Nc6" in result.stdout and "\x1b" not in result.output


def test_check_json_carries_ranks(engine: Callable[[str], tuple[Path, Path]], talk: Path) -> None:
    found = json.loads(run(talk, "--engine", engine("fine")[0], "--seconds", "3", "--json").stdout)["findings"]
    assert sorted(f["rank"] for f in found) == list(range(1, len(found) + 1)) and found
    assert all(0 <= f["met"] <= 1 for f in found)


def test_kinds_can_be_switched_off_in_the_settings_and_beside_the_sentence(tmp_path: Path, talk: Path) -> None:
    assert "assessment" in run(talk, "--no-engine").stdout
    (tmp_path / "home" / "settings.toml").write_text('[check]\noff = ["assessment"]\n')
    assert "assessment" not in run(talk, "--no-engine").stdout
    (tmp_path / "home" / "settings.toml").unlink()
    talk.write_text(TALK.replace("better.", "better. {stet: assessment}"))
    assert "assessment" not in run(talk, "--no-engine").stdout


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ('[check]\noff = ["replies"]', "“replies”|'replies'"),
        ("[check]\noff = 3", "off = 3"),
        ("[check]\nseconds = 3", "unknown setting"),
        ("check = 3", "unknown setting"),
    ],
)
def test_wrong_settings_are_refused_with_the_kinds_there_are(tmp_path: Path, talk: Path, text: str, told: str) -> None:
    (tmp_path / "home" / "settings.toml").write_text(text)
    result = run(talk, "--no-engine")
    assert result.exit_code == 2 and "reply" in result.stderr
    assert any(part in result.stderr for part in told.split("|"))


def test_a_stet_of_an_unknown_kind_is_told(talk: Path) -> None:
    talk.write_text(TALK.replace("better.", "better. {stet: opinions}"))
    result = run(talk, "--no-engine")
    assert "{stet: opinions}" in result.stderr and "unknown kind “opinions”" in result.stderr
    assert "assessment" in result.stdout


@pytest.mark.skipif(os.name == "nt", reason="needs POSIX signals")
def test_ctrl_c_ends_cleanly_and_keeps_verdicts(
    engine: Callable[[str], tuple[Path, Path]], talk: Path, tmp_path: Path
) -> None:
    program, log = engine("tires")  # so that it is at work when it is stopped
    talk.write_text(f"{TALK} Bishop a4, knight f6, castles. Black is clearly better. Bishop e7, rook e1, b5.\n")
    words = [
        sys.executable,
        "-c",
        "from linewright.cli.main import main; main()",
        "check",
        str(talk),
        "--engine",
        str(program),
        "--seconds",
        "600",
    ]
    child = subprocess.Popen(words, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, preexec_fn=stoppable)
    until = time.monotonic() + 300
    while (not log.exists() or asked(log) < 2) and child.poll() is None and time.monotonic() < until:
        time.sleep(0.02)
    child.send_signal(signal.SIGINT)
    out, err = child.communicate(timeout=300)
    assert child.returncode == 130, err
    assert "Traceback" not in err and out == ""
    assert err.splitlines()[-1] == "linewright: stopped; the engine's verdicts so far are remembered"
    with VerdictMemory.open(tmp_path / "home" / "verdicts.sqlite") as memory:
        assert len(memory) >= 1
