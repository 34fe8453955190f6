"""Building a lesson: from a talk to the files that leave the house."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from pathlib import Path
from typing import Final

from linewright.captions.corrected import NO_PLAYERS, CorrectedCaptions, Notation, correct_captions
from linewright.engine.remembered_signs import remembered_signs
from linewright.games.api import GameSource
from linewright.lesson.finding import Finding
from linewright.lesson.walk import Walk
from linewright.publish.build import build
from linewright.publish.film.shots import Staged
from linewright.publish.outputs import ALL, Order, OutputPart
from linewright.publish.timing import length
from linewright.support.errors import UnusableInput
from linewright.support.extras import extra
from linewright.talk.model import Unit
from linewright.talk.talk_files import SourceTalk, talk_stem
from linewright.workflow.check_lesson import STAGES, find_by_memory
from linewright.workflow.progress import UNWATCHED, Note, Stages, ignore
from linewright.workflow.read_lesson import read_lesson
from linewright.workflow.time_by_run import StageRun, take_run_times

#: Where lessons are written when no folder is named: ``lessons/NAME`` beside the talk.
LESSONS: Final = "lessons"
#: Seconds that the parts but the film usually take (see ``progress``), and the film for each second of the talk.
MAKING, FILMING = 1.5, 0.15


@dataclass(frozen=True, slots=True)
class LessonOrder:
    """What is to be built of a talk. One that can't be carried out can't be made: that is said before the work.

    :raises UnusableInput: for a film without the packages that make it.
    :param talk: its recording is used where it has times and :attr:`outputs` names no other.
    :param out: the lesson's folder; None for the usual one.
    :param outputs: the parts, and how they look; games, signs, captions, day and progress are filled in here.
    :param notation: captions with moves in notation; None to have them spoken properly.
    :param run: a run of the stage, whose times count.
    :param force: write over what Linewright did not write.
    """

    talk: SourceTalk
    out: Path | None = None
    outputs: Order = field(default_factory=lambda: Order(ALL, doubts=False))
    notation: Notation | None = None
    run: StageRun | None = None
    force: bool = False

    def __post_init__(self) -> None:
        if OutputPart.FILM in self.outputs.parts:
            extra("av", "film")

    @property
    def folder(self) -> Path:
        """The lesson's folder."""
        return self.out or lesson_folder(self.talk.path)


@dataclass(frozen=True, slots=True)
class BuiltLesson:
    """A lesson that was built.

    :param files: what was written.
    :param captions: the corrected captions; None where they were not wanted, or the talk has no times.
    """

    files: tuple[Path, ...]
    walk: Walk
    findings: tuple[Finding, ...]
    captions: CorrectedCaptions | None


def lesson_folder(talk: Path) -> Path:
    """The usual folder of a talk's lesson: ``lessons/NAME`` beside it."""
    return talk.parent / LESSONS / talk_stem(talk)


def build_lesson(
    order: LessonOrder, games: GameSource, verdicts: Path, note: Note = ignore, work: Stages = UNWATCHED
) -> BuiltLesson:
    """Read and check a talk, and write its lesson.

    :param verdicts: the file of remembered verdicts; no engine is asked.
    :raises UnusableInput: when no move can be read in the talk, a recording or run doesn't go with it, or the folder
        can't be written to or holds what isn't Linewright's. Nothing has been written then.
    """
    outputs = order.outputs
    work.plan([*STAGES, ("making", MAKING)])
    walk = read_lesson(order.talk.path, games, note, work.begin("reading"))
    staged: Staged | None = None
    if order.run is not None:
        walk, staged = take_run_times(walk, order.run, outputs.recording, outputs.filming.rate, note)
    if OutputPart.FILM in outputs.parts:
        work.plan([STAGES[1], ("making", MAKING), ("filming", FILMING * length(walk))])
    recording = _recording_for(order, walk)
    work.begin("checking")
    findings = find_by_memory(walk, games, verdicts, note)
    work.begin("making")
    wanted = OutputPart.CAPTIONS in outputs.parts or outputs.filming.burnt
    captions = correct_captions(walk, games or NO_PLAYERS, order.notation) if wanted else None
    with remembered_signs(verdicts) as signs:
        complete = replace(
            outputs,
            games=games,
            signs=signs,
            captions=captions,
            recording=recording,
            filming=replace(outputs.filming, staged=staged),
            progress=_begin_when_filming(work),
            day=day_of(order.talk.path),
        )
        files = build(walk, findings, order.folder, order.force, order=complete)
    return BuiltLesson(files, walk, findings, captions)


def day_of(path: Path) -> date:
    """When a talk was last written to."""
    return datetime.fromtimestamp(path.stat().st_mtime).astimezone().date()


def _recording_for(order: LessonOrder, walk: Walk) -> Path | None:
    """The recording as named, else the one beside a timed talk; a run's times go with no recording but its own.

    :raises UnusableInput: when one is named for a talk without times.
    """
    named = order.outputs.recording
    if walk.talk.unit is Unit.SECONDS:
        return named if named is not None or order.run is not None else order.talk.recording
    if named is not None:
        raise UnusableInput(
            f"{order.talk.path}: a typed talk has no times to go with {named}",
            "Write the recording down first: linewright hear RECORDING -o TALK.vtt",
        )
    return None


def _begin_when_filming(work: Stages) -> Callable[[float], None]:
    """Hears how far a film is; the stage begins with the film's first picture."""
    begun: list[Callable[[float], None]] = []

    def show(part: float) -> None:
        if not begun:
            begun.append(work.begin("filming"))
        begun[0](part)

    return show
