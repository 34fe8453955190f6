"""Scripts, scenes, runs and what comes of them: times, captions, chapters, reports, lining up."""

from __future__ import annotations

import asyncio
import json
import shutil
import subprocess
import sys
import time
import wave
from collections.abc import Iterable
from itertools import pairwise
from pathlib import Path
from typing import Any

import chess
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from typer.testing import CliRunner

from linewright.captions.corrected import correct_captions
from linewright.cli.main import app
from linewright.desk.rooms import Room
from linewright.hear.recording import load_sound
from linewright.lesson.walk import BoardMark, MoveStep, ReturnStep, Walk
from linewright.publish.film.shots import Staged
from linewright.publish.recording_chapters import chapters
from linewright.publish.timing import spoken_talk
from linewright.reading.reader import read_talk
from linewright.stage.acts import DrawMarks, DrawnMark, GoToStop, HearPosition, PlayMove, PressKey, StageAct
from linewright.stage.recording_sync import by_clap, by_loudness, by_words, clap_in, find_offset
from linewright.stage.rehearsal import RATE, learned_rate, pace_of_run, pace_of_talk, report_run
from linewright.stage.run_times import arrivals, time_walk
from linewright.stage.runs import Run, RunEntry, RunLog, read_run, run_path, runs_of
from linewright.stage.scene import after, board_of, moves_shown, opened
from linewright.stage.script import script_of, stops_of
from linewright.stage.stage_replay import replay_run
from linewright.stage.voice_follow import follow_phrase
from linewright.support.errors import UnusableInput
from linewright.talk.load import load_talk
from linewright.talk.model import Unit

#: An invented lesson with marks said with a move and after it, and a return.
LESSON = """# A short lesson

We begin with e4 e5, knight f3 and knight c6. {ring: e5} White looks at the pawn on e5, and this is what the
whole opening is about for a long time {path: f3-e5} and the knight looks at it too, whatever else may happen.

Bishop c4 is the old move, and it is as good today as it was. Bishop c5 answers it in the same spirit.

Now let us go back to knight c6. Instead of the bishop move before, bishop b5 is the move {dot: c6} of the strong,
and a6 asks it at once what it wants there. Bishop a4 is the usual answer, and knight f6 develops with a threat.
"""


@pytest.fixture(scope="module")
def walk(tmp_path_factory: pytest.TempPathFactory) -> Walk:
    path = tmp_path_factory.mktemp("talk") / "short.md"
    path.write_text(LESSON, encoding="utf-8")
    return read_talk(load_talk(path))


def run_of(*rows: tuple[float, str] | tuple[float, str, int], stops: int = 0) -> Run:
    """A run from rows of time, what, and the stop's number."""
    entries = [RunEntry(0.0, "start", {"stops": stops} if stops else {})]
    entries += [RunEntry(row[0], row[1], {"at": row[2]} if len(row) > 2 else {}) for row in rows]
    return Run("a.run.jsonl", tuple(entries))


def straight(walk: Walk, every: float = 5.0) -> Run:
    count = len(stops_of(walk))
    return run_of(*((every * at, "stop", at) for at in range(1, count)), (every * count, "finish"), stops=count)


# -- the script ------------------------------------------------------------------------------------------------


def test_stops_cover_the_talk_once_and_in_order(walk: Walk) -> None:
    stops = stops_of(walk)
    assert [stop.first for stop in stops[1:]] == [stop.last for stop in stops[:-1]]
    assert (stops[0].first, stops[-1].last) == (0, len(walk.talk.words))
    assert sorted({stop.state for stop in stops}) == list(range(len(walk.steps) + 1))


def test_marks_come_with_their_move_or_at_their_word(walk: Walk) -> None:
    stops = stops_of(walk)
    shown = [([mark.shape for mark in stop.marks], stop.state) for stop in stops if stop.marks]
    words = walk.talk.words
    assert [shapes for shapes, _ in shown] == [["ring"], ["ring", "path"], ["dot"]]
    later = next(stop for stop in stops if len(stop.marks) == 2)
    assert words[later.first].text == "and" and words[later.first + 1].text == "the"


