"""Sessions with a scripted engine: what it is asked, and what happens when it breaks."""

from __future__ import annotations

import gc
import os
import sys
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

import chess
import pytest

from linewright.engine import Engine, EngineSettings, EngineTrouble, EngineVerdict, VerdictMemory
from linewright.engine.model import Over
from linewright.engine.session import GIVE_UP_AFTER
from linewright.engine.settings import Patience
from linewright.support.errors import UnusableInput

SCRIPT = Path(__file__).with_name("scripted.py")
#: For doubles that answer or end: on a busy machine each may take long to start.
PATIENT = Patience(start=120.0, least=60.0, nodes_per_second=1e9, leave=0.3)
#: The same, at the usual pace of work.
SLOW = Patience(start=120.0, least=60.0)
#: For doubles that never answer.
HASTY = Patience(start=120.0, least=0.4, nodes_per_second=1e9, leave=0.3)
OPENINGS = [
    "rnbqkbnr/pppppppp/8/8/8/8/PPPPPPPP/RNBQKBNR w KQkq - 0 1",
    "rnbqkbnr/pppppppp/8/8/4P3/8/PPPP1PPP/RNBQKBNR b KQkq - 0 1",
    "rnbqkbnr/pppp1ppp/8/4p3/4P3/8/PPPP1PPP/RNBQKBNR w KQkq - 0 2",
    "rnbqkbnr/pppp1ppp/8/4p3/4P3/5N2/PPPP1PPP/RNBQKB1R b KQkq - 1 2",
    "r1bqkbnr/pppp1ppp/2n5/4p3/4P3/5N2/PPPP1PPP/RNBQKB1R w KQkq - 2 3",
]
ROOKS = "4k3/8/8/8/8/8/8/R3K3 w Q - 0 1"  # no queens: the poisoned double likes it


@dataclass
class Double:
    """The scripted engine as a program of its own, with the log of what it was sent."""

    path: Path
    log: Path

    def sent(self, start: str) -> list[str]:
        lines = self.log.read_text().splitlines() if self.log.exists() else []
        return [line for line in lines if line.startswith(start)]


@pytest.fixture
def double(tmp_path: Path) -> Callable[[str], Double]:
    def make(mode: str) -> Double:
        log, program = tmp_path / f"{mode}.log", tmp_path / f"engine-{mode}"
        program.write_text(f"#!/bin/sh\nexec '{sys.executable}' '{SCRIPT}' '{mode}' '{log}'\n")
        program.chmod(0o755)
        return Double(program, log)

    return make


def alone(path: Path) -> EngineSettings:
    """One process, where a test counts what is sent."""
    return EngineSettings(path, processes=1)


@pytest.fixture
def memory(tmp_path: Path) -> Iterator[VerdictMemory]:
    with VerdictMemory.open(tmp_path / "verdicts.sqlite") as opened:
        yield opened


def test_the_question_is_put_so_that_the_answer_repeats(double: Callable[[str], Double]) -> None:
    engine_double = double("fine")
    board = chess.Board()
    for san in ("e4", "e5", "Nf3"):
        board.push_san(san)
    with Engine.open(EngineSettings(engine_double.path, nodes=1234, lines=2, hash_mb=8), patience=PATIENT) as engine:
        assert engine.name == "Scripted 1.0"
        engine.verdicts([board, OPENINGS[0]])
    options = engine_double.sent("setoption")
    assert {"setoption name Threads value 1", "setoption name Hash value 8"} <= set(options)
    assert "setoption name UCI_ShowWDL value true" in options and "setoption name MultiPV value 2" in options
    assert engine_double.sent("go") == ["go nodes 1234"] * 2
    assert len(engine_double.sent("ucinewgame")) == 2  # the hash table is cleared for each
    # The position alone, without the moves to it and with its counters at the start.
    assert "position fen rnbqkbnr/pppp1ppp/8/4p3/4P3/5N2/PPPP1PPP/RNBQKB1R b KQkq - 0 1" in engine_double.sent("pos")


