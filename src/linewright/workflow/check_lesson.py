"""Checking a lesson: what it claims, and what it should have said, without what the settings switch off."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from linewright.games.api import GameSource
from linewright.lesson.finding import Finding
from linewright.lesson.walk import Walk
from linewright.support.errors import UnusableInput
from linewright.workflow.progress import CHECKING, READING, UNWATCHED, Note, PartDone, Stages, ignore
from linewright.workflow.read_lesson import LoadedTalk, read_loaded

if TYPE_CHECKING:
    from linewright.claims.engine_questions import Judge

# The claims are imported where they are looked for: a quarter of a second that a course goes without where nothing has
# changed.

#: The stages of a check, for whoever shows its progress.
STAGES = (("reading", READING), ("checking", CHECKING))


@dataclass(frozen=True, slots=True)
class EngineUse:
    """The engine that a check asks.

    :param path: the UCI engine's program; None for the settings' or the first one found.
    :param seconds: of engine time for the whole talk; None for ``EACH`` a position and ``SECONDS`` at most.
    :param required: whether a check without an engine is useless; if not, its absence is noted.
    """

    path: Path | None = None
    seconds: float | None = None
    required: bool = False


@dataclass(frozen=True, slots=True)
class CheckedLesson:
    """A lesson that was read and checked."""

    walk: Walk
    findings: tuple[Finding, ...]


def check_lesson(
    lesson: LoadedTalk,
    games: GameSource | None,
    verdicts: Path,
    engine: EngineUse | None,
    note: Note = ignore,
    work: Stages = UNWATCHED,
) -> CheckedLesson:
    """Read a talk and check it.

    :param verdicts: the file of remembered verdicts.
    :param engine: asked where its verdict is wanted; None to check without any verdicts.
    :raises UnusableInput: when no move can be read, the settings are unusable, or there is no engine though one is
        required or named.
    """
    work.plan(STAGES)
    walk = read_loaded(lesson, games, note, work.begin("reading"))
    part = work.begin("checking")
    if engine is None:
        return CheckedLesson(walk, find_claims(walk, games, None, note))
    return CheckedLesson(walk, _find_with_engine(walk, games, verdicts, engine, note, work, part))


def find_by_memory(walk: Walk, games: GameSource | None, verdicts: Path, note: Note = ignore) -> tuple[Finding, ...]:
    """The findings of a walk by the verdicts that an engine gave before; none is asked.

    :raises UnusableInput: when the settings are unusable.
    """
    from linewright.claims.engine_judge import remembering

    with remembering(verdicts) as judge:
        return find_claims(walk, games, judge, note)


def find_claims(
    walk: Walk, games: GameSource | None, judge: Judge | None = None, note: Note = ignore
) -> tuple[Finding, ...]:
    """The findings of a walk, without the kinds that the settings switch off.

    :param note: hears what is wrong with the talk's marks for checking.
    :raises UnusableInput: when the settings are unusable.
    """
    from linewright.claims.check import check_walk, notes
    from linewright.claims.suppressions import load_off

    off = load_off()
    for words in notes(walk):
        note(words)
    return check_walk(walk, games, judge, off)


def _find_with_engine(
    walk: Walk,
    games: GameSource | None,
    verdicts: Path,
    engine: EngineUse,
    note: Note,
    work: Stages,
    checking: PartDone,
) -> tuple[Finding, ...]:
    """The findings, with the engine asked; its part of the work is a stage of its own once its length is known."""
    from linewright.claims.engine_judge import EACH, SECONDS, judging

    part = checking
    troubles: list[str] = []

    def judged(done: int, total: int) -> None:
        nonlocal part
        if part is checking:
            seconds = engine.seconds if engine.seconds is not None else min(SECONDS, EACH * total)
            part = work.begin("engine", seconds, f"engine: {total} positions")
        part(done / total)

    hear = troubles.append if engine.required else note
    with judging(engine.path, verdicts, engine.seconds, hear, judged) as judge:
        if judge is None and engine.required:
            raise UnusableInput(" ".join(troubles), "On Debian: apt install stockfish.")
        found = find_claims(walk, games, judge, note)
    for words in troubles:
        note(words)
    return found
