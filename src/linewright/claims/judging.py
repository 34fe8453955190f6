"""An engine as a judge of a check's positions, for as long as the check lasts."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from typing import Final

from linewright.claims.verdicts import Judge, Question
from linewright.engine import settings
from linewright.engine.memory import Memory
from linewright.engine.model import EngineTrouble, Verdict
from linewright.engine.session import Engine, Progress
from linewright.errors import UnusableInput

#: Lines asked for: the best one is compared with what the talk shows, and each move shown is judged by itself, so
#: that more would only make the engine slower.
LINES: Final = 1


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
                answers = engine.within(boards, doubts, seconds, LINES, progress)
                for told in troubles([answer for answer in answers if isinstance(answer, EngineTrouble)]):
                    note(told)
                return {answer.fen: answer for answer in answers if isinstance(answer, Verdict)}

            yield judge


def troubles(found: Sequence[EngineTrouble]) -> Iterator[str]:
    """The engine's troubles, each kind in one sentence with how many positions went without a verdict for it."""
    kinds: dict[tuple[str, str], int] = {}
    for trouble in found:
        key = (trouble.what, trouble.todo)
        kinds[key] = kinds.get(key, 0) + 1
    for (what, todo), count in kinds.items():
        yield f"{count} position{'s' if count > 1 else ''} without an engine's verdict: {what}. {todo}"