def test_the_plan_adds_up(walk: Walk) -> None:
    script = script_of(walk, 120)
    estimate = spoken_talk(walk.talk, 120).words[-1].end
    assert sum(script.seconds) == pytest.approx(estimate)
    assert sum(part.seconds for part in script.parts) == pytest.approx(estimate)
    assert script.parts[0].first == 0
    assert [script.part_of(part.first) for part in script.parts] == list(range(len(script.parts)))
    assert script_of(walk, 240).length == pytest.approx(script.length / 2, rel=0.01)


# -- scenes ----------------------------------------------------------------------------------------------------


def test_next_goes_through_the_whole_walk_and_back_returns(walk: Walk) -> None:
    script = script_of(walk)
    scene = opened(script)
    for stop in script.stops[1:]:
        scene = after(scene, script, PressKey("next"))
        assert board_of(scene, script).fen() == walk.nodes[walk.node_after(stop.state)].fen
    assert after(scene, script, PressKey("next")) is scene, "the end"
    for _ in script.stops:
        scene = after(scene, script, PressKey("back"))
    assert scene == opened(script)


@settings(deadline=None, max_examples=60)
@given(data=st.data())
def test_an_aside_comes_back_to_the_walk_exactly(walk: Walk, data: st.DataObject) -> None:
    script = script_of(walk)
    at = data.draw(st.integers(0, len(script.stops) - 1))
    before = after(opened(script), script, GoToStop(at))
    scene = after(before, script, PressKey("aside"))
    for _ in range(data.draw(st.integers(0, 6))):
        moves = [move.uci() for move in board_of(scene, script).legal_moves]
        act = data.draw(
            st.sampled_from(
                [PressKey("wipe"), PressKey("back"), DrawMarks((DrawnMark("dot", ("e4",)),))]
                + [PlayMove(uci) for uci in moves[:3]]
            )
        )
        scene = after(scene, script, act)
        assert scene.at == at
        assert board_of(scene, script).is_valid()
    assert after(scene, script, PressKey(data.draw(st.sampled_from(["aside", "next"])))) == before


def test_the_walk_s_own_move_by_hand_goes_on_with_the_walk(walk: Walk) -> None:
    script = script_of(walk)
    scene = after(opened(script), script, PlayMove("e2e4"))
    assert (scene.at, scene.aside) == (1, None)
    scene = after(scene, script, PlayMove("c7c5"))
    assert (scene.at, scene.aside) == (1, ("c7c5",))
    assert moves_shown(scene, script) == "1.e4 (1...c5)"


@pytest.mark.parametrize(
    "act",
    [
        PlayMove("e2e5"),
        PlayMove("<b>"),
        DrawMarks((DrawnMark("ring", ("z9",)),)),
        DrawMarks((DrawnMark("path", ("e4",)),)),
        DrawMarks((DrawnMark("star", ("e4",)),)),
    ],
)
def test_an_act_that_is_none_is_refused(walk: Walk, act: StageAct) -> None:
    script = script_of(walk)
    with pytest.raises(UnusableInput):
        after(opened(script), script, act)


def test_the_ear_moves_the_board_only_ahead(walk: Walk) -> None:
    script = script_of(walk)
    board = chess.Board()
    for san in ("e4", "e5", "Nf3"):
        board.push_san(san)
    scene = after(opened(script), script, HearPosition(board.fen()))
    assert board_of(scene, script).fen() == board.fen()
    ahead = after(scene, script, PressKey("next"))
    assert after(ahead, script, HearPosition(board.fen())) is ahead, "keys overrule the ear"
    aside = after(scene, script, PressKey("aside"))
    board.push_san("Nc6")
    assert after(aside, script, HearPosition(board.fen())) is aside
    paused = after(scene, script, PressKey("pause"))
    assert after(paused, script, HearPosition(board.fen())) is paused


@pytest.mark.parametrize(
    ("at", "phrase", "reached"),
    [
        (0, "so we begin with e4 e5 knight f3", 3),
        (0, "we begin with e four", 1),
        (0, "we begin with d four", 0),
        (3, "and night c6", 4),
        (3, "nothing of that", 3),
        (6, "bishop c five answers it", 7),
        (7, "bishop c five answers it", 7),
    ],
)
def test_a_phrase_is_followed_by_the_script_s_words(walk: Walk, at: int, phrase: str, reached: int) -> None:
    assert follow_phrase(script_of(walk), at, phrase)[0] == reached


