"""Running the pupils' app: its socket and its address."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import ExitStack
from pathlib import Path

import uvicorn

from linewright.desk.pupils_routes import make_pupils_app
from linewright.desk.serving import LOOPBACK, bind, is_loopback
from linewright.errors import UnusableInput
from linewright.practice.play import Partner
from linewright.practice.store import Store

#: Seconds that answers under way are given when the server ends.
PARTING = 5
#: Connections that wait to be taken: a class whose bell has just rung.
BACKLOG = 2048
#: Seconds that a pupil's connection stays open between two answers.
KEPT_OPEN = 60


def serve_pupils(
    store: Store,
    host: str = LOOPBACK,
    port: int = 0,
    told: Callable[[str], None] = print,
    engine: Path | None = None,
) -> None:
    """Serve a class's practice page until interrupted.

    :param port: 0 for any free one.
    :param engine: the engine to play on against; the first one found unless given.
    :raises UnusableInput: when the address can't be bound.
    """
    bound = bind(host, port)
    number = bound.getsockname()[1]
    shown = f"[{host}]" if ":" in host else host
    told(f"The practice page is open: http://{shown}:{number}/practice/")
    told("Each pupil needs a link: linewright class invite PUPIL --address http://HOST:PORT")
    if not is_loopback(host):
        told(
            "What passes is not encrypted: outside your own network put it behind a server that speaks HTTPS, or "
            "whoever listens learns the links."
        )
    told("Ctrl-C closes it.")
    with ExitStack() as stack:
        partner: Partner | None = None
        try:
            partner = stack.enter_context(Partner(engine))
        except UnusableInput:
            if engine is not None:
                raise
            told("No engine was found, so that positions can't be played on. On Debian: apt install stockfish")
        uvicorn.Server(pupils_config(store, partner)).run(sockets=[bound])


def pupils_config(store: Store, partner: Partner | None = None) -> uvicorn.Config:
    """How the pupils' app is run; one process, since answers are gathered in it."""
    return uvicorn.Config(
        make_pupils_app(store, partner),
        log_level="warning",
        access_log=False,
        server_header=False,
        timeout_graceful_shutdown=PARTING,
        timeout_keep_alive=KEPT_OPEN,
        backlog=BACKLOG,
        proxy_headers=False,
    )
