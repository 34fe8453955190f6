"""Keeping what pupils' devices send, and handing back what they don't know yet, many syncs in one statement."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

import sqlalchemy as sa

from linewright.practice.classes.class_rows import entries_of, row_of
from linewright.practice.classes.tables import entries, pupils
from linewright.practice.schedule.log import LogEntry
from linewright.support.errors import UnusableInput

#: Entries that one sync hands back at most; the device asks again for the rest.
PAGE = 2000
#: Entries of one pupil at most: fifty a day for twenty years. Against a device gone mad.
MOST_ENTRIES = 365_000

#: What a device asks: the pupil's id, the entries it sends, the last arrival number that it knows.
Asked = tuple[str, Sequence[LogEntry], int]
#: Makes a table's insert in the database's own words (:meth:`Store.insert`).
Insert = Callable[[sa.Table], Any]


@dataclass(frozen=True, slots=True)
class Synced:
    """What a sync did.

    :param new: how many of the entries sent were not known before.
    :param entries: those that came after the last one the device knew, in order of arrival, at most :data:`PAGE`.
    :param seq: the last of them; to be sent with the next sync.
    :param more: whether there are more to ask for.
    """

    new: int
    entries: tuple[LogEntry, ...]
    seq: int
    more: bool


#: Made once: building a statement costs more than running it.
_LOCKED = (
    sa.select(pupils.c.id)
    .where(pupils.c.id.in_(sa.bindparam("pupils", expanding=True)))
    .order_by(pupils.c.id)
    .with_for_update()
)
_COUNTED = (
    sa.select(entries.c.pupil_id, sa.func.count().label("known"))
    .where(entries.c.pupil_id.in_(sa.bindparam("pupils", expanding=True)))
    .group_by(entries.c.pupil_id)
)
_AFTER = (
    sa.select(entries)
    .where(entries.c.pupil_id == sa.bindparam("pupil"), entries.c.seq > sa.bindparam("since"))
    .order_by(entries.c.seq)
    .limit(PAGE)
)


def _trouble(sent: int, there: bool, known: int) -> UnusableInput | None:
    """Why a pupil's entries can't be kept."""
    if sent and not there:
        return UnusableInput("this pupil is not known any more", "Ask for a new link.")
    if known + sent > MOST_ENTRIES:
        return UnusableInput(f"more than {MOST_ENTRIES} answers of one pupil", "Erase the pupil, or ask for help.")
    return None


def sync_answer(connection: sa.Connection, pupil_id: str, since: int, new: int) -> Synced:
    """What a device doesn't know yet."""
    rows = connection.execute(_AFTER, {"pupil": pupil_id, "since": since}).all()
    return Synced(new, entries_of(rows), rows[-1].seq if rows else since, len(rows) == PAGE)


def keep_entries(connection: sa.Connection, asked: Sequence[Asked], insert: Insert) -> list[int | UnusableInput]:
    """For each sync how many of its entries were new, or why they can't be kept. One statement for all of them."""
    senders = sorted({pupil_id for pupil_id, sent, _ in asked if sent})
    if not senders:
        return [0] * len(asked)
    # PostgreSQL: one sync of a pupil at a time, so that arrival numbers become visible in their order; and always
    # in the same order, so that two servers on one database never wait for each other in a ring.
    there = frozenset(connection.execute(_LOCKED, {"pupils": senders}).scalars())
    counts = {row.pupil_id: int(row.known) for row in connection.execute(_COUNTED, {"pupils": senders})}
    troubles = [_trouble(len(sent), pupil_id in there, counts.get(pupil_id, 0)) for pupil_id, sent, _ in asked]
    owners: dict[tuple[str, str], int] = {}
    rows: list[dict[str, Any]] = []
    for index, (pupil_id, sent, _) in enumerate(asked):
        for entry in sent if troubles[index] is None else ():
            if owners.setdefault((pupil_id, entry.id), index) == index:
                rows.append(row_of(pupil_id, entry))
    new = [0] * len(asked)
    if rows:
        statement = insert(entries).on_conflict_do_nothing(index_elements=["pupil_id", "id"])
        for row in connection.execute(statement.returning(entries.c.pupil_id, entries.c.id), rows):
            new[owners[row.pupil_id, row.id]] += 1
    return [count if trouble is None else trouble for count, trouble in zip(new, troubles, strict=True)]
