"""Dictation: phrases cut out of sound, and a real recording spoken into the real recogniser."""

from __future__ import annotations

import importlib.util
import json
import os
import wave
from pathlib import Path
from typing import Any

import chess
import numpy as np
import pytest
from websockets.sync.client import connect

from linewright.desk.routes.dictation import samples_of
from linewright.desk.views.phrase_correction import corrected_phrase
from linewright.desk.views.phrases import FRAME, QUIET, RATE, SHORTEST, Phrases
from linewright.games.api import GamesBase
from linewright.hear.models import NEEDED, VARIABLE
from linewright.hear.whisper import without_echo
from linewright.support.paths import home
from tests.browsing import PATIENCE, launched, needs_chromium, until
from tests.desk.support import Running, running
from tests.support import TALKS, needs_shared

MODEL = Path(os.environ.get(VARIABLE) or home() / "model").resolve()
needs_model = pytest.mark.skipif(
    not importlib.util.find_spec("faster_whisper") or not all((MODEL / name).is_file() for name in NEEDED),
    reason=f"needs the extra and a speech model: sh ../shared/talks/get-model.sh DIR; {VARIABLE}=DIR",
)

#: Milliseconds of sound (True) and quiet in turn.
Pattern = list[tuple[bool, int]]


def sound(pattern: Pattern, room: float, voice: float) -> np.ndarray[Any, np.dtype[np.float32]]:
    """A voice (noise of that loudness) and pauses in a room with a noise of its own."""
    chance = np.random.default_rng(5)
    parts = [chance.normal(0, voice if loud else room, ms * RATE // 1000) for loud, ms in pattern]
    return np.concatenate(parts).astype(np.float32)


@pytest.mark.parametrize(
    ("pattern", "count"),
    [
        ([(False, 500), (True, 900), (False, 600)], 1),
        ([(False, 500), (True, 900), (False, 600), (True, 400), (False, 600)], 2),
        ([(False, 500), (True, 400), (False, 120), (True, 400), (False, 600)], 1),
        ([(False, 500), (True, 60), (False, 900)], 0),
        ([(False, 3000)], 0),
        ([(False, 300), (True, 15_000), (False, 600)], 2),
    ],
    ids=["one", "two", "pause of a word", "a click", "nobody", "too long is cut"],
)
@pytest.mark.parametrize(("room", "voice"), [(0.0003, 0.02), (0.002, 0.1), (0.01, 0.2)])
@pytest.mark.parametrize("piece", [FRAME, 1280, 16_000])
def test_phrases_are_cut_by_pauses(pattern: Pattern, count: int, room: float, voice: float, piece: int) -> None:
    samples = sound(pattern, room, voice)
    phrases = Phrases()
    found = [phrase for at in range(0, len(samples), piece) for phrase in phrases.take(samples[at : at + piece])]
    assert len(found) == count
    assert not phrases.speaking or phrases.end() is None or count == 0


def test_a_phrase_holds_its_words_whole() -> None:
    samples = sound([(False, 500), (True, 900), (False, 600)], 0.001, 0.1)
    phrase = Phrases().take(samples)[0]
    spoken = samples[int(0.5 * RATE) : int(1.4 * RATE)]
    assert any(np.array_equal(phrase[at : at + len(spoken)], spoken) for at in range(len(phrase) - len(spoken) + 1))
    assert len(phrase) / RATE < 0.9 + 2 * QUIET / 1000 + 0.1


def test_what_is_said_last_is_not_lost_when_the_sound_ends() -> None:
    phrases = Phrases()
    assert phrases.take(sound([(False, 300), (True, SHORTEST + 300)], 0.001, 0.1)) == []
    assert phrases.end() is not None
    assert phrases.end() is None


def test_samples_are_numbers_and_half_ones_are_left_out() -> None:
    assert samples_of(b"\x00\x80\xff\x7f\x01").tolist() == pytest.approx([-1.0, 1.0], abs=1e-4)


@pytest.mark.parametrize(
    ("text", "seconds", "left"),
    [("e4, e4,", 0.8, "e4"), ("takes, takes", 1.4, "takes, takes"), ("e4, e4", 0.5, "e4"), ("e4, e5", 0.5, "e4, e5")],
)
def test_echoes_of_short_sounds_are_taken_away(text: str, seconds: float, left: str) -> None:
    assert without_echo(text, seconds).strip(",") == left


def recording(first: float, last: float) -> np.ndarray[Any, np.dtype[np.int16]]:
    from linewright.hear.recording import load_sound

    part = load_sound(TALKS / "panov.clear.ogg").samples[round(first * RATE) : round(last * RATE)]
    return (np.clip(part, -1, 1) * 32767).astype("<i2")


SAID = "We begin with E4, e6, d four, d five, and night d2, c five, takes, takes."
MEANT = "We begin with e4, e6, d4, d5, and knight d2, c5, takes, takes."


@pytest.mark.parametrize(
    ("heard", "meant"),
    [
        (SAID, MEANT),
        ("This is what the old masters played, and I like it.", "This is what the old masters played, and I like it."),
        ("He looks at it for a while, free of doubt.", "He looks at it for a while, free of doubt."),
        ("{start: 8/8/8/8/8/8/8/8 w - - 0 1} {", "{start: 8/8/8/8/8/8/8/8 w - - 0 1} {"),
        ("", ""),
    ],
)
def test_a_phrase_is_corrected_as_captions_are(heard: str, meant: str, base: Path) -> None:
    with GamesBase.open(base) as games:
        assert corrected_phrase(heard, chess.STARTING_FEN, games) == meant


def test_a_page_has_its_phrase_corrected(tmp_path: Path, base: Path) -> None:
    (tmp_path / "talks").mkdir()
    with running(tmp_path / "talks", tmp_path / "home", base) as desk, desk.page("new.md") as live:
        live.send(do="correct", number=3, words=SAID, fen=chess.STARTING_FEN)
        told = live.hear("corrected")
        assert (told["number"], told["words"]) == (3, MEANT)
        live.send(do="correct", number=4, words="e4", fen="no board at all")
        assert "not a valid FEN" in live.hear("trouble")["why"]


@needs_model
@needs_shared
@pytest.mark.filterwarnings("default")
def test_a_recording_spoken_into_the_socket_comes_back_as_words(tmp_path: Path) -> None:
    (tmp_path / "talks").mkdir()
    with running(tmp_path / "talks", tmp_path / "home", model=str(MODEL)) as desk:
        address = f"ws://127.0.0.1:{desk.port}/dictate?about=Caro-Kann"
        with connect(address, origin=desk.root, additional_headers={"cookie": desk.cookie}) as socket:  # type: ignore[arg-type]
            assert json.loads(socket.recv(timeout=PATIENCE))["what"] == "ready"
            said = recording(14.0, 26.5)
            for at in range(0, len(said), 1280):
                socket.send(said[at : at + 1280].tobytes())
            socket.send('{"do": "end"}')
            texts = []
            while (message := json.loads(socket.recv(timeout=PATIENCE)))["what"] != "ended":
                texts += [message["text"]] if message["what"] == "phrase" else []
    words = " ".join(texts).lower()
    assert len(texts) >= 5 and all(move in words for move in ("e4", "c6", "d4", "d5"))


@needs_model
@needs_shared
@pytest.mark.filterwarnings("default")
def test_a_recording_dropped_on_the_desk_is_written_down(tmp_path: Path) -> None:
    (tmp_path / "talks").mkdir()
    (tmp_path / "talks" / "other.md").write_text("# Other\n", encoding="utf-8")
    write_wave(tmp_path / "said.wav", recording(14.0, 24.0).tobytes())
    with running(tmp_path / "talks", tmp_path / "home", model=str(MODEL)) as desk, desk.page("other.md") as live:
        live.hear("hello")
        with desk.client() as client:
            kept = client.post("/upload?name=said.wav", content=(tmp_path / "said.wav").read_bytes()).json()
            client.post("/hear", json={"recording": kept["name"], "about": "Caro-Kann"})
        job = live.hear("job", 60)
        while job["state"] == "running":
            job = live.hear("job", 90)
        assert job["state"] == "done" and job["captions"] == "said.vtt", job
        assert "-->" in (tmp_path / "talks" / "said.vtt").read_text(encoding="utf-8")


def write_wave(path: Path, samples: bytes) -> None:
    with wave.open(str(path), "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(RATE)
        file.writeframes(samples)


@needs_model
@needs_shared
@needs_chromium
@pytest.mark.filterwarnings("default")
def test_speaking_moves_the_board(tmp_path: Path) -> None:
    """Chromium with a recording for its microphone: words are written, and the board moves as they are said."""
    (tmp_path / "talks").mkdir()
    (tmp_path / "talks" / "spoken.md").write_text("# Spoken\n\n", encoding="utf-8")
    write_wave(tmp_path / "said.wav", recording(16.9, 25.5).tobytes() + b"\0\0" * RATE * 60)
    flags = [
        "--use-fake-device-for-media-stream",
        "--use-fake-ui-for-media-stream",
        f"--use-file-for-fake-audio-capture={tmp_path / 'said.wav'}",
    ]
    with running(tmp_path / "talks", tmp_path / "home", model=str(MODEL)) as desk, launched(*flags) as browser:
        spoken(browser.new_page(), desk)


#: What the board shows after 1.e4 c6 2.d4 d5.
TOLD = "rnbqkbnr/pp2pppp/2p5/3p4/3PP3"


def spoken(page: Any, desk: Running) -> None:
    """Dictate until the board shows the moves that are said."""
    page.goto(desk.door)
    page.goto(desk.root + "/talk/spoken.md")
    page.focus("#text")
    page.keyboard.press("Control+End")
    page.click("#dictate")
    until(page, lambda: page.eval_on_selector("lw-board", "board => board.fen").startswith(TOLD), "it is not told")
    page.click("#dictate")
    until(page, lambda: page.get_attribute("#dictate", "aria-pressed") == "false", "the dictation does not end")