def test_a_return_is_followed(walk: Walk) -> None:
    script = script_of(walk)
    back = next(
        i for i, stop in enumerate(script.stops) if stop.state and isinstance(walk.steps[stop.state - 1], ReturnStep)
    )
    assert follow_phrase(script, back - 1, "Now instead of that bishop move before")[0] == back - 1
    assert follow_phrase(script, back - 1, "instead of the bishop move before")[0] == back


# -- the log -----------------------------------------------------------------------------------------------


def test_a_run_is_written_and_read_again(tmp_path: Path) -> None:
    talk = tmp_path / "short.md"
    path = run_path(talk)
    log = RunLog(path, talk="short.md", stops=3)
    times = [log.write("stop", at=1, by="keys"), log.write("clap"), log.write("finish")]
    log.close()
    run = read_run(path)
    assert [(entry.t, entry.do) for entry in run.entries[1:]] == list(
        zip(times, ["stop", "clap", "finish"], strict=True)
    )
    assert (run.stops, run.clap, run.torn) == (3, times[1], 0)
    assert runs_of(talk) == (path,)
    assert Run("", (RunEntry(1.0, "start", {}), RunEntry(2.0, "clap", {"late": 0.25}))).clap == 2.25
    assert run_path(talk) != path or time.strftime("%M") not in path.name
    with pytest.raises(OSError):
        RunLog(path)


def test_what_is_written_outlives_a_crash(tmp_path: Path) -> None:
    """A process killed in the middle leaves all lines written before; a torn last line is left out."""
    path = tmp_path / "a.run.jsonl"
    code = (
        "import os, signal, sys; from pathlib import Path; from linewright.stage.runs import RunLog\n"
        "log = RunLog(Path(sys.argv[1]), stops=9)\n"
        "for at in range(1, 6): log.write('stop', at=at)\n"
        "os.kill(os.getpid(), signal.SIGKILL)"
    )
    killed = subprocess.run([sys.executable, "-c", code, path], check=False)
    assert killed.returncode == -9
    with path.open("ab") as file:
        file.write(b'{"t":9.1,"do":"st')
    run = read_run(path)
    assert [entry.values["at"] for entry in run.entries if entry.do == "stop"] == [1, 2, 3, 4, 5]
    assert run.torn == 1


@pytest.mark.parametrize("content", [b"", b"hello", b"[1]\n", b'{"t": 1, "do": "stop"}\n', b"\xff\xfe", b"[" * 100_000])
def test_a_file_that_is_no_run_is_refused(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "a.run.jsonl"
    path.write_bytes(content)
    with pytest.raises(UnusableInput):
        read_run(path)


# -- times ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("rows", "expected"),
    [
        ([(1, "stop", 1), (2, "stop", 2)], (0, 1, 2, None)),
        # A slip of the finger: gone on too soon, back at once.
        ([(5, "stop", 1), (9, "stop", 2), (9.5, "stop", 1), (12, "stop", 2)], (0, 5, 12, None)),
        # Told again: the last telling counts.
        ([(5, "stop", 1), (9, "stop", 2), (20, "stop", 1), (25, "stop", 2)], (0, 20, 25, None)),
        # Jumped over.
        ([(5, "stop", 1), (9, "stop", 3)], (0, 5, None, 9)),
        ([(5, "stop", 7)], (0, None, None, None)),
    ],
)
def test_arrivals(rows: list[Any], expected: tuple[float | None, ...]) -> None:
    assert arrivals(run_of(*rows), 4) == expected


def test_a_run_gives_the_words_their_times(walk: Walk) -> None:
    spoken = time_walk(walk, straight(walk), offset=3.0)
    assert spoken.talk.unit is Unit.SECONDS
    assert [word.text for word in spoken.talk.words] == [word.text for word in walk.talk.words]
    for at, stop in enumerate(stops_of(walk)):
        if stop.last > stop.first:
            assert spoken.talk.words[stop.first].start == pytest.approx(3.0 + 5 * at)
            assert spoken.talk.words[stop.last - 1].end <= 3.0 + 5 * (at + 1) + 1e-9


