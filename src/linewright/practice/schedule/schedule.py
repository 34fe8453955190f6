"""When what is asked again: the ``fsrs`` library's states of memory, and days that stay within a pupil's minutes.

The model of memory is FSRS-6 as ``fsrs`` (py-fsrs) implements it; its forgetting curve is the power law
``R(t) = (1 + F·t/S)^(-w20)`` with ``F = 0.9^(-1/w20) - 1``, so that ``R(S) = 0.9``. Sources: the project's
documentation, "The Algorithm", section FSRS-6 (open-spaced-repetition); Ye, Su and Cao, "A Stochastic Shortest Path
Algorithm for Optimizing Spaced Repetition Scheduling", KDD 2022, for the model it grew from.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

import fsrs

from linewright.practice.schedule.log import Entry, by_drill

#: The chance of remembering at which something is asked again, unless the trainer sets another. The library's default.
RETENTION = 0.9
#: Retentions that make sense: below, most is forgotten; above, everything is asked nearly every day.
LEAST_RETENTION, MOST_RETENTION = 0.7, 0.97
#: Minutes a day that a pupil has, unless set.
MINUTES = 10
#: Seconds that an answer takes, until the pupil's own are known: looking, thinking, moving, reading two sentences.
SECONDS = 12.0
#: Answers from which on a pupil's own pace is taken.
PACE_KNOWN = 20
#: Something new costs this many answers on its first day: asked, shown, asked again.
NEW_COSTS = 3
#: Days by which a due day may move so that days even out: the library's own ranges of fuzz (``fsrs.scheduler``).
_FUZZ = ((2.5, 7.0, 0.15), (7.0, 20.0, 0.1), (20.0, float("inf"), 0.05))
#: The longest interval in days: a season on, a lesson has been given again.
LONGEST = 365
DAY = 86_400_000
_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)


@dataclass(frozen=True, slots=True)
class Memory:
    """How well a pupil remembers one drill.

    :param stability: days until the chance of remembering falls to 0.9.
    :param difficulty: 1 (easy) to 10.
    :param due: milliseconds since 1970 UTC.
    :param last: the last review's time, alike.
    :param lapses: times it was forgotten after having been learned.
    """

    drill: str
    stability: float
    difficulty: float
    learning: bool
    step: int
    due: int
    last: int
    reviews: int
    lapses: int


def scheduler(retention: float = RETENTION, parameters: Sequence[float] | None = None) -> fsrs.Scheduler:
    """The library's scheduler, without its random fuzz: states must be the same whenever they are rebuilt.

    :param parameters: the 21 weights of FSRS-6; the library's unless given.
    :raises ValueError: when parameters are out of the library's bounds.
    """
    return fsrs.Scheduler(
        parameters=tuple(parameters) if parameters else fsrs.Scheduler().parameters,
        desired_retention=min(max(retention, LEAST_RETENTION), MOST_RETENTION),
        maximum_interval=LONGEST,
        enable_fuzzing=False,
    )


def memories(entries: Iterable[Entry], planner: fsrs.Scheduler) -> dict[str, Memory]:
    """Every drill's state, rebuilt from the log."""
    return {drill: memory(drill, reviews, planner) for drill, reviews in by_drill(entries).items()}


def memory(drill: str, reviews: Sequence[Entry], planner: fsrs.Scheduler) -> Memory:
    """The state of one drill after its reviews, at least one, in order."""
    card = fsrs.Card(card_id=0)
    lapses = 0
    for review in reviews:
        lapses += card.state is not fsrs.State.Learning and review.rating == fsrs.Rating.Again
        at = _EPOCH + timedelta(milliseconds=review.at)
        card, _ = planner.review_card(card, fsrs.Rating(review.rating), at)
    assert card.stability is not None and card.difficulty is not None and card.last_review is not None
    return Memory(
        drill,
        card.stability,
        card.difficulty,
        card.state is not fsrs.State.Review,
        card.step or 0,
        _milliseconds(card.due),
        _milliseconds(card.last_review),
        len(reviews),
        lapses,
    )


def _milliseconds(at: datetime) -> int:
    return round((at - _EPOCH) / timedelta(milliseconds=1))


