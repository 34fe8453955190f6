"""The real recogniser on half a minute of a real recording; needs the extra, a model and ../shared/talks.

The model: ``sh ../shared/talks/get-model.sh DIR`` and ``LINEWRIGHT_MODEL=DIR``, or in Linewright's own folder.
"""

from __future__ import annotations

import difflib
import importlib.util
import json
import os
import wave
from pathlib import Path

import chess
import pytest
from typer.testing import CliRunner

from linewright.cli.main import app
from linewright.hear.models import NEEDED, VARIABLE
from linewright.support.errors import UnusableInput
from linewright.support.paths import home
from tests.hear.w3c import complaints
from tests.support import TALKS, needs_shared

MODEL = Path(os.environ.get(VARIABLE) or home() / "model").resolve()

needs_extra = pytest.mark.skipif(
    not importlib.util.find_spec("faster_whisper"), reason="needs the extra: pip install '.[hear]'"
)
needs_model = pytest.mark.skipif(
    not all((MODEL / name).is_file() for name in NEEDED),
    reason=f"needs a speech model: sh ../shared/talks/get-model.sh DIR; {VARIABLE}=DIR",
)
#: The libraries' own warnings are theirs to mend.
pytestmark = pytest.mark.filterwarnings("default")

#: Seconds of the open Panov talk in which the opening is named and the first moves are told, from pause to pause.
FIRST, LAST = 6.6, 30.0


@needs_extra
@needs_model
@needs_shared
def test_moves_of_a_real_recording_are_heard(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from linewright.hear.recording import RATE, load_sound

    monkeypatch.setenv("LINEWRIGHT_HOME", str(tmp_path / "home"))
    sound = load_sound(TALKS / "panov.clear.ogg")
    part = (sound.samples[round(FIRST * RATE) : round(LAST * RATE)] * 32767).astype("<i2")
    with wave.open(str(tmp_path / "part.wav"), "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(RATE)
        file.writeframes(part.tobytes())

    heard = CliRunner().invoke(app, ["hear", str(tmp_path / "part.wav"), "--model", str(MODEL), "--about", "Caro-Kann"])
    assert heard.exit_code == 0, heard.output

    assert complaints((tmp_path / "part.vtt").read_text()) == []
    words = json.loads((tmp_path / "part.words.json").read_text())["words"]
    assert all(0 <= w["start"] <= w["end"] <= LAST - FIRST and 0 <= w["p"] <= 1 for w in words)
    # "So, e4, he plays c6, we put the second pawn up, d4, and d5. Now most of you push on to e5": panov.txt there.
    # Processors differ in how they round, so one square may be misheard.
    said = [w["word"].strip(",.").lower() for w in words]
    squares = [word for word in said if word in chess.SQUARE_NAMES]
    assert len(aligned(squares, ["e4", "c6", "d4", "d5", "e5"])) >= 4
    # A word's time is where it is said: within half a second of what a recogniser without priming heard.
    known = json.loads((TALKS / "panov.clear.words.json").read_text())["words"]
    there = next(w for w in known if w["word"].strip(",.").lower() == "second" and w["start"] > 15)
    again = [w for w in words if w["word"] == "second"][-1]
    assert again["start"] == pytest.approx(there["start"] - FIRST, abs=0.5)

    reading = json.loads(CliRunner().invoke(app, ["read", str(tmp_path / "part.vtt"), "--json"]).stdout)
    assert [move["san"] for move in reading["moves"]][:2] == ["e4", "c6"]


def aligned(said: list[str], true: list[str]) -> list[str]:
    """The true words that were said, in order."""
    blocks = difflib.SequenceMatcher(None, true, said, autojunk=False).get_matching_blocks()
    return [true[b.a + i] for b in blocks for i in range(b.size)]


@needs_extra
@needs_model
def test_the_tokenizer_spells_takes_as_the_model_does() -> None:
    import tokenizers

    from linewright.hear.whisper import _corrected

    tokenizer = _corrected(MODEL, tokenizers.Tokenizer.from_file(str(MODEL / "tokenizer.json")))
    assert tokenizer.encode(" takes, takes", add_special_tokens=False).tokens == ["Ġtakes", ",", "Ġtakes"]
    assert tokenizer.decode(tokenizer.encode(" knight takes e5", add_special_tokens=False).ids) == " knight takes e5"


@needs_extra
def test_a_folder_without_a_real_model_is_refused(tmp_path: Path) -> None:
    from linewright.hear.whisper import Whisper

    for name in NEEDED:
        (tmp_path / name).write_text("{}")
    with pytest.raises(UnusableInput, match="can't be loaded") as caught:
        Whisper(tmp_path)
    assert "\n" not in str(caught.value)
