"""The talks given to ``plan`` and ``pupils``, as what they teach."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path

import chess

from linewright.cli.shared import read
from linewright.cli.terminal.progress import Work
from linewright.cli.terminal.text import remark
from linewright.games.api import GameSource
from linewright.lesson.walk import Walk
from linewright.plan.lesson_index import LessonIndex, index_lesson
from linewright.support.errors import UnusableInput


def paths_of(named: Sequence[Path]) -> Iterator[Path]:
    """The talks named, those of folders among them."""
    for path in named:
        if path.is_dir():
            from linewright.cli.course import talks_in  # brings all of publishing with it

            yield from talks_in(path)
        else:
            yield path


def lessons_of(
    paths: Sequence[Path],
    games: GameSource | None,
    side: str,
    root: chess.Board | None = None,
    follow: Sequence[str] = (),
    *,
    work: Work,
) -> tuple[list[LessonIndex], list[str]]:
    """What the talks teach, and why some can't be used, which standard error says too.

    One talk alone is for ``side`` where that is given. Of several, each is for its own side, and for ``side`` where it
    doesn't say.

    :param work: shows how far it is; a stage for each talk by its file name.

    :raises UnusableInput: where no talk can be used.
    """
    if len(paths) == 1:
        return [taught_of(read(paths[0], games, work.begin(paths[0].name)), side, root, follow)], []
    lessons, left_out = [], []
    for path in paths:
        try:
            walk = read(path, games, work.begin(path.name))
            lessons.append(taught_of(walk, walk.side or side, root))
        except UnusableInput as error:
            left_out.append(str(error))
            remark(f"left out: {error}")
    if paths and not lessons:
        raise UnusableInput("none of the talks can be used", "Fix the problems listed above.")
    return lessons, left_out


def taught_of(walk: Walk, side: str = "", root: chess.Board | None = None, follow: Sequence[str] = ()) -> LessonIndex:
    """What a walk teaches, without the moves that its words call mistakes."""
    from linewright.practice.drills.judged_moves import (
        JudgedMoves,  # brings publishing with it; a plan from a position needs none
    )

    return index_lesson(walk, side, root, JudgedMoves(walk).mistakes, follow)
