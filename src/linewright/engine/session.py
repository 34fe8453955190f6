"""A session with a UCI engine: asking it about positions, and what to do when it fails.

The protocol itself is :mod:`chess.engine`'s. Questions are made so that the answers repeat: a fixed number of nodes,
one thread, a fixed and cleared hash table, and the position alone without the moves that led to it.
"""

from __future__ import annotations

import asyncio
import contextlib
import logging
import time
from collections.abc import Callable, Iterable, Sequence
from pathlib import Path
from types import TracebackType
from typing import Final

import chess
import chess.engine

from linewright.engine.budget import enough, share
from linewright.engine.memory import Memory
from linewright.engine.model import EngineTrouble, Expectation, Line, Over, Score, Verdict
from linewright.engine.settings import EngineSettings, Patience, find
from linewright.errors import UnusableInput

#: Called with how many positions are done, and of how many.
Progress = Callable[[int, int], None]

#: After so many positions in a row without an answer, each with a restart in between, the engine is given up.
GIVE_UP_AFTER: Final = 3
#: Nodes to measure an engine's speed on: a fifth of a second.
SPEED_NODES: Final = 200_000
#: A common middlegame to measure it on: the Spanish after 9.h3, where both sides have everything to think about.
_SPEED_FEN: Final = "r1bq1rk1/2p1bppp/p1np1n2/1p2p3/4P3/1BP2N1P/PP1P1PP1/RNBQR1K1 b - - 0 9"

#: What the protocol library has to say about odd engines we say ourselves; without this it goes to the terminal.
logging.getLogger("chess.engine").addHandler(logging.NullHandler())


class _Failure(Exception):
    """The engine failed; the text says how, as a clause after its name."""


