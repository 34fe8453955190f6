"""What the desk's pages share while it runs. Route modules take it from :func:`desk_of`."""

from __future__ import annotations

import hashlib
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import anyio
from starlette.requests import HTTPConnection, Request
from starlette.websockets import WebSocket, WebSocketDisconnect

from linewright.desk.files.folder import Folder
from linewright.desk.files.versions import Versions
from linewright.desk.files.watch import watch
from linewright.desk.hub import Hub
from linewright.desk.processes.engine_room import EngineRoom
from linewright.desk.processes.jobs import Jobs
from linewright.desk.processes.readings import Readings
from linewright.desk.processes.recogniser_process import Ear
from linewright.desk.rooms import Rooms
from linewright.desk.views.evidence import Evidence
from linewright.support.errors import UnusableInput
from linewright.support.paths import VERDICTS_FILE


@dataclass(slots=True)
class Desk:
    """One run of the desk.

    :param root: the folder of talks; nothing outside it is read or written for a page.
    :param base: the games base's file, which need not exist.
    :param home: the user's data folder (verdicts, pupils, settings, earlier versions of talks).
    :param engine: the UCI engine named on the command line; never taken from a page.
    :param model: the speech model named on the command line, never taken from a page.
    """

    root: Path
    base: Path
    home: Path
    engine: Path | None = None
    model: str | None = None
    folder: Folder = field(init=False)
    hub: Hub = field(init=False, default_factory=Hub)
    rooms: Rooms = field(init=False, default_factory=Rooms)
    readings: Readings = field(init=False)
    evidence: Evidence = field(init=False)
    engine_room: EngineRoom = field(init=False)
    ear: Ear = field(init=False)
    jobs: Jobs = field(init=False)

    def __post_init__(self) -> None:
        root = self.root.resolve()
        named = hashlib.sha256(str(root).encode()).hexdigest()[:16]
        verdicts = self.home / VERDICTS_FILE
        self.folder = Folder(root, Versions(self.home / "desk" / named))
        self.readings = Readings(self.base, verdicts)
        self.evidence = Evidence(self.base)
        self.engine_room = EngineRoom(self.engine, verdicts)
        self.ear = Ear(self.model, self.base)
        self.jobs = Jobs(self.hub)

    @asynccontextmanager
    async def running(self) -> AsyncIterator[None]:
        """Watches the folder while the app runs, and lets go of threads and processes at its end."""
        self.evidence.warm()
        self.readings.warm()
        try:
            async with anyio.create_task_group() as tasks:
                tasks.start_soon(watch, self.folder.root, self.hub)
                yield
                tasks.cancel_scope.cancel()
        finally:
            await self.rooms.end()
            self.jobs.end()
            self.readings.end()
            self.evidence.end()
            self.engine_room.end()
            self.ear.end()


def desk_of(connection: HTTPConnection) -> Desk:
    """The desk that a request or WebSocket speaks with."""
    desk: Desk = connection.app.state.desk
    return desk


async def asked(request: Request) -> dict[str, Any]:
    """The JSON object that a page sent as a request's body.

    :raises UnusableInput: when it is none.
    """
    try:
        return json_object(await request.json())
    except (ValueError, RecursionError):
        raise UnusableInput("this is not valid JSON", "Reload the page.") from None


async def next_text(socket: WebSocket) -> str:
    """A page's next message; ``""`` for one that is no text.

    :raises WebSocketDisconnect: when the page has gone.
    """
    message = await socket.receive()
    if message["type"] == "websocket.disconnect":
        raise WebSocketDisconnect(message.get("code", 1000), message.get("reason"))
    return message.get("text") or ""


def json_object(value: Any) -> dict[str, Any]:
    """What a page sent, if it is an object; an empty one for all else."""
    return value if isinstance(value, dict) else {}