def test_a_verdict_is_seen_from_white(double: Callable[[str], Double]) -> None:
    with Engine.open(double("fine").path, patience=PATIENT) as engine:
        white, black = engine.verdicts(OPENINGS[:2], 100, 3)
    assert isinstance(white, EngineVerdict) and isinstance(black, EngineVerdict)
    assert [line.score.centipawns for line in white.lines] == [40, 30, 20]
    assert [line.score.centipawns for line in black.lines] == [-40, -30, -20]
    assert white.best is not None and black.best is not None
    assert white.best.moves == ("a2a3",) and black.best.moves == ("a7a5",)
    assert white.best.expectation is not None and black.best.expectation is not None
    assert (white.best.expectation.win, black.best.expectation.win) == (0.3, 0.2)
    assert white.best.expectation.points == pytest.approx(0.55)
    assert (white.engine, white.nodes, white.depth, white.turn) == ("Scripted 1.0", 100, 7, chess.WHITE)


def test_a_mate_is_counted_for_the_side_that_mates(double: Callable[[str], Double]) -> None:
    with Engine.open(double("mate").path, patience=PATIENT) as engine:
        found = engine.verdicts(OPENINGS[:2], 100, 1)
    assert [v.best.score.mate for v in found if isinstance(v, EngineVerdict) and v.best] == [5, -5]


def test_a_bound_is_no_score(double: Callable[[str], Double]) -> None:
    with Engine.open(double("bound").path, patience=PATIENT) as engine:
        (found,) = engine.verdicts(OPENINGS[:1], 100, 1)
    assert isinstance(found, EngineVerdict) and found.best is not None and found.best.score.centipawns == 40


def test_a_game_that_is_over_isn_t_asked_about(double: Callable[[str], Double]) -> None:
    engine_double = double("fine")
    ends = [
        ("rnb1kbnr/pppp1ppp/8/4p3/6Pq/5P2/PPPPP2P/RNBQKBNR w KQkq - 1 3", Over.CHECKMATE),
        ("7k/5Q2/8/8/8/8/8/K7 b - - 0 1", Over.STALEMATE),
        ("7k/8/8/8/8/8/8/KB6 b - - 0 1", Over.DEAD),
    ]
    with Engine.open(engine_double.path, patience=PATIENT) as engine:
        found = engine.verdicts([fen for fen, _ in ends])
    assert [v.over for v in found if isinstance(v, EngineVerdict)] == [over for _, over in ends]
    assert not engine_double.sent("go")


def test_a_crash_is_noticed_and_the_question_asked_again(double: Callable[[str], Double]) -> None:
    engine_double = double("crash-once")
    with Engine.open(alone(engine_double.path), patience=PATIENT) as engine:
        found = engine.verdicts(OPENINGS[:3], 100)
    assert all(isinstance(v, EngineVerdict) for v in found)
    assert [line for line in engine_double.sent("uci") if line == "uci"] == ["uci", "uci"]  # one restart


def test_one_bad_position_stops_nothing(double: Callable[[str], Double]) -> None:
    with Engine.open(double("poisoned").path, patience=PATIENT) as engine:
        found = engine.verdicts([ROOKS, OPENINGS[0], "4k3/8/8/8/8/8/8/4K2R w K - 0 1"], 100)
    assert [type(v) for v in found] == [EngineVerdict, EngineTrouble, EngineVerdict]
    assert "Scripted 1.0 ended unexpectedly, also after a restart" in str(found[1])


def test_an_engine_that_always_fails_is_given_up(double: Callable[[str], Double], memory: VerdictMemory) -> None:
    with Engine.open(double("fine").path, memory, patience=PATIENT) as engine:
        engine.verdicts(OPENINGS[4:], 100)
    engine_double = double("crash")
    with Engine.open(alone(engine_double.path), memory, patience=PATIENT) as engine:
        found = engine.verdicts(OPENINGS, 100)
    assert [type(v) for v in found] == [EngineTrouble] * 4 + [EngineVerdict]  # what is remembered is still given
    assert len(engine_double.sent("go")) == 2 * GIVE_UP_AFTER
    assert "isn't asked any more" in str(found[3]) and "--no-engine" in str(found[3])


