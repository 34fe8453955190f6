"""Rehearsal: how fast the trainer speaks, and how a run went against the plan. Pure functions."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from difflib import SequenceMatcher

from linewright.language.tokens import word_key
from linewright.publish.timing import FASTEST, RATE, SLOWEST, spoken_talk
from linewright.stage.run_times import arrivals, silences
from linewright.stage.runs import Run
from linewright.stage.script import Script, stop_label
from linewright.talk.model import Talk, Unit

#: Words that a recording needs before it shows how fast someone speaks: about half a minute.
FEWEST_WORDS = 60
#: A part is overrun, or short, when it missed its plan by this share and by so many seconds: less is how talks go.
OFF_SHARE, OFF_SECONDS = 0.15, 10.0
#: A stop was said otherwise when less than this share of its words was heard, of so many at least.
HEARD_SHARE, HEARD_WORDS = 0.5, 4


@dataclass(frozen=True, slots=True)
class Pace:
    """How long some words took.

    :param words: how many.
    :param planned: seconds that they take at :data:`RATE`.
    :param taken: seconds that they took, pauses of the stage left out.
    """

    words: int
    planned: float
    taken: float

    @property
    def rate(self) -> float:
        """Words a minute, by the measure of :func:`linewright.publish.timing.timed`."""
        return RATE * self.planned / self.taken


@dataclass(frozen=True, slots=True)
class PartReport:
    """How a part went.

    :param planned: seconds.
    :param taken: seconds.
    :param verdict: ``"in time"``, ``"overrun"``, ``"short"``, ``"skipped"``, or ``"not reached"`` after the run's end.
    """

    name: str
    planned: float
    taken: float
    verdict: str


@dataclass(frozen=True, slots=True)
class ChangedWords:
    """Words that were planned, and those heard in their place (``""`` for none)."""

    stop: int
    planned: str
    heard: str


@dataclass(frozen=True, slots=True)
class RunReport:
    """A run against its script.

    :param skipped: numbers of stops that were not said, though one after them was.
    :param unreached: how many stops were left at the end.
    :param asides: how many, and their seconds in all.
    :param rate: words a minute, None when too little was said.
    """

    parts: tuple[PartReport, ...]
    skipped: tuple[tuple[int, str], ...]
    unreached: int
    asides: int
    aside_seconds: float
    planned: float
    taken: float
    rate: float | None
    otherwise: tuple[ChangedWords, ...] = ()


def pace_of_talk(talk: Talk) -> Pace | None:
    """The pace of a recorded talk; None for one without times, or with too few words."""
    if talk.unit is not Unit.SECONDS or len(talk.words) < FEWEST_WORDS:
        return None
    estimate = spoken_talk(talk, RATE).words
    taken = talk.words[-1].end - talk.words[0].start
    return _pace(len(talk.words), estimate[-1].end - estimate[0].start, taken)


def pace_of_run(script: Script, run: Run) -> Pace | None:
    """The pace of a run; None when too little of it was said."""
    estimate = spoken_talk(script.walk.talk, RATE).words
    spent = _stop_seconds(script, run)
    words, planned, taken = 0, 0.0, 0.0
    for stop, seconds in spent.items():
        here = script.stops[stop]
        if here.last > here.first:
            words += here.last - here.first
            after = estimate[here.last].start if here.last < len(estimate) else estimate[-1].end
            planned += after - estimate[here.first].start
            taken += seconds
    return _pace(words, planned, taken) if words >= FEWEST_WORDS else None


def _pace(words: int, planned: float, taken: float) -> Pace | None:
    """A pace, unless nobody speaks so."""
    if taken <= 0 or planned <= 0:
        return None
    pace = Pace(words, planned, taken)
    return pace if SLOWEST <= pace.rate <= FASTEST else None


def learned_rate(paces: Iterable[Pace]) -> float:
    """The trainer's words a minute, by all that was recorded; :data:`RATE` while nothing was."""
    known = list(paces)
    if not known:
        return RATE
    return RATE * sum(pace.planned for pace in known) / sum(pace.taken for pace in known)


def report_run(script: Script, run: Run, heard: Talk | None = None) -> RunReport:
    """How a run went: by parts, what was skipped, and, with what was heard, what was said otherwise."""
    spent = _stop_seconds(script, run)
    arrived = arrivals(run, len(script.stops))
    reached = max((stop for stop, at in enumerate(arrived) if at is not None), default=0)
    parts = []
    lasts = [part.first for part in script.parts[1:]] + [len(script.stops)]
    for part, last in zip(script.parts, lasts, strict=True):
        seconds = [spent[stop] for stop in range(part.first, last) if stop in spent]
        parts.append(
            PartReport(part.name, part.seconds, sum(seconds), _verdict(part.seconds, seconds, part.first <= reached))
        )
    asides = _asides(run)
    pace = pace_of_run(script, run)
    return RunReport(
        tuple(parts),
        tuple((stop, stop_label(script, stop)[0]) for stop in range(reached) if arrived[stop] is None),
        len(script.stops) - 1 - reached,
        len(asides),
        sum(end - start for start, end in asides),
        script.length,
        sum(spent.values()),
        pace.rate if pace else None,
        said_otherwise(script, heard, [s for s, at in enumerate(arrived) if at is not None]) if heard else (),
    )


def _verdict(planned: float, taken: Sequence[float], reached: bool) -> str:
    if not taken:
        return "skipped" if reached else "not reached"
    off = sum(taken) - planned
    if abs(off) < max(OFF_SECONDS, OFF_SHARE * planned):
        return "in time"
    return "overrun" if off > 0 else "short"


def _stop_seconds(script: Script, run: Run) -> dict[int, float]:
    """Seconds that each stop said took, without pauses and asides; the last one's end is the run's."""
    reached = [(stop, at) for stop, at in enumerate(arrivals(run, len(script.stops))) if at is not None]
    quiet = silences(run)
    out = {}
    for (stop, at), end in zip(reached, [*(at for _, at in reached[1:]), run.seconds], strict=True):
        lost = sum(max(0.0, min(end, b) - max(at, a)) for a, b in quiet)
        out[stop] = max(0.0, end - at - lost)
    return out


def _asides(run: Run) -> list[tuple[float, float]]:
    spans, since = [], None
    for entry in run.entries:
        if entry.do == "aside" and since is None:
            since = entry.t
        elif entry.do == "walk" and since is not None:
            spans.append((since, entry.t))
            since = None
    return [*spans, (since, run.seconds)] if since is not None else spans


def said_otherwise(script: Script, heard: Talk, said_stops: Sequence[int]) -> tuple[ChangedWords, ...]:
    """Stops most of whose words were not heard, with what was heard between their neighbours' words."""
    planned = script.walk.talk.words
    a = [word_key(word.text) for word in planned]
    b = [word_key(word.text) for word in heard.words]
    match: dict[int, int] = {}
    for block in SequenceMatcher(None, a, b, autojunk=False).get_matching_blocks():
        match.update({block.a + k: block.b + k for k in range(block.size)})
    out = []
    for stop in said_stops:
        here = script.stops[stop]
        mine = range(here.first, here.last)
        found = sum(index in match for index in mine)
        if len(mine) < HEARD_WORDS or found >= HEARD_SHARE * len(mine):
            continue
        before = max((match[index] for index in range(here.first) if index in match), default=-1)
        after = min((match[i] for i in range(here.last, len(a)) if i in match), default=len(b))
        said = " ".join(word.text for word in heard.words[before + 1 : after])
        out.append(ChangedWords(stop, " ".join(word.text for word in planned[here.first : here.last]), said))
    return tuple(out)
