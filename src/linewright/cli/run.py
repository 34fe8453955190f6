"""The ``--run`` of ``build``: a walk with the times of a run of the stage, lined up with its recording."""

from __future__ import annotations

from contextlib import suppress
from pathlib import Path

from linewright.cli.terminal.text import remark
from linewright.lesson.walk import Walk
from linewright.publish.film.shots import Staged
from linewright.support.errors import UnusableInput
from linewright.support.extras import extra
from linewright.talk.load import load_talk
from linewright.talk.model import Talk


def as_told(walk: Walk, run: Path, recording: Path | None, run_at: float | None, rate: float) -> tuple[Walk, Staged]:
    """The walk at the times of a run, and what stood on the stage meanwhile.

    Says on standard error how the recording was matched.

    :param run_at: seconds of the recording at which the run began; None to find it by clap, loudness or words.
    :param rate: words a minute that words are spread by between two steps.
    :raises UnusableInput: when the run is unusable, or the recording can't be lined up.
    """
    from linewright.hear.recording import RATE, load_sound
    from linewright.stage.recording_sync import find_offset
    from linewright.stage.run_times import time_walk
    from linewright.stage.runs import read_run
    from linewright.stage.stage_replay import replay_run

    told = read_run(run)
    if told.torn:
        remark(f"{run}: {told.torn} unreadable lines left out")
    offset = run_at or 0.0
    if recording is not None and run_at is None:
        extra("av", "film")
        sound = load_sound(recording)
        offset, way = find_offset(told, sound.samples, RATE, time_walk(walk, told, rate=rate).talk, _heard(recording))
        remark(f"the run starts at {offset:.2f} s in {recording.name} (by {way})")
    return time_walk(walk, told, offset, rate), replay_run(walk, told, offset)


def _heard(recording: Path) -> Talk | None:
    """The captions that ``hear`` wrote beside a recording, if it did."""
    for suffix in (".vtt", ".srt"):
        path = recording.with_suffix(suffix)
        if path.is_file():
            with suppress(UnusableInput):
                return load_talk(path)
    return None
