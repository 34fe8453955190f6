"""``linewright hear`` as users meet it, with a scripted recogniser."""

from __future__ import annotations

import io
import json
import sys
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

import pytest
from rich.console import Console
from typer.testing import CliRunner, Result

from linewright.cli import hear as cli_hear
from linewright.cli.main import app
from linewright.hear.heard_words import HeardStretch
from linewright.workflow import hear_recording as hearing
from tests.hear.doubles import Scripted, said, write_wav
from tests.hear.w3c import complaints

TALK = "So, e4, e5, knight f3, knight c6, bishop b5. That is the Spanish."


@pytest.fixture(autouse=True)
def own_place(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    monkeypatch.setenv("LINEWRIGHT_HOME", str(tmp_path / "home"))
    monkeypatch.delenv("LINEWRIGHT_MODEL", raising=False)
    monkeypatch.chdir(tmp_path)
    yield


@pytest.fixture
def recording(tmp_path: Path) -> Path:
    pytest.importorskip("av", reason="needs the extra: pip install '.[hear]'")
    return write_wav(tmp_path / "talk.wav", 6)


def script(monkeypatch: pytest.MonkeyPatch, steps: Sequence[HeardStretch | BaseException] = ()) -> Scripted:
    """Put a scripted recogniser in place of the model."""
    double = Scripted(steps or [HeardStretch(tuple(said(TALK)), 6)])
    monkeypatch.setattr(hearing, "model_folder", lambda *_: Path("model"))
    monkeypatch.setattr(hearing, "Whisper", lambda *_: double)
    return double


def run(*words: object) -> Result:
    return CliRunner().invoke(app, [str(w) for w in words])


def refused(result: Result) -> str:
    assert result.exit_code == 2, result.output
    lines = result.stderr.splitlines()
    assert len(lines) == 1, result.stderr
    return lines[0]


def files(folder: Path) -> set[str]:
    return {p.name for p in folder.iterdir()}


def test_it_writes_captions_and_words_that_read_takes(recording: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    script(monkeypatch)
    result = run("hear", recording, "-o", "spoken.vtt")
    assert result.exit_code == 0, result.output
    assert "spoken.vtt: 13 words in" in result.stdout
    assert complaints(Path("spoken.vtt").read_text()) == []
    for name in ("spoken.vtt", "spoken.words.json"):
        reading = json.loads(run("read", name, "--json").stdout)
        assert [move["san"] for move in reading["moves"]] == ["e4", "e5", "Nf3", "Nc6", "Bb5"]
        assert reading["unit"] == "s"
    assert files(recording.parent) == {"talk.wav", "spoken.vtt", "spoken.words.json"}


def test_captions_lie_beside_the_recording_unless_told(recording: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    script(monkeypatch)
    assert run("hear", recording).exit_code == 0
    assert files(recording.parent) == {"talk.wav", "talk.vtt", "talk.words.json"}
    assert run("hear", recording).exit_code == 0  # its own files


def test_edited_captions_are_kept(recording: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    double = script(monkeypatch)
    run("hear", recording)
    captions = recording.with_suffix(".vtt")
    captions.write_text(captions.read_text().replace("Spanish", "Ruy López"))
    assert "talk.vtt" in refused(run("hear", recording))
    assert len(double.told) == 1  # told before the long work
    assert "Ruy López" in captions.read_text()
    assert run("hear", recording, "--force").exit_code == 0
    assert "Ruy López" not in captions.read_text()


def test_it_is_told_chess_and_the_opening(recording: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    double = script(monkeypatch)
    run("hear", recording)
    run("hear", recording, "--about", "caro-kann")
    plain, about = double.told
    assert "bishop b5" in plain and "Caro-Kann" not in plain
    assert "Caro-Kann" in about and about.endswith(plain)


def test_an_unknown_opening_is_told_before_the_work(recording: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    double = script(monkeypatch)
    assert "Caro-Kann" in refused(run("hear", recording, "--about", "Carokan"))
    assert double.told == []


def test_ctrl_c_leaves_nothing(recording: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    script(monkeypatch, [HeardStretch(tuple(said("So e4")), 2), KeyboardInterrupt()])
    result = run("hear", recording)
    assert result.exit_code == 130
    assert result.stderr == "linewright: stopped, nothing was written\n"
    assert files(recording.parent) == {"talk.wav"}


def test_a_bar_runs_over_the_recordings_seconds(recording: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    screen = io.StringIO()
    monkeypatch.setattr(
        cli_hear, "Console", lambda **_: Console(file=screen, force_terminal=True, width=80, color_system=None)
    )
    script(monkeypatch, [HeardStretch(tuple(said(TALK)), 4), HeardStretch((), 6)])
    assert run("hear", recording).exit_code == 0
    assert "hearing" in screen.getvalue() and "0:06 of 0:06" in screen.getvalue()


def test_silence_is_told_and_writes_nothing(recording: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    script(monkeypatch, [HeardStretch((), 6)])
    assert "not one word in 0:06" in refused(run("hear", recording))
    assert files(recording.parent) == {"talk.wav"}


def test_a_cut_recording_is_heard_and_ends_with_1(recording: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    recording.write_bytes(recording.read_bytes()[:48000])
    script(monkeypatch)
    result = run("hear", recording)
    assert result.exit_code == 1
    assert result.stderr == f"linewright: {recording}: it was cut: 0:03 of 0:06 are there\n"
    assert "talk.vtt" in files(recording.parent)


def test_unusable_input_is_told_in_one_line(recording: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    script(monkeypatch)
    (tmp_path / "empty.mp3").write_bytes(b"")
    (tmp_path / "talk.md").write_text("# A talk\n\ne4\n")
    assert "no such file" in refused(run("hear", "none.wav"))
    assert "folder" in refused(run("hear", tmp_path))
    assert "folder" in refused(run("hear", "."))
    assert "WebVTT" in refused(run("hear", recording, "-o", "."))
    assert "empty" in refused(run("hear", "empty.mp3"))
    assert "wav, mp3" in refused(run("hear", "talk.md"))
    assert "WebVTT" in refused(run("hear", recording, "-o", "talk.srt"))
    assert "no such folder" in refused(run("hear", recording, "-o", "none/talk.vtt"))
    assert "games base" in refused(run("hear", recording, "--about", "Slav", "--base", "none.duckdb"))


def test_without_a_model_it_says_how_to_get_one(recording: Path) -> None:
    pytest.importorskip("faster_whisper", reason="needs the extra: pip install '.[hear]'")
    message = refused(run("hear", recording))
    assert "no speech model" in message and "--download" in message and "--model DIR" in message


@pytest.mark.parametrize("module", ["av", "faster_whisper"])
def test_without_the_extra_it_says_how_to_get_it(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, module: str) -> None:
    recording = write_wav(tmp_path / "talk.wav", 1)
    if module == "faster_whisper":
        pytest.importorskip("av", reason="needs the extra: pip install '.[hear]'")
    hidden: Any = None
    monkeypatch.setitem(sys.modules, module, hidden)  # what Python takes for "there is none"
    assert "pip install 'linewright[hear]'" in refused(run("hear", recording, "--model", "base"))


def test_help_has_an_example() -> None:
    result = run("hear", "--help")
    assert result.exit_code == 0
    assert "linewright hear lesson.m4a -o lesson.vtt" in " ".join(result.stdout.split())
