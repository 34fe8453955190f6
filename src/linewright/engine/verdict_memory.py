"""Verdicts remembered in a file, so that no position is asked about twice.

The file is an SQLite database in WAL mode: two processes may use it at once, and a verdict is in it whole or not at
all. A damaged file is set aside under another name, never deleted, and reported in ``Memory.notes``; when the file
can't be used, the check goes on without it.
"""

from __future__ import annotations

import contextlib
import json
import sqlite3
import time
from collections.abc import Iterable
from pathlib import Path
from typing import Any, Final

from linewright.engine.model import EngineVerdict, Line, Score, WinDrawLoss
from linewright.support.closing import Closing
from linewright.support.errors import UnusableInput
from linewright.support.sqlite_retry import PATIENCE, in_turn

#: The shape of the table; a file of a later shape is left alone.
VERSION: Final = 1

_TABLE: Final = """
CREATE TABLE IF NOT EXISTS verdicts (
    epd TEXT NOT NULL, engine TEXT NOT NULL, hash_mb INTEGER NOT NULL, nodes INTEGER NOT NULL, asked INTEGER NOT NULL,
    verdict TEXT NOT NULL, PRIMARY KEY (epd, engine, hash_mb, nodes, asked)
) WITHOUT ROWID
"""
_RECALL: Final = """
SELECT nodes, verdict FROM verdicts WHERE epd = ? AND engine = ? AND hash_mb = ? AND nodes >= ? AND asked >= ?
ORDER BY nodes DESC, asked DESC
"""
_BEST: Final = "SELECT engine, nodes, verdict FROM verdicts WHERE epd = ? ORDER BY nodes DESC, asked DESC"


class VerdictMemory(Closing):
    """Remembered verdicts. Use it in one thread."""

    def __init__(self, con: sqlite3.Connection | None, path: Path, notes: Iterable[str] = ()) -> None:
        self._con = con
        self.path = path
        #: What went wrong with the file, for the user: sentences.
        self.notes: list[str] = list(notes)

    @classmethod
    def open(cls, path: Path) -> VerdictMemory:
        """Open the file, making it and its folder where needed.

        :raises UnusableInput: for a file of a later version of the program.
        """
        notes: list[str] = []
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
            for _ in range(2):
                identity = _identity(path)
                try:
                    return cls(in_turn(lambda: _connect(path)), path, notes)
                except sqlite3.OperationalError:
                    raise
                except sqlite3.DatabaseError as error:
                    notes += _set_aside(path, identity, error)
            return cls(in_turn(lambda: _connect(path)), path, notes)
        except (OSError, sqlite3.Error) as error:
            notes.append(f"Engine verdicts can't be remembered in {path}: {error}")
            return cls(None, path, notes)

    def close(self) -> None:
        """Let go of the file."""
        if self._con is not None:
            self._con.close()
            self._con = None

    def recall(self, epd: str, engine: str, hash_mb: int, nodes: int, lines: int) -> EngineVerdict | None:
        """The verdict on a position with at least that work and that many lines asked for; the one with the most
        work where there are several. None when there is none, or none that can be read."""
        for made, text in self._run(_RECALL, (epd, engine, hash_mb, nodes, lines)):
            with contextlib.suppress(ValueError, KeyError, TypeError):
                return _decoded(epd, engine, made, json.loads(text))
        return None

    def best(self, epd: str) -> EngineVerdict | None:
        """The verdict on a position with the most work, whichever engine made it; None when there is none."""
        for engine, made, text in self._run(_BEST, (epd,)):
            with contextlib.suppress(ValueError, KeyError, TypeError):
                return _decoded(epd, engine, made, json.loads(text))
        return None

    def remember(self, verdict: EngineVerdict, hash_mb: int, asked: int) -> None:
        """Keep a verdict that was made with that hash size and that many lines asked for."""
        row = (verdict.fen, verdict.engine, hash_mb, verdict.nodes, asked, json.dumps(_encoded(verdict)))
        self._run("INSERT OR REPLACE INTO verdicts VALUES (?, ?, ?, ?, ?, ?)", row)

    def __len__(self) -> int:
        return sum(count for (count,) in self._run("SELECT count(*) FROM verdicts", ()))

    def _run(self, sql: str, values: tuple[Any, ...]) -> list[Any]:
        """The rows; on trouble with the file, a note, and no more use of it."""
        if self._con is None:
            return []
        try:
            with self._con:
                return self._con.execute(sql, values).fetchall()
        except sqlite3.Error as error:
            self.notes.append(f"Engine verdicts can no longer be remembered in {self.path}: {error}")
            self.close()
            return []


