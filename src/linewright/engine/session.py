"""A session with an engine: many positions, a budget, the memory, and what to do when the engine fails.

Several processes of the engine work side by side, one thread each. Since every question is a fixed amount of work in
a cleared hash table, how many there are, and in which order, doesn't change the answers.
"""

from __future__ import annotations

import asyncio
import time
from collections.abc import Callable, Coroutine, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final, TypeVar

import chess
import chess.engine

from linewright.engine.budget import enough, share
from linewright.engine.model import EngineTrouble, EngineVerdict, Over
from linewright.engine.process import Failure, Process
from linewright.engine.settings import EngineSettings, Patience, find
from linewright.engine.verdict_memory import VerdictMemory
from linewright.support.closing import Closing
from linewright.support.errors import UnusableInput

#: Called with how many positions are done, and of how many.
Progress = Callable[[int, int], None]
Answer = EngineVerdict | EngineTrouble
Result = TypeVar("Result")

#: After this many positions in a row without an answer, each with a restart in between, the engine is given up.
GIVE_UP_AFTER: Final = 3
#: Nodes to measure an engine's speed on: a fifth of a second.
SPEED_NODES: Final = 200_000
#: A common middlegame to measure it on: the Spanish after 9.h3, where both sides have everything to think about.
_SPEED_FEN: Final = "r1bq1rk1/2p1bppp/p1np1n2/1p2p3/4P3/1BP2N1P/PP1P1PP1/RNBQR1K1 b - - 0 9"


@dataclass(frozen=True, slots=True)
class _Question:
    board: chess.Board
    nodes: int
    lines: int


