"""Runs: what happened on the stage and when, as JSON lines beside the talk; and a walk's times from them.

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
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from pathlib import Path
from typing import IO, Any

import chess

from linewright.lesson.walk import BoardMark, Said, Walk
from linewright.publish.timing import RATE, spoken_talk
from linewright.stage.script import Stop, stops_of
from linewright.support.errors import UnusableInput
from linewright.talk.model import Place, Talk, Unit, Word

#: Squares that each shape of mark takes.
SHAPES = {"ring": 1, "dot": 1, "cross": 1, "path": 2}
#: What follows a talk's name in its runs' names.
SUFFIX = ".run.jsonl"
#: Seconds: a stop left sooner, backwards, was a slip of the finger.
SLIP = 2.0
#: How much slower than the trainer's rate words may be taken to be spoken; the rest of a stop's time is silence.
STRETCH = 1.6
#: Bytes of a run that are read: three hours with loudness are 2 MB.
MOST_BYTES = 64 * 2**20


@dataclass(frozen=True, slots=True)
class Entry:
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
    entries: tuple[Entry, ...]
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
            entries.append(Entry(t, do, value))
    if not any(entry.do == "start" for entry in entries):
        raise UnusableInput(f"{path} is not a run of the stage", "Name a run: NAME.DATE.run.jsonl.")
    return Run(path.name, tuple(sorted(entries, key=lambda entry: entry.t)), torn)


# -- times from a run ----------------------------------------------------------------------------------------


def timed(walk: Walk, run: Run, offset: float = 0.0, rate: float = RATE) -> Walk:
    """The walk with its words at the times of a run; words of stops that were skipped are left out.

    :param offset: seconds to add to the run's times, where the recording began at another moment.
    :param rate: words a minute that the words are spread by inside a stop.
    :raises UnusableInput: when the run is another talk's, or shows no stop.
    """
    stops = stops_of(walk)
    if run.stops not in (0, len(stops)):
        raise UnusableInput(
            f"{run.name} was recorded with {run.stops} steps, and the talk has {len(stops)} now",
            "Build from the talk as it was then (the desk keeps earlier versions), or rehearse again.",
        )
    arrived = arrivals(run, len(stops))
    if not any(at is not None for at in arrived):
        raise UnusableInput(f"{run.name} contains no steps", "Choose another run.")
    spread = _spread(walk.talk, stops, arrived, run, rate)
    gone = {
        index for stop, at in zip(stops, arrived, strict=True) if at is None for index in range(stop.first, stop.last)
    }
    spoken = _retimed(walk, {word: (a + offset, b + offset) for word, (a, b) in spread.items()}, gone)
    marks = (*walk.marks, *drawn_live(spoken, stops, arrived, run, offset))
    return replace(spoken, marks=tuple(sorted(marks, key=lambda mark: (mark.place.line, mark.place.column))))


def arrivals(run: Run, count: int) -> tuple[float | None, ...]:
    """When each stop was come to for the telling that counts, None for one that was skipped.

    A slip of the finger counts nowhere; what was said again counts the last time.
    """
    visits = _without_slips([(entry.t, at) for entry in run.entries if (at := stop_of(entry)) is not None])
    out: list[float | None] = [None] * count
    latest = math.inf
    for stop in range(count - 1, -1, -1):
        times = [t for t, at in visits if at == stop and t < latest]
        if times:
            out[stop] = latest = max(times)
    return tuple(out)


def drawn_live(
    spoken: Walk, stops: Sequence[Stop], arrived: Sequence[float | None], run: Run, offset: float = 0.0
) -> tuple[BoardMark, ...]:
    """The marks drawn on the walk while it was said, each at the word that was being said; none of those of asides.

    :param spoken: the walk with the run's times.
    """
    words = spoken.talk.words
    out: list[BoardMark] = []
    at, aside = 0, False
    shown = _shapes(stops[0].marks)
    for entry in run.entries:
        stop = stop_of(entry)
        if stop is not None and stop < len(stops):
            at, shown = stop, _shapes(stops[stop].marks)
        elif entry.do in ("aside", "walk"):
            aside = entry.do == "aside"
        elif entry.do == "mark" and not aside:
            now = _logged_shapes(entry.values.get("marks"))
            come, before, shown = arrived[at], shown, now
            if come is None or entry.t < come:
                continue
            said = [word for word in words if come + offset <= word.start <= entry.t + offset]
            if said:
                step = stops[at].state
                out += [
                    BoardMark(shape, squares, step, said[-1].place)
                    for shape, squares in now
                    if (shape, squares) not in before
                ]
    return tuple(out)


def _shapes(marks: Iterable[BoardMark]) -> list[tuple[str, tuple[str, ...]]]:
    return [(mark.shape, mark.squares) for mark in marks]


def _logged_shapes(rows: Any) -> list[tuple[str, tuple[str, ...]]]:
    """Marks as a run holds them, ``[["ring", "e5"], …]``; rows that are none are left out."""
    return [
        (str(row[0]), tuple(map(str, row[1:])))
        for row in (rows if isinstance(rows, list) else [])
        if isinstance(row, list) and len(row) > 1
    ]


def logged_marks(entry: Entry) -> tuple[BoardMark, ...]:
    """The marks that a ``mark`` line puts on the board; rows that are none are left out."""
    return tuple(
        BoardMark(shape, squares, 0, Place(1, 1))
        for shape, squares in _logged_shapes(entry.values.get("marks"))
        if len(squares) == SHAPES.get(shape) and all(square in chess.SQUARE_NAMES for square in squares)
    )


def stop_of(entry: Entry) -> int | None:
    """The stop that a line of a run goes to; None for a line that goes to none."""
    if entry.do == "start":
        return 0
    at = entry.values.get("at")
    return at if entry.do == "stop" and isinstance(at, int) else None


def _without_slips(visits: Sequence[tuple[float, int]]) -> list[tuple[float, int]]:
    """Visits without those that were left backwards at once, and without the coming back from them."""
    out: list[tuple[float, int]] = []
    for t, at in visits:
        if len(out) >= 2 and out[-2][1] == at and at < out[-1][1] and t - out[-1][0] < SLIP:
            out.pop()
            continue
        out.append((t, at))
    return out


def silences(run: Run) -> tuple[tuple[float, float], ...]:
    """Pauses and asides, in which nothing of the talk is said; merged, in time's order."""
    spans: list[tuple[float, float]] = []
    for begins, ends in (("pause", "on"), ("aside", "walk")):
        since: float | None = None
        for entry in run.entries:
            if entry.do == begins and since is None:
                since = entry.t
            elif entry.do == ends and since is not None:
                spans.append((since, entry.t))
                since = None
        if since is not None:
            spans.append((since, run.seconds))
    merged: list[tuple[float, float]] = []
    for start, end in sorted(spans):
        if merged and start <= merged[-1][1]:
            merged[-1] = (merged[-1][0], max(end, merged[-1][1]))
        else:
            merged.append((start, end))
    return tuple(merged)


