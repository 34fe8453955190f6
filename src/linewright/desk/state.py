"""What the desk's pages share while it runs. Route modules take it from ``request.app.state.desk``."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from starlette.requests import HTTPConnection


@dataclass(slots=True)
class Desk:
    """One run of the desk.

    :param folder: the folder of talks, resolved; nothing outside it is read or written for a page.
    :param base: the games base's file, which need not exist.
    :param home: the user's data folder (verdicts, pupils, settings).
    :param engine: the UCI engine named on the command line; never taken from a page.
    """

    folder: Path
    base: Path
    home: Path
    engine: Path | None = None


def desk_of(connection: HTTPConnection) -> Desk:
    """The desk that a request or WebSocket speaks with."""
    desk: Desk = connection.app.state.desk
    return desk
