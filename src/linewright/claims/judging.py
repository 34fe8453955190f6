"""An engine as a judge of a check's positions, for as long as the check lasts."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from typing import Final

import chess

from linewright.claims.verdicts import Judge, Question
from linewright.engine import settings
from linewright.engine.budget import enough, share
from linewright.engine.memory import Memory
from linewright.engine.model import EngineTrouble, Verdict
from linewright.engine.session import Answer, Engine, Progress
from linewright.errors import UnusableInput

#: Lines asked for at each position: the best one, and a second, since a talk that names a reply as good as the best
#: has passed over nothing. Each move that the talk shows is judged by itself; more lines would only cost depth.
LINES: Final = 2


#: Nodes per second that one process of a common engine does on a common laptop.
TYPICAL_SPEED: Final = 800_000.0


@contextmanager
def judging(
    path: Path | None,
    memory_file: Path,
    seconds: float,
    note: Callable[[str], None],
    progress: Progress | None = None,
) -> Iterator[Judge | None]:
    """A judge that asks the engine; None where no engine is found, which is noted once and stops nothing.

    :param path: the engine's program; None for the settings' or the first one found.
    :param memory_file: where verdicts are remembered.
    :param seconds: of engine time for the whole check, shared out where the doubt is greatest.
    :param note: told what the user should know.
    :param progress: told after every position.
    :raises UnusableInput: when ``path`` is given and can't be used.
    """
    with Memory.open(memory_file) as memory:
        for told in memory.notes:
            note(told)
        try:
            chosen = settings.load()
            engine = Engine.open(replace(chosen, path=path) if path else chosen, memory)
        except UnusableInput as trouble:
            if path is not None:
                raise
            note(f"checked without an engine, assessments stay open: {trouble}")
            yield None
            return
        with engine:

            def judge(questions: Sequence[Question]) -> Mapping[str, Verdict]:
                boards, doubts = [q.board for q in questions], [q.doubt for q in questions]
                answers = _remembered(engine, boards, doubts, seconds)
                if any(isinstance(answer, EngineTrouble) for answer in answers):
                    answers = engine.within(boards, doubts, seconds, LINES, progress)
                for told in troubles([answer for answer in answers if isinstance(answer, EngineTrouble)]):
                    note(told)
                return {answer.fen: answer for answer in answers if isinstance(answer, Verdict)}

            yield judge


def _remembered(
    engine: Engine, boards: Sequence[chess.Board], doubts: Sequence[float], seconds: float
) -> Sequence[Answer]:
    """What is remembered with about the work that so many seconds would give; where all is, nothing is measured."""
    works = share(doubts, seconds, TYPICAL_SPEED * engine.settings.processes)
    return engine.verdicts(boards, [0] * len(boards), LINES, least=[enough(nodes) for nodes in works])


def troubles(found: Sequence[EngineTrouble]) -> Iterator[str]:
    """The engine's troubles, each kind in one sentence with how many positions went without a verdict for it."""
    kinds: dict[tuple[str, str], int] = {}
    for trouble in found:
        key = (trouble.what, trouble.todo)
        kinds[key] = kinds.get(key, 0) + 1
    for (what, todo), count in kinds.items():
        yield f"{count} position{'s' if count > 1 else ''} without an engine's verdict: {what}. {todo}"