@settings(deadline=None, max_examples=80)
@given(
    st.lists(
        st.tuples(
            st.floats(0.01, 30), st.sampled_from("stop stop stop pause on aside walk clap".split()), st.integers(0, 14)
        ),
        max_size=40,
    )
)
def test_times_always_rise(walk: Walk, rows: list[tuple[float, str, int]]) -> None:
    """Whatever happened on the stage, words follow each other, inside the run, and captions can be made of them."""
    now, made = 0.0, []
    for far, do, at in rows:
        now += far
        made.append((now, do, at))
    run = run_of(*made)
    spoken = time_walk(walk, run)
    words = spoken.talk.words
    assert all(word.start <= word.end for word in words)
    assert all(a.end <= b.start for a, b in pairwise(words))
    for step in spoken.steps:
        assert step.said.words == "" or words[step.said.first].start == step.said.start
    assert spoken.nodes[-1].fen == walk.nodes[-1].fen
    if words:
        assert correct_captions(spoken) is not None


def test_words_stand_still_in_pauses_and_asides(walk: Walk) -> None:
    count = len(stops_of(walk))
    rows = [(2.0 * at, "stop", at) for at in range(1, 5)]
    rest = [(100.0 + 2 * at, "stop", at) for at in range(5, count)]
    run = run_of(*rows, (12.0, "pause"), (60.0, "on"), (61.0, "aside"), (99.0, "walk"), *rest, (200.0, "finish"))
    words = time_walk(walk, run).talk.words
    here = stops_of(walk)[4]
    for word in words[here.first : here.last]:
        assert not 12.0 < word.start < 60.0
        assert not 61.0 < word.start < 99.0


def test_skipped_words_are_left_out(walk: Walk) -> None:
    count = len(stops_of(walk))
    run = run_of((10.0, "stop", 5), (20.0, "stop", count - 1), (30.0, "finish"))
    spoken = time_walk(walk, run)
    stops = stops_of(walk)
    told = [*range(stops[0].first, stops[0].last), *range(stops[5].first, stops[5].last)]
    told += range(stops[-1].first, stops[-1].last)
    assert [word.text for word in spoken.talk.words] == [walk.talk.words[i].text for i in told]
    assert len(spoken.steps) == len(walk.steps), "moves that were skipped stay in the tree"


def test_marks_drawn_live_are_kept_at_their_words(walk: Walk) -> None:
    plain = straight(walk)
    more = (
        RunEntry(21.0, "mark", {"marks": [["ring", "e5"], ["dot", "d4"]]}),  # the ring was prepared
        RunEntry(22.0, "aside", {}),
        RunEntry(22.5, "mark", {"marks": [["cross", "a1"]]}),
        RunEntry(23.0, "walk", {}),
        RunEntry(24.0, "mark", {"marks": [["ring", "e5"], ["dot", "d4"], ["path", "f3", "e5"]]}),
    )
    run = Run("", tuple(sorted((*plain.entries, *more), key=lambda entry: entry.t)))
    spoken = time_walk(walk, run, offset=2.0)
    new = [mark for mark in spoken.marks if mark not in walk.marks]
    assert [(mark.shape, mark.squares, mark.step) for mark in new] == [("dot", ("d4",), 4), ("path", ("f3", "e5"), 4)]
    words = {word.place: word for word in spoken.talk.words}
    assert words[new[0].place].start <= 23.0 and words[new[1].place].start <= 26.0
    assert [mark for mark in spoken.marks if mark in walk.marks] == list(walk.marks)


def test_another_talk_s_run_is_refused(walk: Walk) -> None:
    with pytest.raises(UnusableInput, match="99 steps"):
        time_walk(walk, run_of((1.0, "stop", 1), stops=99))


def test_captions_chapters_and_film_times_come_from_the_log(walk: Walk) -> None:
    spoken = time_walk(walk, straight(walk, every=12.0))
    captions = correct_captions(spoken)
    assert captions is not None
    assert captions.webvtt.startswith("WEBVTT") and "00:00:12" in captions.webvtt
    found = chapters(spoken)
    back = next(i for i, s in enumerate(stops_of(walk)) if s.state and isinstance(walk.steps[s.state - 1], ReturnStep))
    assert [round(chapter.start) for chapter in found[-1:]] == [12 * back], "the sideline begins with the return"


