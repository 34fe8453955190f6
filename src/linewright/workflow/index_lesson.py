"""What lessons teach, position by position: read for plans and for comparing pupils' games."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path

import chess

from linewright.games.api import GameSource
from linewright.lesson.walk import Walk
from linewright.plan.lesson_index import LessonIndex, index_lesson
from linewright.support.errors import UnusableInput
from linewright.talk.talk_files import talks_in
from linewright.workflow.progress import Note, Stages
from linewright.workflow.read_lesson import read_lesson


def find_talks(named: Iterable[Path]) -> Iterator[Path]:
    """The talks named, and those in the folders named."""
    for path in named:
        if path.is_dir():
            yield from talks_in(path)
        else:
            yield path


def index_lessons(
    paths: Sequence[Path],
    games: GameSource | None,
    side: str,
    note: Note,
    work: Stages,
    root: chess.Board | None = None,
    follow: Sequence[str] = (),
) -> tuple[list[LessonIndex], tuple[str, ...]]:
    """What the talks teach, and why some can't be used, which is noted too.

    One talk alone is for ``side`` where that is given. Of several, each is for its own side, and for ``side`` where it
    doesn't say.

    :param work: shows how far it is; a stage for each talk by its file name.
    :param root: where the lessons count from; None for each one's own start.
    :param follow: of a talk alone, the pupil's moves where it shows several.
    :raises UnusableInput: where no talk can be used.
    """
    if len(paths) == 1:
        walk = read_lesson(paths[0], games, note, work.begin(paths[0].name))
        return [index_without_mistakes(walk, side, root, follow)], ()
    lessons, left_out = [], []
    for path in paths:
        try:
            walk = read_lesson(path, games, note, work.begin(path.name))
            lessons.append(index_without_mistakes(walk, walk.side or side, root))
        except UnusableInput as error:
            left_out.append(str(error))
            note(f"left out: {error}")
    if paths and not lessons:
        raise UnusableInput("none of the talks can be used", "Fix the problems listed above.")
    return lessons, tuple(left_out)


def index_without_mistakes(
    walk: Walk, side: str = "", root: chess.Board | None = None, follow: Sequence[str] = ()
) -> LessonIndex:
    """What a walk teaches, without the moves that its words call mistakes.

    :raises UnusableInput: when no side is given and none shows, or a move to follow isn't the talk's.
    """
    from linewright.practice.drills.judged_moves import (
        JudgedMoves,
    )  # brings the claims; a plan from a position needs none

    return index_lesson(walk, side, root, JudgedMoves(walk).mistakes, follow)
