"""Taking turns at an SQLite file that several processes open at the same moment."""

from __future__ import annotations

import sqlite3
import time
from collections.abc import Callable
from typing import Final, TypeVar

#: Seconds to wait for another process that holds the file.
PATIENCE: Final = 10.0
#: Seconds between two tries.
PAUSE: Final = 0.02

Result = TypeVar("Result")


def in_turn(action: Callable[[], Result]) -> Result:
    """Do it as soon as nobody else holds the file.

    SQLite's own waiting doesn't cover the change to WAL mode, nor another's tidying up after its last connection:
    there it says "locked" at once (https://www.sqlite.org/wal.html, "Sometimes Queries Return SQLITE_BUSY In WAL
    Mode").

    :raises sqlite3.OperationalError: when it is still held after :data:`PATIENCE` seconds, or for another reason.
    """
    until = time.monotonic() + PATIENCE
    while True:
        try:
            return action()
        except sqlite3.OperationalError as error:
            held = error.sqlite_errorcode & 0xFF in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED)
            if not held or time.monotonic() > until:
                raise
        time.sleep(PAUSE)
