"""Comparing pupils' games with lessons: who left them where, and what it cost."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from linewright.games.api import FileGame, GameSource, find_game_files, read_game_file
from linewright.plan.lesson_index import LessonIndex
from linewright.plan.pupils.leavings import PupilsReport, find_leavings, questions, with_engine
from linewright.workflow.engine_scores import EngineScores
from linewright.workflow.plan_lesson import NODES
from linewright.workflow.progress import UNWATCHED, Stages

#: Spots that an engine is asked about.
ASKED: Final = 40


@dataclass(frozen=True, slots=True)
class PupilGames:
    """Which games are compared.

    :param files: PGN files, plain or compressed, or folders of them.
    :param pupil: only this player's games; ``""`` for everybody's.
    :param apart: different spellings of a name are different pupils.
    """

    files: tuple[Path, ...]
    pupil: str = ""
    apart: bool = False


def compare_pupils(
    wanted: PupilGames,
    lessons: Sequence[LessonIndex],
    games: GameSource | None,
    scores: EngineScores,
    work: Stages = UNWATCHED,
) -> PupilsReport:
    """Where each game left the lessons.

    :param scores: an engine there is asked what leaving cost.
    :param work: stages ``reading games``, ``comparing`` and, with an engine, ``engine``.
    :raises UnusableInput: when a file of games can't be used.
    """
    work.begin("reading games")
    found, troubles = list[FileGame](), list[str]()
    for path in find_game_files(wanted.files):
        for game in read_game_file(path):
            if isinstance(game, FileGame):
                found.append(game)
            else:
                troubles.append(game)
    work.begin("comparing")
    replies = games.replies if games is not None else None
    group = find_leavings(found, lessons, replies, wanted.pupil, troubles, wanted.apart)
    if scores.engine is not None:
        work.begin("engine")
        scores.engine.verdicts(list(questions(group, ASKED)), NODES, 1)
    return with_engine(group, scores.expected)