# -- the film of a run ------------------------------------------------------------------------------------------


class Notes:
    """A log in memory, whose clock is set by hand."""

    def __init__(self) -> None:
        self.now = 0.0
        self.entries = [RunEntry(0.0, "start", {})]

    def write(self, do: str, **values: Any) -> float:
        self.entries.append(RunEntry(self.now, do, json.loads(json.dumps(values))))
        return self.now


async def unread(talk: Path, text: str) -> Walk:
    raise UnusableInput("nothing is heard here", "")


def shown(marks: Iterable[BoardMark]) -> list[tuple[str, tuple[str, ...]]]:
    return [(mark.shape, mark.squares) for mark in marks]


@given(data=st.data())
@settings(deadline=None, max_examples=60)
def test_the_film_shows_at_every_moment_what_stood_on_the_stage(walk: Walk, data: st.DataObject) -> None:
    room, log = Room(Path("short.md"), "short.md", "1", script_of(walk)), Notes()
    room.log = log  # type: ignore[assignment]
    marks = [DrawnMark("dot", ("d4",)), DrawnMark("path", ("a1", "h8"))]
    stood = [(0.0, room.scene)]
    for number in range(1, data.draw(st.integers(1, 25)) + 1):
        plays = [PlayMove(move.uci()) for move in list(board_of(room.scene, room.script).legal_moves)[:3]]
        moves = [*plays, DrawMarks(tuple(data.draw(st.lists(st.sampled_from(marks), unique=True))))]
        go = GoToStop(data.draw(st.integers(0, len(room.script.stops))))
        acts = [PressKey(do) for do in ("next", "back", "aside", "wipe", "turn", "pause", "on")]
        log.now = float(number)
        asyncio.run(room.act(data.draw(st.sampled_from([*acts, *moves, *moves, go])), unread))
        stood.append((log.now, room.scene))
    film = replay_run(walk, Run("", tuple(log.entries)), offset=2.0)
    for t, scene in stood:
        seen = [shot.scene for shot in film.shots if shot.start <= t + 2.0][-1]
        assert walk.node_after(seen.state) == room.script.node(scene.at)
        assert (seen.aside, shown(seen.marks)) == (scene.aside or (), shown(scene.marks))
        assert seen.turned == (scene.side != stood[0][1].side)


def test_a_log_that_cannot_have_happened_still_makes_a_film(walk: Walk) -> None:
    odd = [("stop", {"at": 999}), ("play", {"uci": "e2e4"}), ("aside", {}), ("play", {"uci": "e2e5"}), ("play", {})]
    odd += [("mark", {"marks": [["ring", "z9"], ["path", "a1"], ["spiral", "a1"], 3]}), ("play", {"uci": "e2e4"})]
    entries = [RunEntry(0.0, "start", {}), *(RunEntry(float(t), do, values) for t, (do, values) in enumerate(odd, 1))]
    film = replay_run(walk, Run("", tuple(entries)))
    assert [(shot.start, shot.scene.aside, shot.scene.marks) for shot in film.shots] == [
        (0.0, (), ()),
        (7.0, ("e2e4",), ()),
    ]
    assert film.end == 7.0


# -- the rehearsal ---------------------------------------------------------------------------------------------


def test_the_rate_is_learned_from_recorded_talks(walk: Walk) -> None:
    for rate in (90, 140, 200):
        pace = pace_of_talk(spoken_talk(walk.talk, rate))
        assert pace is not None
        assert pace.rate == pytest.approx(rate, rel=0.01)
    assert pace_of_talk(walk.talk) is None, "a typed talk has no times"
    assert learned_rate([]) == RATE
    slow, fast = (pace_of_talk(spoken_talk(walk.talk, rate)) for rate in (100, 150))
    assert slow and fast
    assert learned_rate([slow, fast]) == pytest.approx(120, rel=0.01), "twice the words in all the time"


def test_a_run_s_pace(walk: Walk) -> None:
    script = script_of(walk, 100)
    moments = np.cumsum(script.seconds)
    run = run_of(*((float(t), "stop", at) for at, t in enumerate(moments[:-1], 1)), (float(moments[-1]), "finish"))
    pace = pace_of_run(script, run)
    assert pace is not None
    assert pace.rate == pytest.approx(100, rel=0.02)
    went = report_run(script, run)
    assert {part.verdict for part in went.parts} == {"in time"}
    assert (went.skipped, went.unreached, went.asides) == ((), 0, 0)
    assert went.taken == pytest.approx(went.planned, rel=0.01)


