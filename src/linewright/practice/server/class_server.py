"""Running a class's app: its socket and its address."""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from contextlib import ExitStack
from pathlib import Path

import h11
import uvicorn
from uvicorn.protocols.http.h11_impl import H11Protocol

from linewright.practice.classes.store import Store
from linewright.practice.playing_on import Partner
from linewright.practice.server.class_app import make_class_app
from linewright.support.errors import UnusableInput
from linewright.support.listening_socket import LOOPBACK, bind, is_loopback

#: Seconds that answers under way are given when the server ends.
PARTING = 5
#: Connections that wait to be taken: a class whose bell has just rung.
BACKLOG = 2048
#: Seconds that a pupil's connection stays open between two answers.
KEPT_OPEN = 60
#: Seconds in which a request must have come as a whole: half a megabyte over a poor mobile network.
PATIENCE = 30.0


class PromptProtocol(H11Protocol):
    """HTTP with clients who must finish what they ask in time: one who never does would keep a place for ever."""

    _alarm: asyncio.TimerHandle | None = None

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        super().connection_made(transport)
        self._wait()

    def data_received(self, data: bytes) -> None:
        super().data_received(data)
        if self.conn.their_state in (h11.IDLE, h11.SEND_BODY):
            self._wait()
        else:
            self._rest()

    def connection_lost(self, exc: Exception | None) -> None:
        self._rest()
        super().connection_lost(exc)

    def _wait(self) -> None:
        if self._alarm is None:
            self._alarm = asyncio.get_running_loop().call_later(PATIENCE, self.transport.abort)

    def _rest(self) -> None:
        if self._alarm is not None:
            self._alarm.cancel()
            self._alarm = None


def serve_class(
    store: Store,
    host: str = LOOPBACK,
    port: int = 0,
    say: Callable[[str], None] = print,
    engine: Path | None = None,
) -> None:
    """Serve a class's practice page until interrupted.

    :param port: 0 for any free one.
    :param say: is given the address and warnings, a line each.
    :param engine: the engine to play on against; the first one found unless given.
    :raises UnusableInput: when the address can't be bound.
    """
    bound = bind(host, port)
    number = bound.getsockname()[1]
    shown = f"[{host}]" if ":" in host else host
    say(f"The practice page is open: http://{shown}:{number}/practice/")
    say("Each pupil needs a link: linewright class invite PUPIL --address http://HOST:PORT")
    if not is_loopback(host):
        say(
            "What passes is not encrypted: outside your own network put it behind a server that speaks HTTPS, or "
            "whoever listens learns the links."
        )
    say("Ctrl-C closes it.")
    with ExitStack() as stack:
        partner: Partner | None = None
        try:
            partner = stack.enter_context(Partner(engine))
        except UnusableInput:
            if engine is not None:
                raise
            say("No engine was found, so that positions can't be played on. On Debian: apt install stockfish")
        uvicorn.Server(class_config(store, partner)).run(sockets=[bound])


def class_config(store: Store, partner: Partner | None = None) -> uvicorn.Config:
    """How a class's app is run; one process, since answers are gathered in it."""
    return uvicorn.Config(
        make_class_app(store, partner),
        log_level="warning",
        access_log=False,
        server_header=False,
        timeout_graceful_shutdown=PARTING,
        timeout_keep_alive=KEPT_OPEN,
        backlog=BACKLOG,
        http=PromptProtocol,
        proxy_headers=False,
    )