def test_a_hanging_engine_is_noticed_in_time(double: Callable[[str], Double], caplog: pytest.LogCaptureFixture) -> None:
    with Engine.open(double("hang").path, patience=HASTY) as engine:
        (found,) = engine.verdicts(OPENINGS[:1], 100)
    assert isinstance(found, EngineTrouble) and "didn't answer within 0.4 seconds" in found.what
    gc.collect()  # the library's own forgotten futures would speak up now
    assert not [record for record in caplog.records if record.name == "asyncio"]


@pytest.mark.parametrize(
    ("mode", "told"),
    [("nonsense", "broke the protocol"), ("no-score", "gave no score")],
)
def test_a_broken_engine_is_told(double: Callable[[str], Double], mode: str, told: str) -> None:
    with Engine.open(double(mode).path, patience=PATIENT) as engine:
        (found,) = engine.verdicts(OPENINGS[:1], 100)
    assert isinstance(found, EngineTrouble) and told in found.what


@pytest.mark.parametrize("mode", ["loud", "illegal"])
def test_noise_beside_a_good_answer_does_no_harm(
    double: Callable[[str], Double], mode: str, capfd: pytest.CaptureFixture[str]
) -> None:
    with Engine.open(double(mode).path, patience=PATIENT) as engine:
        (found,) = engine.verdicts(OPENINGS[:1], 100, 2)
    assert isinstance(found, EngineVerdict)
    board = chess.Board()
    assert all(chess.Move.from_uci(line.moves[0]) in board.legal_moves for line in found.lines)
    assert capfd.readouterr() == ("", "")  # nothing of it reaches the terminal


@pytest.mark.parametrize(
    ("mode", "told", "start"), [("mute", "didn't get ready within", 0.5), ("dies", "failed while starting", 120.0)]
)
def test_what_is_no_engine_is_refused(double: Callable[[str], Double], mode: str, told: str, start: float) -> None:
    with pytest.raises(UnusableInput, match=told) as refused:
        Engine.open(double(mode).path, patience=Patience(start=start))
    assert "--engine PATH" in refused.value.todo


def test_what_is_no_program_is_refused(tmp_path: Path) -> None:
    text = tmp_path / "engine"
    text.write_text("not a program")
    text.chmod(0o755)
    for named, told in ((text, "can't be started"), (tmp_path / "none", "is not there")):
        with pytest.raises(UnusableInput, match=told):
            Engine.open(named, patience=PATIENT)


def test_nothing_is_asked_twice(double: Callable[[str], Double], memory: VerdictMemory) -> None:
    engine_double = double("fine")
    with Engine.open(engine_double.path, memory, patience=PATIENT) as engine:
        first = engine.verdicts([*OPENINGS, *OPENINGS], 100)
    assert len(engine_double.sent("go")) == len(OPENINGS) == len(memory)
    with Engine.open(engine_double.path, memory, patience=PATIENT) as engine:
        assert engine.verdicts([*OPENINGS, *OPENINGS], 100) == first
        assert engine.verdicts(OPENINGS, 60, 2)[0] == first[0]  # less work, fewer lines: what is there will do
        assert len(engine_double.sent("go")) == len(OPENINGS)
        more = engine.verdicts(OPENINGS[:1], 200)[0]
        assert isinstance(more, EngineVerdict) and more.nodes == 200  # more work is asked for anew
        assert engine.verdicts(OPENINGS[:1], 100)[0] == more
    with Engine.open(EngineSettings(engine_double.path, hash_mb=64), memory, patience=PATIENT) as engine:
        engine.verdicts(OPENINGS[:1], 100)  # another hash size is another question
    assert len(engine_double.sent("go")) == len(OPENINGS) + 2


def test_the_most_doubtful_come_first_when_time_runs_out(double: Callable[[str], Double]) -> None:
    engine_double = double("slow")
    with Engine.open(alone(engine_double.path), patience=SLOW) as engine:
        done: list[tuple[int, int]] = []
        progress = lambda *now: done.append(now)  # noqa: E731
        found = engine.verdicts(OPENINGS, [100, 200, 300, 400, 500], 1, progress, seconds=0.3)
    troubles = sum(isinstance(v, EngineTrouble) for v in found)
    assert 1 <= troubles <= 4  # how many is the machine's affair
    assert [type(v) for v in found] == [EngineTrouble] * troubles + [EngineVerdict] * (5 - troubles)
    assert "the time was up" in str(found[0])
    assert done == [(number, 5) for number in range(1, 6)]