def test_overrun_skipped_and_said_otherwise(walk: Walk) -> None:
    script = script_of(walk)
    moments = [float(t) for t in np.cumsum(script.seconds)]
    rows = [(t * 3, "stop", at) for at, t in enumerate(moments[:-1], 1) if at != 6]
    run = run_of(
        *rows, (moments[-1] * 3 + 1, "aside"), (moments[-1] * 3 + 21, "walk"), (moments[-1] * 3 + 22, "finish")
    )
    heard = spoken_talk(walk.talk, 140)
    stop = next(s for s in script.stops if s.last - s.first >= 10)
    cut = tuple(w for i, w in enumerate(heard.words) if not stop.first <= i < stop.last - 1)
    went = report_run(script, run, type(heard)(**{f: getattr(heard, f) for f in heard.__slots__} | {"words": cut}))
    assert went.parts[0].verdict == "overrun"
    assert [stop for stop, _ in went.skipped] == [6]
    assert (went.asides, went.aside_seconds) == (1, 20.0)
    assert [script.stops[other.stop] for other in went.otherwise] == [stop]


# -- lining up ---------------------------------------------------------------------------------------------

RATE_HZ = 16_000


def spoken(seconds: float, seed: int) -> np.ndarray[Any, Any]:
    """Something like speech: syllables of noise with pauses between phrases, over a room's noise."""
    chance = np.random.default_rng(seed)
    out = chance.normal(0, 0.002, round(seconds * RATE_HZ))
    at = 0.5
    while at < seconds - 1:
        for _ in range(chance.integers(3, 12)):
            if at > seconds - 1:
                break
            long = chance.uniform(0.08, 0.25)
            begin, size = round(at * RATE_HZ), round(long * RATE_HZ)
            piece = chance.normal(0, chance.uniform(0.03, 0.15), size) * np.hanning(size)
            out[begin : begin + size] += piece[: len(out) - begin]
            at += long + chance.uniform(0.02, 0.08)
        at += chance.uniform(0.2, 1.2)
    return out


def clapped(sound: np.ndarray[Any, Any], at: float, seed: int = 1) -> np.ndarray[Any, Any]:
    """A clap: noise that dies away by half in 10 ms, and a room's echo of 0.4 s."""
    chance = np.random.default_rng(seed)
    t = np.arange(round(0.4 * RATE_HZ)) / RATE_HZ
    clap = chance.normal(0, 0.8, len(t)) * np.exp(-t / 0.015) + chance.normal(0, 0.03, len(t)) * np.exp(-t / 0.06)
    out = sound.copy()
    begin = round(at * RATE_HZ)
    out[begin : begin + len(t)] += clap
    return np.clip(out, -1, 1)


@pytest.mark.parametrize("seed", range(8))
@pytest.mark.parametrize("at", [0.8, 7.3])
def test_a_clap_is_heard_to_a_hundredth_of_a_second(at: float, seed: int) -> None:
    sound = spoken(20, seed)
    quiet = slice(round((at - 0.3) * RATE_HZ), round((at + 0.5) * RATE_HZ))
    sound[quiet] *= 0.05  # nobody claps into their own words
    assert clap_in(clapped(sound, at), RATE_HZ) == pytest.approx(at, abs=0.01)


@pytest.mark.parametrize("seed", range(4))
def test_no_clap_no_offset(seed: int) -> None:
    with pytest.raises(UnusableInput, match="no clap"):
        clap_in(spoken(20, seed), RATE_HZ)
    with pytest.raises(UnusableInput):
        clap_in(np.zeros(RATE_HZ), RATE_HZ)
    with pytest.raises(UnusableInput):
        clap_in(np.zeros(0), RATE_HZ)