def remembered(memory: Memory, now: int, planner: fsrs.Scheduler) -> float:
    """The chance (0-1) that a drill is remembered now, by the forgetting curve (whole days, as the library counts)."""
    decay = -planner.parameters[20]
    days = max(0, (now - memory.last) // DAY)
    factor = 0.9 ** (1 / decay) - 1
    return float((1 + factor * days / memory.stability) ** decay)


@dataclass(frozen=True, slots=True)
class Wish:
    """What could be asked, as far as planning a day needs it.

    :param reach: chance (0-1) of meeting the position; orders what is new.
    :param path: drills on the way to it along its line, nearest to the start first, itself left out.
    """

    drill: str
    reach: float
    path: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Run:
    """One stretch of a day's practice: a line played up to the last drill that is due.

    :param drills: those to answer, in the order in which the line meets them; the last is due or new.
    :param due: those of them whose answers are reviews; the rest is played on the way, and only a wrong answer is one.
    """

    drills: tuple[str, ...]
    due: tuple[str, ...]


def spread(known: Mapping[str, Memory], pace: float, minutes: float) -> dict[str, int]:
    """For each drill the day (since 1970) on which it is asked again, days evened out.

    Each drill goes, in the order of its due time, to the emptiest day within the library's range of fuzz around its own
    day, an earlier one where two are alike; what fits within the minutes stays where it is. Learning steps stay.
    """
    room = max(1, int(minutes * 60 / pace))
    load: dict[int, int] = {}
    days: dict[str, int] = {}
    for memory in sorted(known.values(), key=lambda m: (m.due, m.drill)):
        own = memory.due // DAY
        best = own
        if not memory.learning and load.get(own, 0) >= room:
            low, high = window((memory.due - memory.last) // DAY)
            base = memory.last // DAY
            options = range(base + low, base + high + 1)
            best = min(options, key=lambda day: (load.get(day, 0), abs(day - own), day), default=own)
        days[memory.drill] = best
        load[best] = load.get(best, 0) + 1
    return days


def window(interval: int) -> tuple[int, int]:
    """The range of days that an interval may become, as the library's fuzz has it; alike for 2 days and fewer."""
    if interval < 2.5:
        return interval, interval
    delta = 1.0 + sum(factor * max(min(float(interval), end) - start, 0.0) for start, end, factor in _FUZZ)
    low, high = max(2, round(interval - delta)), min(round(interval + delta), LONGEST)
    return min(low, high), high


def plan_day(
    wishes: Sequence[Wish], known: Mapping[str, Memory], now: int, minutes: float, pace: float, planner: fsrs.Scheduler
) -> tuple[Run, ...]:
    """What to practise now, within the minutes left of the day.

    First what is due, the most useful first: likeliest to be met and least likely to be remembered; then what is new,
    likeliest first. Each is asked as the end of its line: what lies on the way is played too, but once a day only.

    :param minutes: left today.
    :param pace: seconds an answer.
    """
    by_id = {wish.drill: wish for wish in wishes}
    days = spread({drill: m for drill, m in known.items() if drill in by_id}, pace, minutes)
    today = now // DAY
    due = [d for d, day in days.items() if (known[d].due <= now if known[d].learning else day <= today)]
    due.sort(key=lambda d: (-_worth(by_id[d], known[d], now, planner), d))
    new = sorted((w for w in wishes if w.drill not in known), key=lambda w: (-w.reach, len(w.path), w.drill))
    left = minutes * 60 / pace
    played: set[str] = set()
    runs: list[Run] = []
    wanted = {*due}
    for drill, cost in (*((d, 1) for d in due), *((w.drill, NEW_COSTS) for w in new)):
        if drill in played:
            continue
        if left < cost and runs:
            break
        way = [d for d in by_id[drill].path if d in known and d not in played]
        asked = (*way, drill)
        counted = tuple(d for d in asked if d == drill or d in wanted)
        runs.append(Run(asked, counted))
        played.update(asked)
        left -= cost + len(way)
    return tuple(runs)


def _worth(wish: Wish, memory: Memory, now: int, planner: fsrs.Scheduler) -> float:
    """How much asking now is worth: the chance that the position comes up and is not remembered, harder ones first."""
    return (wish.reach + 0.01) * (1 - remembered(memory, now, planner)) * (1 + memory.difficulty / 10)


def pace_of(entries: Iterable[Entry]) -> float:
    """Seconds an answer takes a pupil: the median of the last hundred, or :data:`SECONDS` until enough are known."""
    took = sorted(entry.took / 1000 for entry in sorted(entries, key=lambda e: e.order)[-100:] if entry.took)
    return max(3.0, took[len(took) // 2]) if len(took) >= PACE_KNOWN else SECONDS


def daily_load(known: Mapping[str, Memory], pace: float, minutes: float, today: int, days: int) -> tuple[float, ...]:
    """Minutes of practice due on each of the coming days, today (with what is overdue) first."""
    load = [0.0] * days
    for day in spread(known, pace, minutes).values():
        if day < today + days:
            load[max(0, day - today)] += pace / 60
    return tuple(load)
