"""The times of a run of the stage, for a talk that was filmed meanwhile."""

from __future__ import annotations

from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from linewright.lesson.walk import Walk
from linewright.publish.film.shots import Staged
from linewright.support.errors import UnusableInput
from linewright.support.extras import extra
from linewright.talk.load import CAPTION_SUFFIXES, load_talk
from linewright.talk.model import Talk
from linewright.workflow.progress import Note


@dataclass(frozen=True, slots=True)
class StageRun:
    """A run of the stage, as logged beside its talk.

    :param start: seconds of the recording at which the run began; None to find it by clap, loudness or words.
    """

    log: Path
    start: float | None = None


def take_run_times(walk: Walk, run: StageRun, recording: Path | None, rate: float, note: Note) -> tuple[Walk, Staged]:
    """The walk at the times of a run, and what stood on the stage meanwhile.

    :param rate: words a minute that words are spread by between two steps.
    :param note: hears how the recording was matched, and what of the log can't be read.
    :raises UnusableInput: when the run is unusable, or the recording can't be lined up.
    """
    from linewright.hear.recording import RATE, load_sound
    from linewright.stage.recording_sync import find_offset
    from linewright.stage.run_times import time_walk
    from linewright.stage.runs import read_run
    from linewright.stage.stage_replay import replay_run

    logged = read_run(run.log)
    if logged.torn:
        note(f"{run.log}: {logged.torn} unreadable lines left out")
    offset = run.start or 0.0
    if recording is not None and run.start is None:
        extra("av", "film")
        sound = load_sound(recording)
        plain = time_walk(walk, logged, rate=rate).talk
        offset, way = find_offset(logged, sound.samples, RATE, plain, _captions_of(recording))
        note(f"the run starts at {offset:.2f} s in {recording.name} (by {way})")
    return time_walk(walk, logged, offset, rate), replay_run(walk, logged, offset)


def _captions_of(recording: Path) -> Talk | None:
    """The captions that ``hear`` wrote beside a recording, if it did."""
    for suffix in CAPTION_SUFFIXES:
        path = recording.with_suffix(suffix)
        if path.is_file():
            with suppress(UnusableInput):
                return load_talk(path)
    return None
