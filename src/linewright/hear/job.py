"""The whole job: a recording's sound to captions and words on the disk."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from linewright import __version__
from linewright.hear.caption_cutting import cut
from linewright.hear.caption_files import check_targets, webvtt, words_json, words_path, write
from linewright.hear.heard_words import Progress, Recogniser, hear
from linewright.hear.recording import Sound, clock
from linewright.support.errors import UnusableInput


@dataclass(frozen=True, slots=True)
class Written:
    """What was written: the files, and how many words and cues they hold."""

    captions: Path
    words_file: Path
    words: int
    cues: int


def transcribe(
    sound: Sound,
    recogniser: Recogniser,
    prompt: str,
    recording: Path,
    captions: Path,
    force: bool = False,
    progress: Progress | None = None,
) -> Written:
    """Hear a recording's sound and write the captions, and the words beside them.

    :param prompt: what the recogniser is given beforehand.
    :param force: write over files that Linewright did not write, or that were edited since.
    :raises UnusableInput: when no word is heard, or the files can't be written. Nothing has been written then.
    """
    words = hear(sound, recogniser, prompt, progress)
    if not words:
        raise UnusableInput(
            f"{recording}: not one word in {clock(sound.seconds)} of sound", "Check that the microphone was on."
        )
    cues = cut(words)
    by = f"heard by Linewright {__version__} in {recording.name}, model {recogniser.name}"
    check_targets(captions, recording, force)
    target = words_path(captions)
    write([(target, words_json(words, by)), (captions, webvtt(cues, by))])
    return Written(captions, target, len(words), len(cues))
