"""A walk's times from a run: when each stop was come to, and when each of its words was said."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import replace
from itertools import pairwise

from linewright.lesson.walk import BoardMark, Said, Walk
from linewright.publish.timing import RATE, spoken_talk
from linewright.stage.runs import Run, logged_shapes, stop_of
from linewright.stage.script import Stop, stops_of
from linewright.support.errors import UnusableInput
from linewright.talk.model import Talk, Unit, Word

#: Seconds: a stop left sooner, backwards, was a slip of the finger.
SLIP = 2.0
#: How much slower than the trainer's rate words may be taken to be spoken; the rest of a stop's time is silence.
STRETCH = 1.6


def time_walk(walk: Walk, run: Run, offset: float = 0.0, rate: float = RATE) -> Walk:
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
    """When each stop was come to for the time that counts, None for one that was skipped.

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
            now = logged_shapes(entry.values.get("marks"))
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
    said_stops = [(stop, at) for stop, at in zip(stops, arrived, strict=True) if at is not None]
    finished = any(entry.do == "finish" for entry in run.entries)
    out: dict[int, tuple[float, float]] = {}
    for (stop, at), following in zip(said_stops, [*(at for _, at in said_stops[1:]), None], strict=True):
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
