"""One running engine: starting it, asking it one question, ending it.

The protocol itself is :mod:`chess.engine`'s. Questions are made so that the answers repeat: a fixed number of nodes,
one thread, a fixed and cleared hash table, and the position alone without the moves that led to it.
"""

from __future__ import annotations

import asyncio
import contextlib
import logging
from collections.abc import Iterable
from pathlib import Path
from typing import Any

import chess
import chess.engine

from linewright.engine.model import EngineVerdict, Line, Score, WinDrawLoss
from linewright.engine.settings import Patience

#: What the protocol library has to say about odd engines we say ourselves; without this it goes to the terminal.
logging.getLogger("chess.engine").addHandler(logging.NullHandler())


class Failure(Exception):
    """The engine failed; the text says how, as a clause after its name."""


class Process:
    """An engine's process, started when it is first asked. Use it inside one event loop."""

    def __init__(self, path: Path, hash_mb: int, patience: Patience) -> None:
        self.path = path
        #: The engine's name and version as it gives them.
        self.name = path.name
        self._hash_mb = hash_mb
        self._patience = patience
        self._running: tuple[asyncio.SubprocessTransport, chess.engine.UciProtocol] | None = None
        self._asking: asyncio.Task[Any] | None = None
        self._broken = ""

    @property
    def pid(self) -> int | None:
        """The process's number while it runs."""
        return self._running[0].get_pid() if self._running else None

    async def start(self) -> None:
        """Start the program, unless it runs already.

        :raises Failure: when it doesn't start, or doesn't speak UCI in time.
        """
        if self._running is not None:
            return
        try:
            # Its own process group: Ctrl-C is for us, and we end it.
            self._running = await chess.engine.UciProtocol.popen(str(self.path), setpgrp=True)
        except OSError as error:
            raise Failure(f"can't be started: {error.strerror or error}") from None
        protocol = self._running[1]
        try:
            async with asyncio.timeout(self._patience.start):
                await protocol.initialize()
                await protocol.configure(_options(protocol, self._hash_mb))
                await protocol.ping()
        except BaseException as error:
            await self.end(ask=False)
            if isinstance(error, TimeoutError):
                what = f"didn't get ready within {self._patience.start:g} seconds: it may be no UCI engine"
                raise Failure(what) from None
            if isinstance(error, chess.engine.EngineError):
                raise Failure(f"failed while starting: {error}") from None
            raise
        self.name = protocol.id.get("name", "").strip() or self.path.name

    async def ask(self, board: chess.Board, nodes: int, lines: int) -> EngineVerdict:
        """Its verdict on a position.

        :raises Failure: when it dies, hangs, breaks the protocol or gives no line; it has been ended then.
        """
        await self.start()
        assert self._running is not None
        # The position alone: the moves that led to it, and its counters, must not change the answer.
        alone = chess.Board(f"{board.epd()} 0 1")
        self._asking, self._broken = asyncio.current_task(), ""
        try:
            found, depth = await self._answer(self._running[1], alone, nodes, lines)
        except BaseException:  # a failed engine, or Ctrl-C in the middle of a question
            await self.end(ask=False)
            raise
        finally:
            self._asking = None
        return EngineVerdict(board.epd(), found, self.name, nodes, depth)

    async def _answer(
        self, protocol: chess.engine.UciProtocol, board: chess.Board, nodes: int, lines: int
    ) -> tuple[tuple[Line, ...], int]:
        """The lines found and the depth of the best."""
        last: dict[int, chess.engine.InfoDict] = {}
        seconds = self._patience.question(nodes)
        try:
            async with asyncio.timeout(seconds):
                limit = chess.engine.Limit(nodes=nodes)
                # A new game each time clears the hash table.
                analysis = await protocol.analysis(board, limit, multipv=lines, game=object())
                async for info in analysis:
                    if "score" in info and info.get("pv") and not info.get("lowerbound") and not info.get("upperbound"):
                        last[info.get("multipv", 1)] = info
        except TimeoutError:
            raise Failure(f"didn't answer within {seconds:g} seconds") from None
        except chess.engine.EngineTerminatedError:
            raise Failure("ended unexpectedly") from None
        except chess.engine.EngineError as error:
            raise Failure(f"broke the protocol: {error}") from None
        except asyncio.CancelledError:
            if not self._broken:
                raise
            raise Failure(f"broke the protocol: {self._broken}") from None
        found = _lines((last[number] for number in sorted(last)), board.turn)
        if not found:
            raise Failure("gave no score")
        return found[:lines], last[min(last)].get("depth", 0)

    def notice(self, context: dict[str, Any]) -> bool:
        """Called by the event loop for an impossible answer, which the protocol library would wait out: stops the
        question. Whether it was this engine's."""
        if self._running is None or context.get("protocol") is not self._running[1]:
            return False
        if self._asking is not None and not self._broken:
            self._broken = str(context.get("exception") or context.get("message"))
            self._asking.cancel()
        return True

    async def end(self, ask: bool) -> None:
        """End the program; afterwards nothing of it is left.

        :param ask: let it quit by itself first.
        """
        if self._running is None:
            return
        (transport, protocol), self._running = self._running, None
        if ask:
            with contextlib.suppress(TimeoutError, chess.engine.EngineError, OSError):
                async with asyncio.timeout(self._patience.leave):
                    await protocol.quit()
        if transport.get_returncode() is None:
            with contextlib.suppress(ProcessLookupError):
                transport.kill()
            with contextlib.suppress(TimeoutError):
                async with asyncio.timeout(self._patience.leave):
                    await asyncio.shield(protocol.returncode)
        transport.close()
        await asyncio.sleep(0)  # lets the pipes close


def _options(protocol: chess.engine.UciProtocol, hash_mb: int) -> dict[str, int | bool]:
    """One thread and a fixed hash table, so that answers repeat; expectations where the engine gives them."""
    wanted: dict[str, int | bool] = {"Threads": 1, "Hash": hash_mb, "UCI_ShowWDL": True}
    return {name: value for name, value in wanted.items() if name in protocol.options}


def _lines(infos: Iterable[chess.engine.InfoDict], turn: chess.Color) -> tuple[Line, ...]:
    """The lines in what the engine said, best for the side to move first; one for each first move."""
    found: dict[str, Line] = {}
    for info in infos:
        score = _score(info["score"])
        moves = tuple(move.uci() for move in info["pv"])
        if score is not None and moves[0] not in found:
            found[moves[0]] = Line(score, _expectation(info), moves)
    return tuple(sorted(found.values(), key=lambda line: line.score.order(), reverse=turn == chess.WHITE))


def _score(given: chess.engine.PovScore) -> Score | None:
    white = given.white()
    mate = white.mate()
    if mate is not None:
        return Score(mate=mate) if mate else None
    return Score(centipawns=white.score())


def _expectation(info: chess.engine.InfoDict) -> WinDrawLoss | None:
    given = info.get("wdl")
    if given is None:
        return None
    white = given.white()
    total = white.wins + white.draws + white.losses
    return WinDrawLoss(white.wins / total, white.draws / total, white.losses / total) if total else None