class Engine:
    """A running engine. Use it in one thread, outside of any event loop; close it, or use it as a context manager."""

    def __init__(self, path: Path, settings: EngineSettings, memory: Memory | None, patience: Patience) -> None:
        """See :meth:`open`."""
        self.path = path
        self.settings = settings
        #: The engine's name and version as it gives them.
        self.name = path.name
        self._memory = memory
        self._patience = patience
        self._runner = asyncio.Runner()
        self._running: tuple[asyncio.SubprocessTransport, chess.engine.UciProtocol] | None = None
        self._failed_in_row = 0

    @classmethod
    def open(
        cls,
        named: Path | EngineSettings | None = None,
        memory: Memory | None = None,
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
                engine._start()
            except _Failure:
                engine._start()
        except _Failure as failure:
            engine.close()
            raise UnusableInput(
                f"the engine {engine.path} {failure}", "Name another one with --engine PATH, or check with --no-engine."
            ) from None
        except BaseException:
            engine.close()
            raise
        return engine

    def __enter__(self) -> Engine:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def close(self) -> None:
        """Ask the engine to quit, and end it when it doesn't."""
        self._stop(ask=True)
        self._runner.close()

    # What is asked of it.

    def verdicts(
        self,
        positions: Sequence[chess.Board | str],
        work: int | Sequence[int] | None = None,
        lines: int | None = None,
        progress: Progress | None = None,
        seconds: float | None = None,
        least: Sequence[int] | None = None,
    ) -> list[Verdict | EngineTrouble]:
        """A verdict on each position, or why there is none, in the same order.

        A position remembered with enough work isn't asked about again; the same position is asked about once.
        A failing engine is started anew once for a position, then the position is given up; after
        ``GIVE_UP_AFTER`` such positions in a row, so are the rest.

        :param positions: boards or FENs.
        :param work: nodes for each, one number for all or a number each (0: only if remembered); the settings'
            unless given. Those with most work come first.
        :param lines: how many lines to ask for; the settings' unless given.
        :param progress: told after every position.
        :param seconds: stop asking after so long; what isn't done then is a trouble. One question may run over.
        :param least: work from which on a remembered verdict will do, for each; the work itself unless given.
        """
        lines = lines or self.settings.lines
        works = [work or self.settings.nodes] * len(positions) if work is None or isinstance(work, int) else list(work)
        sufficient = works if least is None else least
        until = None if seconds is None else time.monotonic() + seconds
        answers: list[Verdict | EngineTrouble | None] = [None] * len(positions)
        known: dict[str, Verdict | EngineTrouble] = {}
        for done, index in enumerate(sorted(range(len(positions)), key=lambda i: -works[i]), 1):
            board = _board(positions[index])
            if isinstance(board, EngineTrouble):
                answers[index] = board
            else:
                epd = board.epd()
                if epd not in known:
                    known[epd] = self._answer(board, works[index], sufficient[index], lines, until)
                answers[index] = known[epd]
            if progress is not None:
                progress(done, len(positions))
        return [answer for answer in answers if answer is not None]

    def within(
        self,
        positions: Sequence[chess.Board | str],
        doubts: Sequence[float],
        seconds: float,
        lines: int | None = None,
        progress: Progress | None = None,
    ) -> list[Verdict | EngineTrouble]:
        """As :meth:`verdicts`, in so many seconds, shared out where the doubt is greatest.

        :param doubts: for each position, 0 and up; see :func:`linewright.engine.budget.share`.
        """
        until = time.monotonic() + seconds
        speed = self.speed()
        works = share(doubts, seconds, speed)
        left = max(0.0, until - time.monotonic())
        return self.verdicts(positions, works, lines, progress, left, [enough(nodes) for nodes in works])

    def speed(self) -> float:
        """The engine's speed here and now, in nodes per second, measured on ``SPEED_NODES``; a guess from
        :class:`Patience` when it fails at that."""
        started = time.monotonic()
        try:
            self._attempt(chess.Board(_SPEED_FEN), SPEED_NODES, 1)
        except _Failure:
            return self._patience.nodes_per_second
        return SPEED_NODES / max(time.monotonic() - started, 1e-3)

    # One question.

    def _answer(
        self, board: chess.Board, nodes: int, least: int, lines: int, until: float | None
    ) -> Verdict | EngineTrouble:
        """What is said of one position: the Laws, the memory or the engine."""
        epd = board.epd()
        over = _over(board)
        if over is not None:
            return Verdict(epd, (), "", 0, 0, over)
        if self._memory is not None:
            remembered = self._memory.recall(epd, self.name, self.settings.hash_mb, least, lines)
            if remembered is not None:
                return remembered
        if nodes <= 0 or (until is not None and time.monotonic() >= until):
            return EngineTrouble(epd, "the time was up before this position", "Allow more with --seconds.")
        if self._failed_in_row >= GIVE_UP_AFTER:
            what = f"the engine {self.name} failed on {GIVE_UP_AFTER} positions in a row and isn't asked any more"
            return EngineTrouble(epd, what, "Name another one with --engine PATH, or check with --no-engine.")
        verdict = self._ask(board, nodes, lines)
        if isinstance(verdict, Verdict) and self._memory is not None:
            self._memory.remember(verdict, self.settings.hash_mb, lines)
        return verdict

    def _ask(self, board: chess.Board, nodes: int, lines: int) -> Verdict | EngineTrouble:
        """Ask the engine, once more after a restart when it fails."""
        try:
            try:
                verdict = self._attempt(board, nodes, lines)
            except _Failure:
                verdict = self._attempt(board, nodes, lines)
        except _Failure as failure:
            self._failed_in_row += 1
            what = f"the engine {self.name} {failure}, also after a restart"
            return EngineTrouble(board.epd(), what, "Check again; if it stays so, name another one with --engine PATH.")
        self._failed_in_row = 0
        return verdict

    def _attempt(self, board: chess.Board, nodes: int, lines: int) -> Verdict:
        """One try; a failed engine is ended.

        :raises _Failure: when it doesn't answer, or not with a verdict.
        """
        if self._running is None:
            self._start()
        assert self._running is not None
        seconds = self._patience.question(nodes)
        # The position alone: the moves that led to it, and its counters, must not change the answer.
        alone = chess.Board(f"{board.epd()} 0 1")
        try:
            found, depth = self._runner.run(_asked(self._running[1], alone, nodes, lines, seconds))
        except BaseException:  # a failed engine, or Ctrl-C in the middle of a question
            self._stop(ask=False)
            raise
        return Verdict(board.epd(), found, self.name, nodes, depth)

    # The program.

    def _start(self) -> None:
        """:raises _Failure: when the program doesn't start, or doesn't speak UCI in time."""
        self._stop(ask=False)
        self._running = self._runner.run(_started(self.path, self.settings.hash_mb, self._patience))
        self.name = self._running[1].id.get("name", "").strip() or self.path.name

    def _stop(self, ask: bool) -> None:
        if self._running is not None:
            running, self._running = self._running, None
            self._runner.run(_ended(*running, self._patience.leave if ask else 0.0))


async def _started(
    path: Path, hash_mb: int, patience: Patience
) -> tuple[asyncio.SubprocessTransport, chess.engine.UciProtocol]:
    loop = asyncio.get_running_loop()
    try:
        # Its own process group: Ctrl-C is for us, and we end it.
        transport, protocol = await chess.engine.UciProtocol.popen(str(path), setpgrp=True)
    except OSError as error:
        raise _Failure(f"can't be started: {error.strerror or error}") from None
    try:
        until = loop.time() + patience.start
        async with asyncio.timeout_at(until):
            await protocol.initialize()
            await protocol.configure(_options(protocol, hash_mb))
            await protocol.ping()
    except BaseException as error:
        await _ended(transport, protocol, 0.0)
        if isinstance(error, TimeoutError):
            raise _Failure(f"didn't get ready within {patience.start:g} seconds: it may be no UCI engine") from None
        if isinstance(error, chess.engine.EngineError):
            raise _Failure(f"failed while starting: {error}") from None
        raise
    return transport, protocol


def _options(protocol: chess.engine.UciProtocol, hash_mb: int) -> dict[str, int | bool]:
    """One thread and a fixed hash table, so that answers repeat; expectations where the engine gives them."""
    wanted: dict[str, int | bool] = {"Threads": 1, "Hash": hash_mb, "UCI_ShowWDL": True}
    return {name: value for name, value in wanted.items() if name in protocol.options}


async def _asked(
    protocol: chess.engine.UciProtocol, board: chess.Board, nodes: int, lines: int, seconds: float
) -> tuple[tuple[Line, ...], int]:
    """The lines found and the depth of the best.

    :raises _Failure: when the engine dies, hangs, breaks the protocol or gives no line.
    """
    last: dict[int, chess.engine.InfoDict] = {}
    task, loop = asyncio.current_task(), asyncio.get_running_loop()
    broken: list[str] = []

    def noticed(_: asyncio.AbstractEventLoop, context: dict[str, object]) -> None:
        """The protocol library tells an impossible answer to the loop only, and would wait for another one."""
        broken.append(str(context.get("exception") or context.get("message")))
        if task is not None:
            task.cancel()

    loop.set_exception_handler(noticed)
    try:
        async with asyncio.timeout(seconds):
            limit = chess.engine.Limit(nodes=nodes)
            # A new game each time clears the hash table.
            analysis = await protocol.analysis(board, limit, multipv=lines, game=object())
            async for info in analysis:
                if "score" in info and info.get("pv") and not info.get("lowerbound") and not info.get("upperbound"):
                    last[info.get("multipv", 1)] = info
    except TimeoutError:
        raise _Failure(f"didn't answer within {seconds:g} seconds") from None
    except chess.engine.EngineTerminatedError:
        raise _Failure("ended unexpectedly") from None
    except chess.engine.EngineError as error:
        raise _Failure(f"broke the protocol: {error}") from None
    except asyncio.CancelledError:
        if not broken:
            raise
        raise _Failure(f"broke the protocol: {broken[0]}") from None
    finally:
        loop.set_exception_handler(None)
    found = _lines((last[number] for number in sorted(last)), board.turn)
    if not found:
        raise _Failure("gave no score")
    return found[:lines], last[min(last)].get("depth", 0)


async def _ended(transport: asyncio.SubprocessTransport, protocol: chess.engine.UciProtocol, seconds: float) -> None:
    """End the program: let it quit for so many seconds, then kill it; afterwards nothing of it is left."""
    if seconds:
        with contextlib.suppress(TimeoutError, chess.engine.EngineError, OSError):
            async with asyncio.timeout(seconds):
                await protocol.quit()
    if transport.get_returncode() is None:
        with contextlib.suppress(ProcessLookupError):
            transport.kill()
        with contextlib.suppress(TimeoutError):
            async with asyncio.timeout(5):
                await asyncio.shield(protocol.returncode)
    transport.close()
    await asyncio.sleep(0)  # lets the pipes close


def _lines(infos: Iterable[chess.engine.InfoDict], turn: chess.Color) -> tuple[Line, ...]:
    """The lines in what the engine told, best for the side to move first; one for each first move."""
    found: dict[str, Line] = {}
    for info in infos:
        score = _score(info["score"])
        moves = tuple(move.uci() for move in info["pv"])
        if score is not None and moves[0] not in found:
            found[moves[0]] = Line(score, _expectation(info), moves)
    return tuple(sorted(found.values(), key=lambda line: line.score.order(), reverse=turn == chess.WHITE))


def _score(told: chess.engine.PovScore) -> Score | None:
    white = told.white()
    mate = white.mate()
    if mate is not None:
        return Score(mate=mate) if mate else None
    return Score(centipawns=white.score())


def _expectation(info: chess.engine.InfoDict) -> Expectation | None:
    told = info.get("wdl")
    if told is None:
        return None
    white = told.white()
    total = white.wins + white.draws + white.losses
    return Expectation(white.wins / total, white.draws / total, white.losses / total) if total else None


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