def test_a_budget_is_kept(double: Callable[[str], Double]) -> None:
    engine_double = double("slow")
    with Engine.open(alone(engine_double.path), patience=SLOW) as engine:
        found = engine.within(OPENINGS, [0, 0, 1, 2, 0], seconds=2.0)
    # The double takes a fifth of a second for each question; one may be under way when the time is up.
    assert len(engine_double.sent("go")) <= 2.0 / 0.2 + 1
    assert isinstance(found[3], EngineVerdict) and isinstance(found[2], EngineVerdict)
    assert found[3].nodes >= found[2].nodes >= min(v.nodes for v in found if isinstance(v, EngineVerdict))


def test_what_can_t_be_asked_is_told_and_the_rest_goes_on(double: Callable[[str], Double]) -> None:
    no_king = "8/8/8/8/8/8/8/R3K3 w - - 0 1"
    with Engine.open(double("fine").path, patience=PATIENT) as engine:
        found = engine.verdicts(["nonsense", no_king, OPENINGS[0]], 100)
    assert [type(v) for v in found] == [EngineTrouble, EngineTrouble, EngineVerdict]
    assert "'nonsense' can't be read" in str(found[0]) and "against the Laws" in str(found[1])


@pytest.mark.parametrize("mode", ["fine", "hang", "stubborn"])
def test_no_program_is_left_behind(double: Callable[[str], Double], mode: str) -> None:
    with Engine.open(double(mode).path, patience=PATIENT) as engine:
        pid = engine._processes[0].pid
        assert pid is not None
        engine.verdicts(OPENINGS[:1], 100) if mode != "hang" else None
    with pytest.raises(ProcessLookupError):
        os.kill(pid, 0)


def test_an_engine_killed_between_questions_is_started_anew(double: Callable[[str], Double]) -> None:
    with Engine.open(double("fine").path, patience=PATIENT) as engine:
        pid = engine._processes[0].pid
        assert pid is not None
        os.kill(pid, 9)
        (found,) = engine.verdicts(OPENINGS[:1], 100)
    assert isinstance(found, EngineVerdict)


def test_several_processes_give_the_same_answers(double: Callable[[str], Double]) -> None:
    engine_double = double("slow")
    with Engine.open(alone(engine_double.path), patience=SLOW) as engine:
        one = engine.verdicts(OPENINGS, 100)
    asked = len(engine_double.sent("go"))
    with Engine.open(EngineSettings(engine_double.path, processes=3), patience=SLOW) as engine:
        assert engine.verdicts(OPENINGS, 100) == one
        pids = [process.pid for process in engine._processes if process.pid is not None]
        assert len(set(pids)) == 3
    assert len(engine_double.sent("go")) == 2 * asked  # each position by one of them
    for pid in pids:
        with pytest.raises(ProcessLookupError):
            os.kill(pid, 0)


def test_no_more_processes_than_questions(double: Callable[[str], Double]) -> None:
    with Engine.open(EngineSettings(double("fine").path, processes=3), patience=PATIENT) as engine:
        engine.verdicts(OPENINGS[:1], 100)
        assert [process.pid is None for process in engine._processes] == [False, True, True]


def test_what_the_progress_raises_comes_out_as_it_is(double: Callable[[str], Double]) -> None:
    """And the engine can be asked on, or closed, after it."""

    def stop(done: int, total: int) -> None:
        raise KeyError("enough")

    with Engine.open(EngineSettings(double("fine").path, processes=2), patience=PATIENT) as engine:
        with pytest.raises(KeyError, match="enough"):
            engine.verdicts(OPENINGS, 100, progress=stop)
        assert all(isinstance(v, EngineVerdict) for v in engine.verdicts(OPENINGS, 100))