def _connect(path: Path) -> sqlite3.Connection:
    con = sqlite3.connect(path, timeout=PATIENCE)
    try:
        version = con.execute("PRAGMA user_version").fetchone()[0]
        if version > VERSION:
            raise UnusableInput(
                f"{path} was written by a later Linewright (its version is {version}, known here is {VERSION})",
                "Use that Linewright, or move the file away.",
            )
        if con.execute("PRAGMA quick_check").fetchone()[0] != "ok":
            raise sqlite3.DatabaseError("its pages are damaged")
        con.execute("PRAGMA journal_mode = WAL")
        # In WAL mode a crash of the machine loses at most the last verdicts, never the file.
        con.execute("PRAGMA synchronous = NORMAL")
        with con:
            con.execute(_TABLE)
            con.execute(f"PRAGMA user_version = {VERSION}")
        con.execute("SELECT epd, engine, hash_mb, nodes, asked, verdict FROM verdicts LIMIT 1").fetchall()
    except BaseException:
        con.close()
        raise
    return con


def _identity(path: Path) -> tuple[int, int] | None:
    try:
        found = path.stat()
    except OSError:
        return None
    return found.st_dev, found.st_ino


def _set_aside(path: Path, identity: tuple[int, int] | None, error: sqlite3.Error) -> list[str]:
    """Move a damaged file out of the way, unless another process has put a sound one in its place meanwhile."""
    if identity is None or _identity(path) != identity:
        return []
    aside = path.with_name(f"{path.name}.damaged-{time.strftime('%Y%m%d-%H%M%S')}")
    number = 1
    while aside.exists():
        aside = aside.with_name(f"{aside.name}-{number}")
        number += 1
    with contextlib.suppress(FileNotFoundError):
        path.rename(aside)
    for suffix in ("-wal", "-shm"):  # they belong to the damaged file, and would damage the new one
        with contextlib.suppress(FileNotFoundError):
            path.with_name(path.name + suffix).rename(aside.with_name(aside.name + suffix))
    return [f"The remembered engine verdicts in {path} can't be read ({error}); they are in {aside.name} now"]


def _encoded(verdict: EngineVerdict) -> dict[str, Any]:
    return {
        "depth": verdict.depth,
        "lines": [
            {
                "cp": line.score.centipawns,
                "mate": line.score.mate,
                "wdl": [line.expectation.win, line.expectation.draw, line.expectation.loss]
                if line.expectation
                else None,
                "moves": " ".join(line.moves),
            }
            for line in verdict.lines
        ],
    }


def _decoded(epd: str, engine: str, nodes: int, found: dict[str, Any]) -> EngineVerdict:
    """:raises ValueError, KeyError, TypeError: for anything that isn't what :func:`_encoded` writes."""
    lines = tuple(
        Line(
            Score(None if line["cp"] is None else int(line["cp"]), None if line["mate"] is None else int(line["mate"])),
            None if line["wdl"] is None else WinDrawLoss(*map(float, line["wdl"])),
            tuple(line["moves"].split()),
        )
        for line in found["lines"]
    )
    if not lines or not all(line.moves for line in lines):
        raise ValueError("a remembered verdict without moves")
    return EngineVerdict(epd, lines, engine, nodes, int(found["depth"]))
