"""The engine of a running desk: one, in a thread of its own, started when it is first wanted.

It only ever looks at the position that a page rests on; a position left meanwhile is not begun. Its program comes
from the command line or the settings, never from a page.
"""

from __future__ import annotations

import asyncio
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from pathlib import Path

import chess

from linewright.desk.messages.evidence import EngineLine, EngineLook
from linewright.desk.views.evidence import board_of
from linewright.engine import settings
from linewright.engine.model import EngineVerdict
from linewright.engine.session import Engine
from linewright.engine.signs import sign
from linewright.engine.verdict_evidence import cite_verdict, describe_verdict, show_score
from linewright.engine.verdict_memory import VerdictMemory
from linewright.lesson.spoken import figurine, move_number
from linewright.support.errors import UnusableInput

#: Nodes for a look while the trainer rests: about a second on one core, deep enough for an opening's sign.
NODES = 1_000_000
#: Lines shown, and half-moves of each.
LINES, PLIES = 2, 8


class EngineRoom:
    """Verdicts for pages. Use it in the event loop's thread.

    :param path: the engine's program; None for the settings' or the first one found.
    """

    def __init__(self, path: Path | None, verdicts: Path) -> None:
        self._path, self._verdicts = path, verdicts
        self._thread = ThreadPoolExecutor(1, thread_name_prefix="linewright-engine")
        self._engine: Engine | None = None
        self._memory: VerdictMemory | None = None
        self._why = ""
        self._wanted: dict[str, str] = {}

    async def look(self, page: str, fen: str) -> EngineLook | None:
        """The engine's sign and lines for the position that a page rests on; None when it rests elsewhere by then.

        :raises UnusableInput: when there is no engine, or the FEN is none.
        """
        board = board_of(fen)
        self._wanted[page] = board.epd()

        def work() -> EngineLook | None:
            return self._look(board) if self._wanted.get(page) == board.epd() else None

        return await asyncio.get_running_loop().run_in_executor(self._thread, work)

    def forget(self, page: str) -> None:
        """A page was closed, or its cursor left."""
        self._wanted.pop(page, None)

    def _look(self, board: chess.Board) -> EngineLook | None:
        answer = self._open().verdicts([board], NODES, LINES)[0]
        return engine_look(board, answer) if isinstance(answer, EngineVerdict) else None

    def _open(self) -> Engine:
        if self._why:
            raise UnusableInput(self._why, "On Debian: apt install stockfish; or name one with --engine PATH.")
        if self._engine is None:
            try:
                chosen = settings.load()
                self._memory = VerdictMemory.open(self._verdicts)
                self._engine = Engine.open(replace(chosen, path=self._path) if self._path else chosen, self._memory)
            except UnusableInput as trouble:
                self._why = trouble.what
                raise
        return self._engine

    def end(self) -> None:
        """Stop the engine and its thread."""
        self._wanted.clear()
        self._thread.submit(self._close)
        self._thread.shutdown()

    def _close(self) -> None:
        if self._engine is not None:
            self._engine.close()
        if self._memory is not None:
            self._memory.close()


def engine_look(board: chess.Board, verdict: EngineVerdict) -> EngineLook:
    """A verdict as a page shows it: the trade's sign with words, and lines in figurines."""
    lines = tuple(
        EngineLine(str(show_score(line.score)), line_text(board, line.moves[:PLIES])) for line in verdict.lines
    )
    words, cited = str(describe_verdict(verdict)), str(cite_verdict(verdict))
    return EngineLook(board.fen(), sign(verdict).symbol, words, cited, lines)


def line_text(board: chess.Board, moves: Sequence[str]) -> str:
    """UCI moves as books print them; it ends before the first that can't be played."""
    at, out = board.copy(stack=False), []
    for number, uci in enumerate(moves):
        try:
            move = at.parse_uci(uci)
        except ValueError:
            break
        out.append((move_number(at.fen()) if number == 0 or at.turn else "") + figurine(at.san(move)))
        at.push(move)
    return " ".join(out)
