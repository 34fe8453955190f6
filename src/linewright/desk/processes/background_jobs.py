"""The desk's long jobs, each run in a process of its own by :mod:`linewright.desk.processes.jobs`."""

from __future__ import annotations

import signal
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from linewright.desk.processes.jobs import Tell
from linewright.games.api import open_games
from linewright.hear.recording import clock
from linewright.lesson.finding import Verdict
from linewright.workflow.build_course import CourseOrder, build_course
from linewright.workflow.build_lesson import LessonOrder, build_lesson
from linewright.workflow.check_lesson import EngineUse, check_lesson
from linewright.workflow.hear_recording import HearingOrder, hear_recording
from linewright.workflow.progress import PartDone
from linewright.workflow.read_lesson import load_lesson_text

#: What a page is shown of the stages of work; a stage without an entry shows its own words.
DOING = {
    "reading": "reading the talk",
    "checking": "checking what is said",
    "making": "making page, hand-out and PGN",
    "filming": "filming the board",
}
#: Progress is sent on in steps of this part of the whole: a page draws no finer.
STEP = 0.01


class JobStages:
    """Progress in stages, reported to a page as one share of the whole, which never decreases."""

    def __init__(self, tell: Tell) -> None:
        self._tell = tell
        self._later: dict[str, float] = {}
        self._done = self._usual = self._part = 0.0

    def plan(self, stages: Sequence[tuple[str, float]]) -> None:
        """The stages still to come, with the seconds that each usually takes."""
        self._later = dict(stages)

    def begin(self, name: str, usual: float | None = None, shown: str = "") -> PartDone:
        """Begin a stage; see :class:`linewright.workflow.progress.Stages`."""
        self._done += self._usual
        planned = self._later.pop(name, 0.0)
        self._usual = planned if usual is None else usual
        words = DOING.get(name, shown or name)
        self._show(0.0, words, 0.0)
        return lambda part: self._show(part, words, STEP)

    def _show(self, part: float, words: str, step: float) -> None:
        whole = self._done + self._usual + sum(self._later.values())
        now = max(self._part, (self._done + self._usual * part) / whole if whole else 0.0)
        if now >= self._part + step:
            self._part = now
            self._tell(now, words)


def build_lesson_job(tell: Tell, order: LessonOrder, base: Path, verdicts: Path) -> dict[str, Any]:
    """Make a talk's lesson.

    :raises UnusableInput: when no move can be read in the talk, or the folder holds what isn't Linewright's.
    """
    notes: list[str] = []
    with open_games(base) as games:
        order.folder.parent.mkdir(parents=True, exist_ok=True)
        built = build_lesson(order, games, verdicts, notes.append, JobStages(tell))
    fails = sum(finding.verdict is Verdict.FAILS for finding in built.findings)
    files = [path.name for path in built.files]
    return {"files": files, "fails": fails, "words": f"{len(files)} files made", "notes": notes}


def build_course_job(tell: Tell, order: CourseOrder, base: Path, verdicts: Path) -> dict[str, Any]:
    """Make the course of a folder of talks.

    :raises UnusableInput: when no talk can be used, or the folder holds what isn't Linewright's.
    """
    notes: list[str] = []
    with open_games(base) as games:
        files = [path.name for path in build_course(order, games, verdicts, notes.append, JobStages(tell))]
    words = f"{len(files)} files made" if files else "nothing has changed"
    return {"files": files, "words": words, "notes": notes}


def check_with_engine(
    tell: Tell, text: str, path: Path, base: Path, verdicts: Path, engine: Path | None
) -> dict[str, Any]:
    """Have the engine judge what a text's claims and moves hang on; its verdicts are remembered, and pages find them.

    :param text: the talk as a page holds it, saved or not; ``path`` says where its answers lie.
    :param engine: the UCI engine's program; None for the settings' or the first one found.
    :raises UnusableInput: without an engine.
    """
    # Stopped from outside, the engine is still closed; its verdicts so far are remembered.
    signal.signal(signal.SIGTERM, lambda *_: sys.exit(0))
    notes: list[str] = []
    with open_games(base) as games:
        use, lesson = EngineUse(engine, required=True), load_lesson_text(text, path)
        checked = check_lesson(lesson, games, verdicts, use, notes.append, JobStages(tell))
    counts = [(sum(f.verdict is verdict for f in checked.findings), str(verdict)) for verdict in Verdict]
    words = ", ".join(f"{count} {verdict}" for count, verdict in counts)
    return {"words": "; ".join([f"findings: {words}", *notes])}


def hear_recording_job(tell: Tell, order: HearingOrder) -> dict[str, Any]:
    """Write a recording down as captions, and the words beside them.

    :raises UnusableInput: when it can't be heard, or captions are there that Linewright did not write.
    """

    def watch(doing: str, done: float, total: float | None) -> None:
        part = done / (total or done or 1.0)
        if doing == "opening":
            tell(0.1 * part, doing)
        else:
            tell(0.15 + 0.85 * part, f"{doing}: {clock(done)} of {clock(total or done)}")

    made = hear_recording(order, watch).written
    return {"captions": made.captions.name, "words": f"{made.words:,} words in {made.cues:,} captions"}
