"""What an engine says of positions, for a command's length: verdicts remembered, and more of them where wanted."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import chess

from linewright.engine import settings
from linewright.engine.model import EngineVerdict
from linewright.engine.session import Engine
from linewright.engine.signs import expected
from linewright.engine.verdict_memory import VerdictMemory


@dataclass(frozen=True, slots=True)
class EngineScores:
    """Verdicts on positions.

    :param memory: verdicts that are remembered; None where there are none.
    :param engine: asked for more; None where it isn't to be asked.
    """

    memory: VerdictMemory | None = None
    engine: Engine | None = None

    def verdict(self, board: chess.Board) -> EngineVerdict | None:
        """The verdict with the most work; None for a position never judged."""
        return self.memory.best(board.epd()) if self.memory is not None else None

    def expected(self, board: chess.Board) -> float | None:
        """White's expected score, 0-1; None for a position never judged."""
        verdict = self.verdict(board)
        return expected(verdict) if verdict is not None else None


@contextmanager
def open_scores(verdicts: Path, ask: bool) -> Iterator[EngineScores]:
    """The verdicts remembered in a file, and with ``ask`` an engine for more.

    :raises UnusableInput: with ``ask``, when there is no engine.
    """
    if not ask and not verdicts.is_file():
        yield EngineScores()
        return
    with VerdictMemory.open(verdicts) as memory:
        if not ask:
            yield EngineScores(memory)
            return
        with Engine.open(settings.load(), memory) as engine:
            yield EngineScores(memory, engine)
