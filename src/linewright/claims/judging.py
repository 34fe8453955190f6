"""An engine as a judge of positions, for as long as a check lasts."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path

import chess

from linewright.claims.check import Judge
from linewright.engine import settings
from linewright.engine.memory import Memory
from linewright.engine.model import Verdict
from linewright.engine.session import Engine
from linewright.errors import UnusableInput


@contextmanager
def judging(
    path: Path | None, memory_file: Path, seconds: float, note: Callable[[str], None]
) -> Iterator[Judge | None]:
    """A judge that asks the engine; None where no engine is found, which is noted once and stops nothing.

    :param path: the engine's program; None for the settings' or the first one found.
    :param memory_file: where verdicts are remembered.
    :param seconds: of engine time for the whole check; after it only remembered verdicts count.
    :param note: told what the user should know.
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
            until = time.monotonic() + seconds

            def judge(board: chess.Board) -> Verdict | None:
                answer = engine.verdicts([board], seconds=max(0.0, until - time.monotonic()))[0]
                return answer if isinstance(answer, Verdict) else None

            yield judge
