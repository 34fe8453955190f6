"""Writing a recording down: from sound to captions, primed with the opening that the talk is about."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from linewright.games.api import open_games
from linewright.hear.caption_files import check_targets
from linewright.hear.heard_words import Progress
from linewright.hear.job import Written, transcribe
from linewright.hear.models import model_folder
from linewright.hear.priming import about as about_opening
from linewright.hear.priming import prompt
from linewright.hear.recording import check_recording, load_sound
from linewright.hear.whisper import Whisper
from linewright.workflow.progress import Note, ignore


@dataclass(frozen=True, slots=True)
class HearingOrder:
    """What is to be written down, and how.

    :param captions: the captions' file; None for one beside the recording.
    :param about: the opening that the talk is about, by name or ECO code; None where nobody said.
    :param base: the games base's file, asked about that opening.
    :param base_named: the user named this very base.
    :param model: the speech model; None for the usual one.
    :param download: fetch the model where it is missing.
    :param force: write over captions that Linewright did not write.
    """

    recording: Path
    captions: Path | None = None
    about: str | None = None
    base: Path = Path()
    base_named: bool = False
    model: str | None = None
    download: bool = False
    force: bool = False

    @property
    def target(self) -> Path:
        """The captions' file."""
        return self.captions or self.recording.with_suffix(".vtt")


@dataclass(frozen=True, slots=True)
class HeardRecording:
    """A recording that was written down.

    :param written: the files, and how much they hold.
    :param seconds: the recording's length.
    :param trouble: what was wrong with the recording, ``""`` when nothing was.
    """

    written: Written
    seconds: float
    trouble: str


def hear_recording(order: HearingOrder, watch: Progress, note: Note = ignore) -> HeardRecording:
    """Write a recording down as captions, and its words with their times beside them.

    :param watch: called with what is going on, seconds of the recording done, and seconds in all.
    :param note: hears what is downloaded.
    :raises UnusableInput: when it can't be heard, there is no speech model, or files are there that Linewright did not
        write. Nothing has been written then.
    """
    check_recording(order.recording)
    check_targets(order.target, order.recording, order.force)
    primed = _prompt(order)
    sound = load_sound(order.recording, lambda done, total: watch("opening", done, total))
    recogniser = Whisper(model_folder(order.model, order.download, note))
    written = transcribe(sound, recogniser, primed, order.recording, order.target, order.force, watch)
    return HeardRecording(written, sound.seconds, sound.note)


def _prompt(order: HearingOrder) -> str:
    """What the recogniser is given beforehand; the base is only opened when an opening is named."""
    if order.about is None:
        return prompt()
    with open_games(order.base, order.base_named) as games:
        return prompt(about_opening(order.about, games))
