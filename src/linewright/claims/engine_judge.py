"""An engine as a judge of a check's positions, for as long as the check lasts."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from typing import Final

from linewright.claims.engine_questions import Judge, Question, one_by_one
from linewright.engine import settings
from linewright.engine.budget import LEAST
from linewright.engine.model import EngineTrouble, EngineVerdict
from linewright.engine.session import Answer, Engine, Progress
from linewright.engine.verdict_memory import VerdictMemory
from linewright.support.errors import UnusableInput

#: Lines asked for at each position: the best one, and a second, since a talk that names a reply as good as the best
#: has passed over nothing. Each move that the talk shows is judged by itself; more lines would only cost depth.
LINES: Final = 2


#: Seconds of engine time for a talk, unless named: with reading it, a seven-minute talk is checked in 90 s.
SECONDS: Final = 65.0
#: Seconds for each position, unless named: a short talk is checked soon, and a second is about what the settings'
#: nodes take, so that there is something to give to the doubtful ones.
EACH: Final = 2.0


@contextmanager
def judging(
    path: Path | None,
    memory_file: Path,
    seconds: float | None,
    note: Callable[[str], None],
    progress: Progress | None = None,
) -> Iterator[Judge | None]:
    """A judge that asks the engine; None where no engine is found, which is noted once and stops nothing.

    :param path: the engine's program; None for the settings' or the first one found.
    :param memory_file: where verdicts are remembered.
    :param seconds: of engine time for the whole check, shared out where the doubt is greatest; None for
        ``EACH`` a position that isn't remembered, and ``SECONDS`` at most.
    :param note: called with what the user should know.
    :param progress: called after every position.
    :raises UnusableInput: when ``path`` is given and can't be used.
    """
    with VerdictMemory.open(memory_file) as memory:
        for line in memory.notes:
            note(line)
        try:
            chosen = settings.load()
            engine = Engine.open(replace(chosen, path=path) if path else chosen, memory)
        except UnusableInput as trouble:
            if path is not None:
                raise
            note(f"checked without an engine, assessments stay undecided: {trouble}")
            yield None
            return
        with engine:

            def judge(questions: Sequence[Question]) -> Mapping[str, EngineVerdict]:
                answers = _remembered(engine, questions) if seconds is None else ()
                known = {answer.fen: answer for answer in answers if isinstance(answer, EngineVerdict)}
                new = [q for q in questions if q.board.epd() not in known]
                if not new:
                    return known
                time = min(SECONDS, EACH * len(new)) if seconds is None else seconds
                answers = engine.within([q.board for q in new], [q.doubt for q in new], time, LINES, progress)
                for line in troubles([answer for answer in answers if isinstance(answer, EngineTrouble)]):
                    note(line)
                return known | {answer.fen: answer for answer in answers if isinstance(answer, EngineVerdict)}

            yield judge


@contextmanager
def remembering(memory_file: Path) -> Iterator[Judge | None]:
    """A judge that knows what an engine said before and asks none; None where there is no memory file yet."""
    if not memory_file.is_file():
        yield None
        return
    with VerdictMemory.open(memory_file) as memory:
        yield one_by_one(lambda board: memory.best(board.epd()))


def _remembered(engine: Engine, questions: Sequence[Question]) -> Sequence[Answer]:
    """What needs no engine: verdicts remembered with any work worth having, and games that are over."""
    boards = [question.board for question in questions]
    return engine.verdicts(boards, [0] * len(boards), LINES, least=[LEAST] * len(boards))


def troubles(found: Sequence[EngineTrouble]) -> Iterator[str]:
    """The engine's troubles, each kind in one sentence with how many positions went without a verdict for it."""
    kinds: dict[tuple[str, str], int] = {}
    for trouble in found:
        key = (trouble.what, trouble.todo)
        kinds[key] = kinds.get(key, 0) + 1
    for (what, todo), count in kinds.items():
        yield f"{count} position{'s' if count > 1 else ''} without an engine's verdict: {what}. {todo}"
