"""Runs: what happened on the stage and when, as JSON lines beside the talk.

A line is one object with ``t`` (seconds since the run's start, on one clock) and ``do``: ``start`` (with ``talk``,
``title``, ``version``, ``stops`` and the wall clock's ``at``), ``stop`` (``at``, the stop's number), ``aside`` and
``walk`` (into an aside, and back), ``play`` (``uci``), ``unplay``, ``mark`` (all ``marks`` that are shown from then
on), ``turn`` (the board), ``pause``, ``on``, ``clap`` (``late``: seconds until the loudspeaker sounds), ``loud``
(``every`` seconds, ``level`` list, 0-1: the microphone's loudness up to ``t``), ``finish``. Every line is on the disk
before the next act is taken, so that a crash costs no more than the act it interrupts; a torn last line is left out.
"""

from __future__ import annotations

import json
import math
import os
import time
from dataclasses import dataclass
from pathlib import Path
from typing import IO, Any

import chess

from linewright.lesson.walk import BoardMark
from linewright.support.errors import UnusableInput
from linewright.talk.model import Place

#: Squares that each shape of mark takes.
SHAPES = {"ring": 1, "dot": 1, "cross": 1, "path": 2}
#: What follows a talk's name in its runs' names.
SUFFIX = ".run.jsonl"
#: Bytes of a run that are read: three hours with loudness are 2 MB.
MOST_BYTES = 64 * 2**20


@dataclass(frozen=True, slots=True)
class RunEntry:
    """One line of a run.

    :param t: seconds since the run's start.
    """

    t: float
    do: str
    values: dict[str, Any]


@dataclass(frozen=True, slots=True)
class Run:
    """A run as it was logged, in time's order.

    :param torn: lines that could not be read and are left out.
    """

    name: str
    entries: tuple[RunEntry, ...]
    torn: int = 0

    @property
    def seconds(self) -> float:
        return self.entries[-1].t if self.entries else 0.0

    @property
    def clap(self) -> float | None:
        """When the last clap sounded: at its key, or as much later as the loudspeaker that clapped said it was."""
        found = next((entry for entry in reversed(self.entries) if entry.do == "clap"), None)
        late = found.values.get("late", 0.0) if found else 0.0
        return None if found is None else found.t + (late if isinstance(late, int | float) else 0.0)

    @property
    def stops(self) -> int:
        """How many stops the script had; 0 when the run doesn't say."""
        first = self.entries[0].values.get("stops", 0) if self.entries else 0
        return first if isinstance(first, int) else 0


class RunLog:
    """A run being written. Use it from one thread."""

    def __init__(self, path: Path, **about: Any) -> None:
        """Begin a run.

        :raises OSError: when the file can't be made, or already exists.
        """
        self.path = path
        self._file: IO[bytes] = path.open("xb", buffering=0)
        self._begun = time.monotonic()
        self.write("start", **about)

    @property
    def now(self) -> float:
        """Seconds since the run's start."""
        return time.monotonic() - self._begun

    def write(self, do: str, **values: Any) -> float:
        """Put a line on the disk; its time."""
        t = round(self.now, 3)
        line = json.dumps({"t": t, "do": do} | values, ensure_ascii=False, separators=(",", ":"))
        self._file.write(line.encode() + b"\n")
        os.fsync(self._file.fileno())
        return t

    def close(self) -> None:
        self._file.close()


def run_path(talk: Path, moment: time.struct_time | None = None) -> Path:
    """A new run's file beside its talk: ``NAME.2026-11-25-1710.run.jsonl``, with a number where that is taken."""
    stamp = time.strftime("%Y-%m-%d-%H%M", moment or time.localtime())
    for number in range(1, 1000):
        extra = "" if number == 1 else f"-{number}"
        path = talk.with_name(f"{talk.stem}.{stamp}{extra}{SUFFIX}")
        if not path.exists():
            return path
    raise UnusableInput(f"{talk.name} has too many runs of this minute", "Wait a minute.")


def runs_of(talk: Path) -> tuple[Path, ...]:
    """A talk's runs, the newest last."""
    begins = f"{talk.stem}."
    found = (path for path in talk.parent.glob(f"*{SUFFIX}") if path.name.startswith(begins))
    return tuple(sorted(found, key=lambda path: path.name))


def read_run(path: Path) -> Run:
    """A run from its file; lines that can't be read are left out and counted.

    :raises UnusableInput: when there is no such file, or it is no run.
    """
    try:
        with path.open("rb") as file:
            data = file.read(MOST_BYTES + 1)
    except OSError as error:
        raise UnusableInput(f"{path}: {error.strerror or error}", "Name a run: NAME.DATE.run.jsonl.") from None
    if len(data) > MOST_BYTES:
        raise UnusableInput(f"{path} is over {MOST_BYTES // 2**20} MB, too long for a run", "Choose another file.")
    entries, torn = [], 0
    for line in data.splitlines():
        try:
            value = json.loads(line)
            t, do = float(value.pop("t")), str(value.pop("do"))
        except (ValueError, KeyError, TypeError, AttributeError, RecursionError):
            torn += 1
            continue
        if math.isfinite(t) and t >= 0:
            entries.append(RunEntry(t, do, value))
    if not any(entry.do == "start" for entry in entries):
        raise UnusableInput(f"{path} is not a run of the stage", "Name a run: NAME.DATE.run.jsonl.")
    return Run(path.name, tuple(sorted(entries, key=lambda entry: entry.t)), torn)


def stop_of(entry: RunEntry) -> int | None:
    """The stop that a line of a run goes to; None for a line that goes to none."""
    if entry.do == "start":
        return 0
    at = entry.values.get("at")
    return at if entry.do == "stop" and isinstance(at, int) else None


def logged_marks(entry: RunEntry) -> tuple[BoardMark, ...]:
    """The marks that a ``mark`` line puts on the board; rows that are none are left out."""
    return tuple(
        BoardMark(shape, squares, 0, Place(1, 1))
        for shape, squares in logged_shapes(entry.values.get("marks"))
        if len(squares) == SHAPES.get(shape) and all(square in chess.SQUARE_NAMES for square in squares)
    )


def logged_shapes(rows: Any) -> list[tuple[str, tuple[str, ...]]]:
    """Marks as a run holds them, ``[["ring", "e5"], …]``; rows that are none are left out."""
    return [
        (str(row[0]), tuple(map(str, row[1:])))
        for row in (rows if isinstance(rows, list) else [])
        if isinstance(row, list) and len(row) > 1
    ]