def test_the_clap_key_and_the_clap_heard(walk: Walk) -> None:
    run = run_of((4.0, "clap"))
    sound = spoken(20, 3)
    sound[round(9.0 * RATE_HZ) : round(10.0 * RATE_HZ)] *= 0.05
    assert by_clap(run, clapped(sound, 9.5), RATE_HZ) == pytest.approx(5.5, abs=0.02)
    with pytest.raises(UnusableInput, match="has no clap"):
        by_clap(run_of(), sound, RATE_HZ)


def noted(sound: np.ndarray[Any, Any], begins: float, seconds: float, late: float = 0.0) -> Run:
    """A run that noted the loudness of a sound from a moment on, as the prompter sends it."""
    part = sound[round(begins * RATE_HZ) : round((begins + seconds) * RATE_HZ)]
    frames = part[: len(part) // 800 * 800].reshape(-1, 800)
    levels = np.sqrt(np.mean(frames**2, axis=1))
    entries = [RunEntry(0.0, "start", {})]
    for at in range(0, len(levels) - 39, 40):
        t = (at + 40) * 0.05 + 2.0 + late
        entries.append(
            RunEntry(t, "loud", {"every": 0.05, "level": [round(float(v), 4) for v in levels[at : at + 40]]})
        )
    return Run("a.run.jsonl", tuple(entries))


@pytest.mark.parametrize("seed", range(6))
def test_loudness_lines_up_to_a_tenth_of_a_second(seed: int) -> None:
    """Another microphone: other noise, other level, an echo; the camera ran 11.37 s before the loudness began."""
    chance = np.random.default_rng(seed)
    sound = spoken(90, seed)
    other = 0.4 * sound + 0.1 * np.roll(sound, round(0.06 * RATE_HZ)) + chance.normal(0, 0.004, len(sound))
    run = noted(sound, 11.37, 60)
    # The run's 2.0 s are the sound's 11.37 s.
    assert by_loudness(run, other, RATE_HZ) == pytest.approx(9.37, abs=0.1)


def test_another_sound_does_not_line_up() -> None:
    with pytest.raises(UnusableInput, match="can't be lined up"):
        by_loudness(noted(spoken(90, 1), 10, 60), spoken(90, 2), RATE_HZ)
    with pytest.raises(UnusableInput, match="noted no loudness"):
        by_loudness(run_of(), spoken(30, 2), RATE_HZ)


@pytest.mark.skipif(shutil.which("flite") is None, reason="needs flite")
def test_real_speech_lines_up_by_loudness(tmp_path: Path) -> None:
    text = " ".join(line for line in LESSON.replace("{ring: e5}", "").splitlines() if "{" not in line)
    path = tmp_path / "said.wav"
    subprocess.run(["flite", "-t", text * 2, "-o", path], check=True)
    said = load_sound(path).samples
    chance = np.random.default_rng(5)
    room = np.concatenate([np.zeros(round(6.2 * RATE_HZ)), said, np.zeros(RATE_HZ)])
    other = 0.3 * room + chance.normal(0, 0.003, len(room))
    assert by_loudness(noted(room, 6.2, len(said) / RATE_HZ - 1), other, RATE_HZ) == pytest.approx(4.2, abs=0.1)


def test_words_line_up(walk: Walk) -> None:
    told = time_walk(walk, straight(walk)).talk
    heard = time_walk(walk, straight(walk), offset=8.25).talk
    cut = type(heard)(**{f: getattr(heard, f) for f in heard.__slots__} | {"words": heard.words[10:]})
    assert by_words(told, cut) == pytest.approx(8.25, abs=0.01)
    with pytest.raises(UnusableInput, match="not this talk"):
        by_words(told, type(heard)(**{f: getattr(heard, f) for f in heard.__slots__} | {"words": heard.words[:3]}))


def test_the_surest_way_is_taken(walk: Walk) -> None:
    plain = straight(walk)
    told, heard = time_walk(walk, plain).talk, time_walk(walk, plain, offset=8.25).talk
    sound = spoken(30, 3)
    sound[: 2 * RATE_HZ] *= 0.05
    with_clap = Run("", (*plain.entries, RunEntry(plain.seconds, "clap", {})))
    offset, way = find_offset(with_clap, clapped(sound, 1.5), RATE_HZ, told, heard)
    assert (offset, way) == (pytest.approx(1.5 - plain.seconds, abs=0.02), "clap")
    offset, way = find_offset(with_clap, sound, RATE_HZ, told, heard)
    assert (offset, way) == (pytest.approx(8.25, abs=0.01), "words"), "no clap is heard"
    with pytest.raises(UnusableInput, match=r"no clap.*no loudness"):
        find_offset(with_clap, sound, RATE_HZ, told)


# -- build -----------------------------------------------------------------------------------------------------


def saved(path: Path, run: Run) -> Path:
    path.write_text(
        "".join(json.dumps({"t": e.t, "do": e.do} | e.values) + "\n" for e in run.entries), encoding="utf-8"
    )
    return path


def write_wave(path: Path, sound: np.ndarray[Any, Any]) -> Path:
    with wave.open(str(path), "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(RATE_HZ)
        file.writeframes((np.clip(sound, -1, 1) * 32767).astype("<i2").tobytes())
    return path


@pytest.mark.parametrize("way", ["clap", "given", "alone"])
def test_build_makes_captions_and_chapters_of_a_run(
    walk: Walk, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, way: str
) -> None:
    monkeypatch.setenv("LINEWRIGHT_HOME", str(tmp_path / "home"))
    talk = tmp_path / "short.md"
    talk.write_text(LESSON, encoding="utf-8")
    plain = straight(walk, every=6.0)
    entries = tuple(sorted((*plain.entries, RunEntry(2.0, "clap", {})), key=lambda entry: entry.t))
    run = saved(tmp_path / "short.2026-11-25-1710.run.jsonl", Run("", entries))
    sound = spoken(plain.seconds + 20, 4)
    sound[round(8.5 * RATE_HZ) : round(9.6 * RATE_HZ)] *= 0.05
    recording = write_wave(tmp_path / "camera.wav", clapped(sound, 9.0))
    more = {
        "clap": ["--recording", str(recording)],
        "given": ["--recording", str(recording), "--run-at", "7"],
        "alone": [],
    }[way]
    out = tmp_path / "out"
    done = CliRunner().invoke(
        app, ["build", str(talk), "-o", str(out), "--only", "captions,chapters", "--run", str(run), *more]
    )
    assert done.exit_code == 0, done.output
    captions = next(out.glob("*.vtt")).read_text(encoding="utf-8")
    offset = 0.0 if way == "alone" else 7.0
    first = next(at for at, stop in enumerate(stops_of(walk)) if stop.state == 1)
    move = walk.steps[0]
    assert isinstance(move, MoveStep)
    chapter_file = next(path for path in out.iterdir() if "chapters" in path.name and path.suffix == ".vtt")
    assert "WEBVTT" in captions and first
    back = next(i for i, s in enumerate(stops_of(walk)) if s.state and isinstance(walk.steps[s.state - 1], ReturnStep))
    second = offset + 6.0 * back
    starts = [line.split(" --> ")[0] for line in chapter_file.read_text().splitlines() if " --> " in line]
    seconds = [sum(float(p) * 60**k for k, p in enumerate(reversed(start.split(":")))) for start in starts]
    assert any(abs(s - second) < 0.1 for s in seconds), (seconds, second)


def test_build_films_what_stood_on_the_stage(walk: Walk, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("LINEWRIGHT_HOME", str(tmp_path / "home"))
    asked: list[Staged] = []

    def filmed(*told: Any) -> bytes:
        asked.append(told[-1])
        return b"a film"

    monkeypatch.setattr("linewright.publish.film.encoding.film_mp4", filmed)
    (talk := tmp_path / "short.md").write_text(LESSON, encoding="utf-8")
    plain = straight(walk, every=6.0)
    more = (RunEntry(7.0, "aside", {}), RunEntry(8.0, "play", {"uci": "c7c5"}), RunEntry(9.0, "walk", {}))
    entries = tuple(sorted((*plain.entries, *more), key=lambda entry: entry.t))
    run = saved(tmp_path / "short.2026-11-25-1710.run.jsonl", Run("", entries))
    asking = ["build", str(talk), "-o", str(tmp_path / "out"), "--only", "film", "--run", str(run)]
    done = CliRunner().invoke(app, asking)
    assert done.exit_code == 0, done.output
    (film,) = asked
    assert [shot.start for shot in film.shots if shot.scene.aside] == [8.0]
    assert film.end == plain.seconds