class Engine(Closing):
    """A running engine. Use it in one thread, outside of any event loop; close it, or use it as a context manager."""

    def __init__(self, path: Path, settings: EngineSettings, memory: VerdictMemory | None, patience: Patience) -> None:
        """See :meth:`open`."""
        self.path = path
        self.settings = settings
        self._memory = memory
        self._patience = patience
        self._processes = [Process(path, settings.hash_mb, patience) for _ in range(settings.processes)]
        self._runner = asyncio.Runner()
        self._failed_in_row = 0

    @classmethod
    def open(
        cls,
        named: Path | EngineSettings | None = None,
        memory: VerdictMemory | None = None,
        patience: Patience | None = None,
    ) -> Engine:
        """Find and start an engine.

        :param named: its program, or settings; None for the first engine found.
        :param memory: where verdicts are remembered; the caller closes it.
        :param patience: after how long it counts as hung.
        :raises UnusableInput: when there is none, or it doesn't start, twice.
        """
        settings = named if isinstance(named, EngineSettings) else EngineSettings(path=named)
        engine = cls(find(settings.path), settings, memory, patience or Patience())
        try:
            try:
                engine._run(engine._processes[0].start())
            except Failure:
                engine._run(engine._processes[0].start())
        except Failure as failure:
            engine.close()
            raise UnusableInput(
                f"the engine {engine.path} {failure}", "Name another one with --engine PATH, or check with --no-engine."
            ) from None
        except BaseException:
            engine.close()
            raise
        return engine

    def close(self) -> None:
        """Ask the engine to quit, and end it when it doesn't."""
        self._run(self._end())
        self._runner.close()

    @property
    def name(self) -> str:
        """The engine's name and version as it gives them."""
        return self._processes[0].name

    # What is asked of it.

    def verdicts(
        self,
        positions: Sequence[chess.Board | str],
        work: int | Sequence[int] | None = None,
        lines: int | None = None,
        progress: Progress | None = None,
        seconds: float | None = None,
        least: Sequence[int] | None = None,
    ) -> list[Answer]:
        """A verdict on each position, or why there is none, in the same order.

        A position remembered with enough work isn't asked about again; the same position is asked about once.
        A failing engine is restarted once for a position, then the position is given up; after
        ``GIVE_UP_AFTER`` such positions in a row, so are the rest.

        :param positions: boards or FENs.
        :param work: nodes for each, one number for all or a number each (0: only if remembered); the settings'
            unless given. Those with most work come first.
        :param lines: how many lines to ask for; the settings' unless given.
        :param progress: called after every position.
        :param seconds: stop asking after so long; what isn't done then is a trouble. Questions begun may run over.
        :param least: work from which on a remembered verdict will do, for each; the work itself unless given.
        """
        until = None if seconds is None else time.monotonic() + seconds
        works = [work or self.settings.nodes] * len(positions) if work is None or isinstance(work, int) else list(work)
        boards = [_board(position) for position in positions]
        keys = [board.fen if isinstance(board, EngineTrouble) else board.epd() for board in boards]
        total = len(set(keys))
        answers: dict[str, Answer] = {}
        questions: dict[str, _Question] = {}

        def answered(key: str, answer: Answer) -> None:
            answers[key] = answer
            if progress is not None:
                progress(len(answers), total)

        for index in sorted(range(len(positions)), key=lambda i: -works[i]):
            key, board = keys[index], boards[index]
            if key in answers or key in questions:
                continue
            known: Answer | None
            if isinstance(board, EngineTrouble):
                known = board
            else:
                questions[key] = _Question(board, works[index], lines or self.settings.lines)
                known = self._known(questions[key], works[index] if least is None else least[index])
            if known is not None:
                questions.pop(key, None)
                answered(key, known)
        self._run(self._all(questions, until, answered))
        return [answers[key] for key in keys]

    def within(
        self,
        positions: Sequence[chess.Board | str],
        doubts: Sequence[float],
        seconds: float,
        lines: int | None = None,
        progress: Progress | None = None,
    ) -> list[Answer]:
        """As :meth:`verdicts`, in so many seconds, shared out where the doubt is greatest.

        :param doubts: for each position, 0 and up; see :func:`linewright.engine.budget.share`.
        """
        until = time.monotonic() + seconds
        works = share(doubts, seconds, self.speed())
        left = max(0.0, until - time.monotonic())
        return self.verdicts(positions, works, lines, progress, left, [enough(nodes) for nodes in works])

    def speed(self) -> float:
        """The speed here and now of all its processes together, in nodes per second, measured on ``SPEED_NODES``
        each; a guess from :class:`Patience` when one fails at that."""
        board = chess.Board(_SPEED_FEN)

        async def measure() -> float:
            await asyncio.gather(*(process.start() for process in self._processes))
            started = time.monotonic()
            await asyncio.gather(*(process.ask(board, SPEED_NODES, 1) for process in self._processes))
            return SPEED_NODES * len(self._processes) / max(time.monotonic() - started, 1e-3)

        try:
            return self._run(measure())
        except Failure:
            return self._patience.nodes_per_second

    # How it is done.

    def _run(self, work: Coroutine[Any, Any, Result]) -> Result:
        """Run a coroutine, with impossible answers brought to the process that waits for a possible one."""
        loop = self._runner.get_loop()

        def noticed(_: asyncio.AbstractEventLoop, context: dict[str, Any]) -> None:
            if "future" in context and isinstance(context.get("exception"), chess.engine.EngineError):
                return  # the end of an engine that we ended in the middle of a question: nobody waits for it
            if not any(process.notice(context) for process in self._processes):
                loop.default_exception_handler(context)

        loop.set_exception_handler(noticed)
        return self._runner.run(work)

    async def _end(self) -> None:
        await asyncio.gather(*(process.end(ask=True) for process in self._processes))

    def _known(self, question: _Question, least: int) -> EngineVerdict | None:
        """What needs no engine: a game that is over, and what is remembered."""
        over = _over(question.board)
        if over is not None:
            return EngineVerdict(question.board.epd(), (), "", 0, 0, over)
        if self._memory is None:
            return None
        epd = question.board.epd()
        return self._memory.recall(epd, self.name, self.settings.hash_mb, least, question.lines)

    async def _all(
        self, questions: dict[str, _Question], until: float | None, answered: Callable[[str, Answer], None]
    ) -> None:
        """Put the questions to as many processes as there is work for, each taking the next when it is free."""
        waiting = iter(questions.items())
        some = self._processes[: len(questions)]
        try:
            async with asyncio.TaskGroup() as group:
                for process in some:
                    group.create_task(self._serve(process, waiting, until, answered))
        except BaseExceptionGroup as several:  # what the caller's progress raised, say: as if there were no group
            raise several.exceptions[0] from None

    async def _serve(
        self,
        process: Process,
        waiting: Iterator[tuple[str, _Question]],
        until: float | None,
        answered: Callable[[str, Answer], None],
    ) -> None:
        for key, question in waiting:
            answered(key, self._refused(question, until) or await self._ask(process, question))

    def _refused(self, question: _Question, until: float | None) -> EngineTrouble | None:
        """Why the question isn't put at all."""
        epd = question.board.epd()
        if question.nodes <= 0 or (until is not None and time.monotonic() >= until):
            return EngineTrouble(epd, "the time was up before this position", "Allow more with --seconds.")
        if self._failed_in_row >= GIVE_UP_AFTER:
            what = f"the engine {self.name} failed on {GIVE_UP_AFTER} positions in a row and isn't asked any more"
            return EngineTrouble(epd, what, "Name another one with --engine PATH, or check with --no-engine.")
        return None

    async def _ask(self, process: Process, question: _Question) -> Answer:
        """Ask a process, once more after a restart when it fails."""
        try:
            try:
                verdict = await process.ask(question.board, question.nodes, question.lines)
            except Failure:
                verdict = await process.ask(question.board, question.nodes, question.lines)
        except Failure as failure:
            self._failed_in_row += 1
            what = f"the engine {self.name} {failure}, also after a restart"
            todo = "Check again; if it stays so, name another one with --engine PATH."
            return EngineTrouble(question.board.epd(), what, todo)
        self._failed_in_row = 0
        if self._memory is not None:
            self._memory.remember(verdict, self.settings.hash_mb, question.lines)
        return verdict


def _board(position: chess.Board | str) -> chess.Board | EngineTrouble:
    """The position as a board; an engine may break on an illegal one, so it isn't asked."""
    try:
        board = position if isinstance(position, chess.Board) else chess.Board(position)
    except ValueError as error:
        return EngineTrouble(str(position), f"the position {position!r} can't be read: {error}", "Correct the FEN.")
    if not board.is_valid():
        return EngineTrouble(board.epd(), f"the position {board.fen()} is against the Laws", "Correct the position.")
    return board


def _over(board: chess.Board) -> Over | None:
    if board.is_checkmate():
        return Over.CHECKMATE
    if board.is_stalemate():
        return Over.STALEMATE
    return Over.DEAD if board.is_insufficient_material() else None
