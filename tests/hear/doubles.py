"""A recogniser that follows a script, and words to speak."""

from __future__ import annotations

import math
import wave
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np

from linewright.hear.heard_words import HeardStretch, HeardWord
from linewright.hear.recording import RATE, Sound


@dataclass
class Scripted:
    """Gives the stretches of its script; an exception in the script is raised in its place."""

    script: Sequence[HeardStretch | BaseException]
    name: str = "a script"
    told: list[str] = field(default_factory=list)

    def stretches(self, sound: Sound, prompt: str) -> Iterator[HeardStretch]:
        self.told.append(prompt)
        for step in self.script:
            if isinstance(step, BaseException):
                raise step
            yield step


def said(text: str, start: float = 0.0, each: float = 0.3, gap: float = 0.1, p: float = 0.9) -> list[HeardWord]:
    """The words of a text, each ``each`` seconds long, ``gap`` seconds apart, as a recogniser gives them."""
    return [
        HeardWord(f" {word}", start + i * (each + gap), start + i * (each + gap) + each, p)
        for i, word in enumerate(text.split())
    ]


def silence(seconds: float) -> Sound:
    return Sound(np.zeros(round(seconds * RATE), dtype=np.float32))


def write_wav(path: Path, seconds: float, rate: int = 8000, channels: int = 1) -> Path:
    """A recording of a tone."""
    tone = [round(9000 * math.sin(2 * math.pi * 440 * i / rate)) for i in range(round(seconds * rate))]
    samples = np.repeat(np.array(tone, dtype="<i2"), channels)
    with wave.open(str(path), "wb") as file:
        file.setnchannels(channels)
        file.setsampwidth(2)
        file.setframerate(rate)
        file.writeframes(samples.tobytes())
    return path
