"""A running desk for tests: a real server in a thread, with its real processes."""

from __future__ import annotations

import contextlib
import json
import threading
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import httpx
import uvicorn
from websockets.sync.client import ClientConnection, connect

from linewright.desk.app import make_app
from linewright.desk.guard import Door, host_names
from linewright.desk.serving import MOST_MESSAGE
from linewright.desk.state import Desk
from linewright.support.listening_socket import bind

TOKEN = "a-token-for-tests"
#: Bytes that the test desks take in at once.
MOST_UPLOAD = 10**6


@dataclass(frozen=True, slots=True)
class Running:
    """A desk at work.

    :param root: ``http://127.0.0.1:PORT``.
    """

    root: str
    port: int
    folder: Path
    home: Path
    desk: Desk
    token: str = TOKEN

    @property
    def door(self) -> str:
        """The address to open first."""
        return f"{self.root}/?token={self.token}"

    @property
    def cookie(self) -> str:
        return f"linewright-desk-{self.port}={self.token}"

    def client(self) -> httpx.Client:
        """A browser that was let in."""
        headers = {"cookie": self.cookie, "origin": self.root}
        return httpx.Client(base_url=self.root, headers=headers, timeout=20)

    @contextlib.contextmanager
    def page(self, talk: str) -> Iterator[Live]:
        """An open manuscript's connection."""
        address = f"ws://127.0.0.1:{self.port}/live?talk={talk}"
        with connect(address, origin=self.root, additional_headers={"cookie": self.cookie}, max_size=None) as socket:  # type: ignore[arg-type]
            yield Live(socket)


class Live:
    """The page's side of a live connection."""

    def __init__(self, socket: ClientConnection) -> None:
        self.socket = socket

    def send(self, **message: Any) -> None:
        self.socket.send(json.dumps(message))

    def hear(self, what: str, seconds: float = 60.0) -> dict[str, Any]:
        """The next message of a kind; the others are passed over."""
        until = time.monotonic() + seconds
        while True:
            message: dict[str, Any] = json.loads(self.socket.recv(timeout=max(0.01, until - time.monotonic())))
            if message["what"] == what:
                return message


@contextlib.contextmanager
def running(
    folder: Path,
    home: Path,
    base: Path | None = None,
    engine: Path | None = None,
    model: str | None = None,
    port: int = 0,
) -> Iterator[Running]:
    """Serve a folder until the block ends."""
    bound = bind("127.0.0.1", port)
    port = bound.getsockname()[1]
    desk = Desk(folder, base or home / "none.duckdb", home, engine or Path("/nowhere/engine"), model)
    app = make_app(desk, Door(host_names("127.0.0.1", port), TOKEN, limits={"/upload": MOST_UPLOAD}))
    config = uvicorn.Config(
        app,
        log_level="error",
        access_log=False,
        ws="websockets-sansio",
        ws_max_size=MOST_MESSAGE,
        timeout_graceful_shutdown=1,
    )
    server = uvicorn.Server(config)
    thread = threading.Thread(target=server.run, kwargs={"sockets": [bound]}, daemon=True)
    thread.start()
    try:
        until = time.monotonic() + 60
        while not server.started:
            assert thread.is_alive() and time.monotonic() < until, "the desk does not start"
            time.sleep(0.01)
        yield Running(f"http://127.0.0.1:{port}", port, folder, home, desk)
    finally:
        server.should_exit = True
        thread.join(10)
        bound.close()
        assert not thread.is_alive()
