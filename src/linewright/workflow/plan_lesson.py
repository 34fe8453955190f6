"""Planning a lesson: what deserves its minutes, and what finished talks cover."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Final

import chess

from linewright.games.api import GameFilter, GameSource, position_key
from linewright.lesson.spoken import numbered
from linewright.plan.branches import grow_branches, questions
from linewright.plan.coverage import Coverage, find_coverage
from linewright.plan.lesson_index import LessonIndex
from linewright.plan.planning import Plan, make_plan, with_note
from linewright.plan.repertoire import Repertoire, compare_talks
from linewright.plan.reply_cache import remember_answers
from linewright.support.errors import UnusableInput
from linewright.workflow.engine_scores import EngineScores
from linewright.workflow.progress import PartDone, ignore

#: Units that an engine is asked about, and nodes for each position: a tenth of a second.
ASKED_UNITS, NODES = 40, 100_000
#: Minutes of a talk unless said: the given talks take five to seven.
USUAL: Final = 7.0


@dataclass(frozen=True, slots=True)
class PlanOrder:
    """What is to be planned.

    :param root: the position to plan from; None for where the talk's own part begins.
    :param side: ``white`` or ``black``; the talk's own unless given.
    :param minutes: the talk's length.
    :param only: which games count.
    """

    root: chess.Board | None = None
    side: str = ""
    minutes: float = USUAL
    only: GameFilter = field(default_factory=GameFilter)


def plan_lesson(
    order: PlanOrder, games: GameSource, talk: LessonIndex | None, scores: EngineScores
) -> tuple[Plan, GameFilter]:
    """The plan, and the filter that its games meet.

    :param talk: a finished talk, whose lines need not be taught again; None to plan from moves alone.
    :param scores: an engine there is asked about the units that matter most.
    :raises UnusableInput: when there is neither a talk nor a side.
    """
    if talk is None and order.side not in ("white", "black"):
        raise UnusableInput("no side to plan for", "Add --as white or --as black.")
    below = games.below(order.root or (talk.root if talk else chess.Board()), order.only)
    white = talk.side if talk else order.side == "white"
    if scores.engine is not None:
        first = grow_branches(below.root, white, remember_answers(below), talk, scores.expected)
        scores.engine.verdicts(list(questions(first.units, ASKED_UNITS)), NODES, 1)
    plan = make_plan(below, white, round(60 * order.minutes), talk, scores.expected)
    return (with_note(plan, choices_note(talk, plan)) if talk else plan), below.only


def choices_note(talk: LessonIndex, plan: Plan) -> str:
    """Where the talk gives its pupil several moves in positions of the plan: which one is planned with."""
    met = {position_key(chess.Board(plan.units[number].after)) for number in plan.chosen}
    notes = []
    for node in talk.choices():
        board = chess.Board(node.fen)
        if position_key(board) in met:
            names = [numbered(node.fen, move.san) for move in talk.own(board)]
            notes.append(f"the talk gives {' or '.join(names)}: planned with {names[0]} (--follow {names[1]})")
    return "; ".join(notes)


def cover_lessons(
    lessons: Sequence[LessonIndex], games: GameSource, only: GameFilter, progress: PartDone = ignore
) -> tuple[tuple[Coverage, ...], Repertoire | None]:
    """What finished talks cover of pupils' games, and what they are together; None for one alone."""
    found = []
    for one in lessons:
        found.append(find_coverage(one, games.below(one.root, only)))
        progress(len(found) / len(lessons))
    return tuple(found), compare_talks(lessons, games, only) if len(lessons) > 1 else None