def _spread(
    talk: Talk, stops: Sequence[Stop], arrived: Sequence[float | None], run: Run, rate: float
) -> dict[int, tuple[float, float]]:
    """Start and end of each word said: inside a stop by the words' length, outside pauses and asides."""
    estimate = spoken_talk(talk, rate).words
    quiet = silences(run)
    told = [(stop, at) for stop, at in zip(stops, arrived, strict=True) if at is not None]
    finished = any(entry.do == "finish" for entry in run.entries)
    out: dict[int, tuple[float, float]] = {}
    for (stop, at), following in zip(told, [*(at for _, at in told[1:]), None], strict=True):
        words = estimate[stop.first : stop.last]
        if not words:
            continue
        wanted = words[-1].end - words[0].start
        free = _free(at, following if following is not None else run.seconds if finished else at + wanted, quiet)
        have = sum(b - a for a, b in free)
        scale = min(have / wanted, STRETCH) if wanted > 0 else 0.0
        for index, word in enumerate(words, stop.first):
            start = _moment(free, (word.start - words[0].start) * scale)
            out[index] = (start, max(start, _moment(free, (word.end - words[0].start) * scale)))
    return out


def _free(start: float, end: float, quiet: Iterable[tuple[float, float]]) -> list[tuple[float, float]]:
    """A span of time without the silences in it."""
    out, at = [], start
    for a, b in quiet:
        if b <= at or a >= end:
            continue
        if a > at:
            out.append((at, a))
        at = max(at, b)
    if at < end or not out:
        out.append((at, max(at, end)))
    return out


def _moment(free: Sequence[tuple[float, float]], into: float) -> float:
    """The moment so many seconds into the free time."""
    for a, b in free:
        if into <= b - a:
            return round(a + into, 3)
        into -= b - a
    return round(free[-1][1], 3)


def _retimed(walk: Walk, times: dict[int, tuple[float, float]], gone: set[int]) -> Walk:
    """The walk with these times, without the words that were not said."""
    kept = [index for index in range(len(walk.talk.words)) if index not in gone]
    before = [0]
    for index in range(len(walk.talk.words)):
        before.append(before[-1] + (index not in gone))
    words: list[Word] = []
    clock = 0.0
    for old in kept:
        start, end = times.get(old, (clock, clock))
        words.append(replace(walk.talk.words[old], start=max(clock, start), end=max(clock, end)))
        clock = words[-1].start
    _end_before_next(words)
    talk = replace(
        walk.talk,
        unit=Unit.SECONDS,
        words=tuple(words),
        asides=tuple(replace(aside, word=before[aside.word]) for aside in walk.talk.asides),
        captions=(),
    )

    def said(old: Said) -> Said:
        first, last = before[old.first], before[old.last]
        if last > first:
            return replace(old, first=first, last=last, start=words[first].start, end=words[last - 1].end)
        at = words[min(first, len(words) - 1)].start if words else 0.0
        return replace(old, first=first, last=first, words="", start=at, end=at)

    return replace(
        walk,
        talk=talk,
        steps=tuple(replace(step, said=said(step.said)) for step in walk.steps),
        unread=tuple(
            replace(unread, said=said(unread.said))
            for unread in walk.unread
            if before[unread.said.last] > before[unread.said.first]
        ),
    )


def _end_before_next(words: list[Word]) -> None:
    """Let no word end after the next one begins."""
    for index, (word, following) in enumerate(pairwise(list(words))):
        if word.end > following.start:
            words[index] = replace(word, end=max(word.start, following.start))
