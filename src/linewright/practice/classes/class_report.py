"""What a trainer sees of a class: who practised what, and which positions the class misses."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import sqlalchemy as sa

from linewright.games.api import wilson_interval
from linewright.practice.classes.class_rows import entries_of
from linewright.practice.classes.store import Store
from linewright.practice.classes.tables import entries, pupils
from linewright.practice.drills.drill import Drill
from linewright.practice.schedule.log import EntryKind, effective
from linewright.practice.schedule.settings import DAY

#: Answers from which on a position is said to be missed: of fewer the interval is too wide to say anything.
ENOUGH = 5
#: Missed positions shown.
SHOWN = 20
#: Entries looked up in one statement.
AT_ONCE = 1000
#: Days that "lately" means.
LATELY = 7


@dataclass(frozen=True, slots=True)
class Practised:
    """What one pupil did.

    :param answers: all; ``lately``: in the last :data:`LATELY` days; ``minutes``: time spent lately.
    :param right: share (0-1) of right answers; None without answers.
    :param last: when the last one was, in milliseconds since 1970 UTC; None for never.
    :param drills: how many different ones were answered.
    """

    name: str
    linked: bool
    answers: int
    lately: int
    minutes: float
    right: float | None
    last: int | None
    drills: int


@dataclass(frozen=True, slots=True)
class Missed:
    """A position that the class misses.

    :param wrong: share (0-1) of wrong answers with its 95 % Wilson interval ``low`` to ``high``.
    :param pupils: how many pupils were wrong.
    :param gave: the wrong answers given most often, each with how often.
    """

    drill: Drill
    answers: int
    wrong: float
    low: float
    high: float
    pupils: int
    gave: tuple[tuple[str, int], ...]


@dataclass(frozen=True, slots=True)
class ClassReport:
    """A class at one moment: pupils by name, positions by how surely they are missed."""

    pupils: tuple[Practised, ...]
    missed: tuple[Missed, ...]
    answers: int


def class_report(store: Store, class_id: str, now: int, drills: Sequence[Drill] | None = None) -> ClassReport:
    """A class's report, counted in the database: what was taken back does not count.

    :param drills: the class's; asked of the store unless given.
    """
    asked = {drill.id: drill for drill in (store.drills(class_id) if drills is None else drills)}
    with store.engine.connect() as connection:
        gone = _taken_back(connection, class_id)
        by_pupil = _by_pupil(connection, class_id, now, gone)
        missed = _missed(connection, class_id, asked, gone)
    return ClassReport(by_pupil, missed, sum(p.answers for p in by_pupil))


def _taken_back(connection: sa.Connection, class_id: str) -> frozenset[int]:
    """The arrival numbers of reviews that were taken back. Only undos and what they reach have to be looked at."""
    of_class = sa.select(pupils.c.id).where(pupils.c.class_id == class_id)
    undos = sa.select(entries).where(entries.c.pupil_id.in_(of_class), entries.c.kind == str(EntryKind.UNDO))
    rows = list(connection.execute(undos))
    found: set[int] = set()
    by_pupil: dict[str, list[sa.Row[tuple[object, ...]]]] = {}
    for row in rows:
        by_pupil.setdefault(row.pupil_id, []).append(row)
    for pupil_id, undone in by_pupil.items():
        targets = []
        for first in range(0, len(undone), AT_ONCE):
            wanted = [row.undoes for row in undone[first : first + AT_ONCE]]
            reached = sa.select(entries).where(entries.c.pupil_id == pupil_id, entries.c.id.in_(wanted))
            targets += [row for row in connection.execute(reached) if row.kind == str(EntryKind.REVIEW)]
        counts = {entry.id for entry in effective(entries_of([*undone, *targets]))}
        found |= {row.seq for row in targets if row.id not in counts}
    return frozenset(found)


def _reviews(class_id: str, gone: frozenset[int]) -> sa.Select[tuple[object, ...]]:
    of_class = sa.select(pupils.c.id).where(pupils.c.class_id == class_id)
    query = sa.select(entries).where(entries.c.pupil_id.in_(of_class), entries.c.kind == str(EntryKind.REVIEW))
    # Written into the statement: databases take some ten thousand parameters only.
    taken_back: sa.BindParameter[int] = sa.bindparam("gone", sorted(gone), expanding=True, literal_execute=True)
    return query.where(entries.c.seq.not_in(taken_back)) if gone else query


def _by_pupil(connection: sa.Connection, class_id: str, now: int, gone: frozenset[int]) -> tuple[Practised, ...]:
    rows = _reviews(class_id, gone).subquery()
    lately = rows.c.at > now - LATELY * DAY
    counts = sa.select(
        rows.c.pupil_id,
        sa.func.count().label("answers"),
        sa.func.sum(sa.case((lately, 1), else_=0)).label("lately"),
        sa.func.sum(sa.case((lately, rows.c.took), else_=0)).label("took"),
        sa.func.sum(sa.case((rows.c.rating > 1, 1), else_=0)).label("right"),
        sa.func.max(rows.c.at).label("last"),
        sa.func.count(sa.distinct(rows.c.drill)).label("drills"),
    ).group_by(rows.c.pupil_id)
    found = {row.pupil_id: row for row in connection.execute(counts)}
    practised = []
    for pupil in connection.execute(sa.select(pupils).where(pupils.c.class_id == class_id).order_by(pupils.c.name)):
        row, linked = found.get(pupil.id), pupil.link is not None
        if row is None:
            practised.append(Practised(pupil.name, linked, 0, 0, 0.0, None, None, 0))
            continue
        minutes, right = int(row.took) / 60_000, int(row.right) / row.answers
        practised.append(
            Practised(pupil.name, linked, row.answers, int(row.lately), minutes, right, row.last, row.drills)
        )
    return tuple(practised)


def _missed(
    connection: sa.Connection, class_id: str, asked: dict[str, Drill], gone: frozenset[int]
) -> tuple[Missed, ...]:
    rows = _reviews(class_id, gone).subquery()
    wrong = rows.c.rating == 1
    counts = sa.select(
        rows.c.drill,
        sa.func.count().label("answers"),
        sa.func.sum(sa.case((wrong, 1), else_=0)).label("wrong"),
        sa.func.count(sa.distinct(sa.case((wrong, rows.c.pupil_id)))).label("pupils"),
    ).group_by(rows.c.drill)
    ranked = []
    for row in connection.execute(counts):
        if row.drill in asked and row.answers >= ENOUGH and row.wrong:
            low, high = wilson_interval(int(row.wrong), row.answers)
            ranked.append((low, high, row))
    ranked.sort(key=lambda r: (-r[0], r[2].drill))
    shown = ranked[:SHOWN]
    given = sa.select(rows.c.drill, rows.c.answer, sa.func.count().label("times"))
    given = given.where(wrong, rows.c.drill.in_([row.drill for _, _, row in shown]), rows.c.answer != "")
    gave: dict[str, list[tuple[str, int]]] = {}
    for answer in connection.execute(given.group_by(rows.c.drill, rows.c.answer).order_by(sa.desc("times"))):
        gave.setdefault(answer.drill, []).append((answer.answer, answer.times))
    return tuple(
        Missed(
            asked[row.drill],
            row.answers,
            int(row.wrong) / row.answers,
            low,
            high,
            row.pupils,
            tuple(gave.get(row.drill, [])[:3]),
        )
        for low, high, row in shown
    )
