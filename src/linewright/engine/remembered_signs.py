"""What remembered verdicts say of positions, without an engine."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import chess

from linewright.engine.signs import sign
from linewright.engine.verdict_memory import VerdictMemory


class RememberedSigns:
    """The trade's signs of the positions that an engine has judged before."""

    def __init__(self, memory: VerdictMemory) -> None:
        self.memory = memory

    def sign(self, fen: str) -> str | None:
        """The sign by the verdict with the most work, such as ``⩲``; None for a position never judged."""
        verdict = self.memory.best(chess.Board(fen).epd())
        return sign(verdict).symbol if verdict is not None else None


@contextmanager
def remembered_signs(path: Path) -> Iterator[RememberedSigns | None]:
    """The signs remembered in a file; None where there is no file yet: looking doesn't make one."""
    if not path.is_file():
        yield None
        return
    with VerdictMemory.open(path) as memory:
        yield RememberedSigns(memory)
