"""Running the pupils' app: its socket and its address."""

from __future__ import annotations

from collections.abc import Callable

import uvicorn

from linewright.desk.pupils_routes import make_pupils_app
from linewright.desk.serving import LOOPBACK, bind, is_loopback
from linewright.practice.store import Store

#: Seconds that answers under way are given when the server ends.
PARTING = 5
#: Connections that wait to be taken: a class whose bell has just rung.
BACKLOG = 2048
#: Seconds that a pupil's connection stays open between two answers.
KEPT_OPEN = 60


def serve_pupils(store: Store, host: str = LOOPBACK, port: int = 0, told: Callable[[str], None] = print) -> None:
    """Serve a class's practice page until interrupted.

    :param port: 0 for any free one.
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
    uvicorn.Server(pupils_config(store)).run(sockets=[bound])


def pupils_config(store: Store) -> uvicorn.Config:
    """How the pupils' app is run; one process, since answers are gathered in it."""
    return uvicorn.Config(
        make_pupils_app(store),
        log_level="warning",
        access_log=False,
        server_header=False,
        timeout_graceful_shutdown=PARTING,
        timeout_keep_alive=KEPT_OPEN,
        backlog=BACKLOG,
        proxy_headers=False,
    )
