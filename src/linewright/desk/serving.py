"""Running the desk: its socket, its secret, its address."""

from __future__ import annotations

import gc
import secrets
import signal
import socket
import threading
import webbrowser
from collections.abc import Callable, Iterator
from contextlib import contextmanager

import uvicorn

from linewright.desk.app import make_app
from linewright.desk.guard import Door, host_names
from linewright.desk.state import Desk
from linewright.support.listening_socket import LOOPBACK, bind, is_loopback

#: Seconds that open pages are given when the desk ends.
PARTING = 2
#: Bytes in one WebSocket message: a talk of ten hours, as JSON.
MOST_MESSAGE = 8 * 2**20
#: Bytes in a recording dropped on the page: an hour of uncompressed stereo sound at 48 kHz is 0.7 GB.
MOST_UPLOAD = 2 * 2**30

#: Seconds until the browser is sent to the desk: by then it answers.
OPENING = 0.5


def serve(
    desk: Desk,
    host: str = LOOPBACK,
    port: int = 0,
    say: Callable[[str], None] = print,
    browse: bool = False,
) -> None:
    """Serve until interrupted.

    :param host: address to bind; anything but loopback is warned about.
    :param port: 0 for any free one.
    :param say: is given the address with its secret, and warnings.
    :param browse: open the address in the user's browser.
    :raises UnusableInput: when the address can't be bound.
    """
    bound = bind(host, port)
    number = bound.getsockname()[1]
    token = secrets.token_urlsafe(32)
    if not is_loopback(host):
        say(
            f"Warning: {host} is open to the network: whoever learns the address below can read and change the talks, "
            "and what passes is not encrypted. Leave --host out unless you need it."
        )
    named = (socket.gethostname().lower(),) if not is_loopback(host) else ()
    everywhere = host in ("0.0.0.0", "::")
    door = Door(host_names(host, number, named), token, everywhere, {"/upload": MOST_UPLOAD})
    shown = "127.0.0.1" if everywhere else f"[{host}]" if ":" in host else host
    address = f"http://{shown}:{number}/?token={token}"
    say(f"The desk is open: {address}")
    say("Ctrl-C closes it.")
    if browse:
        threading.Timer(OPENING, webbrowser.open, (address,)).start()
    config = uvicorn.Config(
        make_app(desk, door),
        log_level="warning",
        access_log=False,
        server_header=False,
        timeout_graceful_shutdown=PARTING,
        ws="websockets-sansio",
        ws_max_size=MOST_MESSAGE,
        ws_per_message_deflate=not is_loopback(host),
        proxy_headers=False,
    )
    server = uvicorn.Server(config)
    # What was loaded until now stays: going through it again and again for garbage would hold up pages by 60 ms.
    gc.collect()
    gc.freeze()
    with _quiet_signals():
        server.run(sockets=[bound])


@contextmanager
def _quiet_signals() -> Iterator[None]:
    """Ctrl-C and a polite kill close the desk, and that is all: uvicorn raises them again once it has closed."""
    before = {one: signal.signal(one, lambda *_: None) for one in (signal.SIGINT, signal.SIGTERM)}
    try:
        yield
    finally:
        for one, handler in before.items():
            signal.signal(one, handler)
