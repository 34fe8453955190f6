"""Classes, pupils and their logs in a database. What a pupil may see or change goes through the pupil's own id."""

from __future__ import annotations

import json
import time
import uuid
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from types import TracebackType
from typing import Any

import sqlalchemy as sa
from sqlalchemy.dialects import postgresql, sqlite

from linewright.practice.classes.database import open_database, writing
from linewright.practice.classes.link_tokens import hashed, new_token
from linewright.practice.classes.tables import classes, entries, lessons, pupils
from linewright.practice.drills.drill import Drill, drill_json, drill_of_json, merged
from linewright.practice.schedule.log import EntryKind, LogEntry
from linewright.practice.schedule.settings import LEAST_RETENTION, MINUTES, MOST_RETENTION, RETENTION
from linewright.support.errors import UnusableInput

#: Entries that one sync hands back at most; the device asks again for the rest.
PAGE = 2000
#: Entries of one pupil at most: fifty a day for twenty years. Against a device gone mad.
MOST_ENTRIES = 365_000
#: Longest names, in characters (the tables' own).
LONGEST_NAME, LONGEST_TITLE = 200, 300


@dataclass(frozen=True, slots=True)
class SchoolClass:
    """A class of pupils.

    :param retention: chance of remembering at which something is asked again, 0-1.
    :param minutes: that a pupil has a day.
    :param weights: fitted weights of the model of memory; () for the library's.
    """

    id: str
    name: str
    retention: float = RETENTION
    minutes: float = MINUTES
    weights: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True)
class Pupil:
    """A pupil of a class.

    :param linked: whether a link works.
    """

    id: str
    class_id: str
    name: str
    linked: bool


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


class Store:
    """An open database of classes. Use it from any thread; close it, or use it as a context manager."""

    def __init__(self, engine: sa.Engine) -> None:
        self.engine = engine

    @classmethod
    def open(cls, url: str = "") -> Store:
        """See :func:`linewright.practice.classes.database.open_database`.

        :raises UnusableInput: when it can't be opened.
        """
        return cls(open_database(url))

    def __enter__(self) -> Store:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def close(self) -> None:
        self.engine.dispose()

    # Classes and their lessons.

    def new_class(self, name: str, retention: float = RETENTION, minutes: float = MINUTES) -> SchoolClass:
        """Make a class.

        :raises UnusableInput: when there is one of that name, or figures make no sense.
        """
        _check_figures(retention, minutes)
        made = SchoolClass(_new_id(), _named(name), retention, minutes)
        row = {"id": made.id, "name": made.name, "made": _now(), "retention": retention, "minutes": minutes}
        try:
            with writing(self.engine) as connection:
                connection.execute(classes.insert().values(row))
        except sa.exc.IntegrityError:
            raise UnusableInput(f"there is a class “{made.name}” already", "Choose another name.") from None
        return made

    def classes(self) -> tuple[SchoolClass, ...]:
        with self.engine.connect() as connection:
            return tuple(map(_class, connection.execute(sa.select(classes).order_by(classes.c.name))))

    def class_named(self, name: str = "") -> SchoolClass:
        """The class of a name; the only one where none is named.

        :raises UnusableInput: when there is none, or several to choose from.
        """
        all_of_them = self.classes()
        if not name and len(all_of_them) == 1:
            return all_of_them[0]
        found = next((c for c in all_of_them if c.name == name), None)
        if found is None:
            names = ", ".join(f"“{c.name}”" for c in all_of_them)
            what = f"there is no class “{name}”" if name else "which class?"
            raise UnusableInput(what, f"There are {names}." if names else "Make one: linewright class new NAME")
        return found

    def set_figures(self, class_id: str, retention: float, minutes: float, weights: Sequence[float] = ()) -> None:
        """Set a class's target retention, minutes a day, and weights of the model of memory.

        :raises UnusableInput: when figures make no sense.
        """
        _check_figures(retention, minutes)
        values = {
            "retention": retention,
            "minutes": minutes,
            "weights": json.dumps(list(weights)) if weights else None,
        }
        with writing(self.engine) as connection:
            connection.execute(classes.update().where(classes.c.id == class_id).values(values))

    def put_lesson(self, class_id: str, title: str, drills: Sequence[Drill]) -> None:
        """Give a class a lesson's drills; those of a lesson of the same title are replaced, the log stays."""
        row = {
            "class_id": class_id,
            "title": title[:LONGEST_TITLE],
            "made": _now(),
            "drills": json.dumps([drill_json(drill) for drill in drills], ensure_ascii=False),
        }
        self._upsert_lesson(row)

    def _upsert_lesson(self, row: dict[str, Any]) -> None:
        statement = self.insert(lessons).values(row)
        with writing(self.engine) as connection:
            connection.execute(
                statement.on_conflict_do_update(
                    index_elements=["class_id", "title"], set_={"made": row["made"], "drills": row["drills"]}
                )
            )

    def remove_lesson(self, class_id: str, title: str) -> bool:
        """Take a lesson from a class; what was answered stays in the log. False where there is none."""
        with writing(self.engine) as connection:
            which = (lessons.c.class_id == class_id) & (lessons.c.title == title)
            return connection.execute(lessons.delete().where(which)).rowcount > 0

    def lessons(self, class_id: str) -> tuple[str, ...]:
        """The titles of a class's lessons, in order."""
        query = sa.select(lessons.c.title).where(lessons.c.class_id == class_id).order_by(lessons.c.title)
        with self.engine.connect() as connection:
            return tuple(connection.execute(query).scalars())

    def drills(self, class_id: str) -> tuple[Drill, ...]:
        """The drills of all lessons of a class, each id once."""
        query = sa.select(lessons.c.drills).where(lessons.c.class_id == class_id).order_by(lessons.c.title)
        with self.engine.connect() as connection:
            texts = connection.execute(query).scalars().all()
        return merged(drill_of_json(row) for text in texts for row in json.loads(text))

    # Pupils and their links.

    def add_pupil(self, class_id: str, name: str) -> tuple[Pupil, str]:
        """Add a pupil with a link; returns the link's secret too, which can't be had again.

        :raises UnusableInput: when the class has one of that name.
        """
        token = new_token()
        pupil = Pupil(_new_id(), class_id, _named(name), True)
        row = {"id": pupil.id, "class_id": class_id, "name": pupil.name, "made": _now(), "link": hashed(token)}
        try:
            with writing(self.engine) as connection:
                connection.execute(pupils.insert().values({**row, "erasing": False}))
        except sa.exc.IntegrityError:
            raise UnusableInput(f"the class has a pupil “{pupil.name}” already", "Choose another name.") from None
        return pupil, token

    def pupils(self, class_id: str) -> tuple[Pupil, ...]:
        query = sa.select(pupils).where(pupils.c.class_id == class_id).order_by(pupils.c.name)
        with self.engine.connect() as connection:
            return tuple(map(_pupil, connection.execute(query)))

    def pupil_named(self, class_id: str, name: str) -> Pupil:
        """:raises UnusableInput: when the class has no such pupil."""
        found = next((pupil for pupil in self.pupils(class_id) if pupil.name == name), None)
        if found is None:
            raise UnusableInput(f"the class has no pupil “{name}”", "See them with: linewright class pupils")
        return found

    def new_link(self, pupil_id: str) -> str:
        """A new link's secret for a pupil; the link before works no more."""
        token = new_token()
        with writing(self.engine) as connection:
            connection.execute(pupils.update().where(pupils.c.id == pupil_id).values(link=hashed(token)))
        return token

    def revoke(self, pupil_id: str) -> None:
        """No link of this pupil works any more; the log stays."""
        with writing(self.engine) as connection:
            connection.execute(pupils.update().where(pupils.c.id == pupil_id).values(link=None))

    def pupils_of(self, tokens: Sequence[str]) -> list[tuple[Pupil, SchoolClass] | None]:
        """Whose links these are, by one statement; None for nobody's."""
        links = [hashed(token) for token in tokens]
        asked = sorted({link for link in links if link is not None})
        if not asked:
            return [None] * len(links)
        with self.engine.connect() as connection:
            found = {bytes(row.link): _pupil_and_class(row) for row in connection.execute(_LINKED, {"links": asked})}
        return [None if link is None else found.get(link) for link in links]

    def erase(self, pupil_id: str) -> int:
        """Delete a pupil and every entry of the log; returns how many entries there were."""
        with writing(self.engine) as connection:
            connection.execute(pupils.update().where(pupils.c.id == pupil_id).values(erasing=True, link=None))
            gone = connection.execute(entries.delete().where(entries.c.pupil_id == pupil_id)).rowcount
            connection.execute(pupils.delete().where(pupils.c.id == pupil_id))
        return gone

    # The log.

    def sync(self, pupil_id: str, sent: Sequence[LogEntry], since: int = 0) -> Synced:
        """Keep what a device sends, and hand back what it doesn't know yet. Sent again, it does nothing.

        :param since: the ``seq`` of the device's last sync; 0 for all.
        :raises UnusableInput: when a pupil's log would grow beyond any sense.
        """
        (done,) = self.sync_many([(pupil_id, sent, since)])
        if isinstance(done, UnusableInput):
            raise done
        return done

    def sync_many(self, asked: Sequence[tuple[str, Sequence[LogEntry], int]]) -> list[Synced | UnusableInput]:
        """Several syncs in one transaction, as :meth:`sync` each; what can't be kept of one never stops another."""
        with writing(self.engine) as connection:
            kept = self._keep(connection, asked)
            return [
                new if isinstance(new, UnusableInput) else _synced(connection, pupil_id, since, new)
                for (pupil_id, _, since), new in zip(asked, kept, strict=True)
            ]

    def stamp(self, class_id: str) -> str:
        """Changes whenever a class's lessons or figures do."""
        query = sa.select(sa.func.max(lessons.c.made), sa.func.count()).where(lessons.c.class_id == class_id)
        figures = sa.select(classes.c.retention, classes.c.minutes, classes.c.weights).where(classes.c.id == class_id)
        with self.engine.connect() as connection:
            return repr((connection.execute(query).first(), connection.execute(figures).first()))

    def _keep(
        self, connection: sa.Connection, asked: Sequence[tuple[str, Sequence[LogEntry], int]]
    ) -> list[int | UnusableInput]:
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
                    rows.append(_row(pupil_id, entry))
        new = [0] * len(asked)
        if rows:
            statement = self.insert(entries).on_conflict_do_nothing(index_elements=["pupil_id", "id"])
            for row in connection.execute(statement.returning(entries.c.pupil_id, entries.c.id), rows):
                new[owners[row.pupil_id, row.id]] += 1
        return [count if trouble is None else trouble for count, trouble in zip(new, troubles, strict=True)]

    def log(self, pupil_id: str) -> tuple[LogEntry, ...]:
        """All of a pupil's entries, in order of arrival."""
        query = sa.select(entries).where(entries.c.pupil_id == pupil_id).order_by(entries.c.seq)
        with self.engine.connect() as connection:
            return tuple(_entry(row) for row in connection.execute(query))

    def class_logs(self, class_id: str) -> Iterator[tuple[Pupil, tuple[LogEntry, ...]]]:
        """Each pupil with all entries."""
        for pupil in self.pupils(class_id):
            yield pupil, self.log(pupil.id)

    def insert(self, table: sa.Table) -> Any:
        """An insert that may meet what already exists, in the database's own words."""
        return (sqlite if self.engine.dialect.name == "sqlite" else postgresql).insert(table)


#: Made once: building a statement costs more than running it.
_LINKED = (
    sa.select(pupils, classes.c.name.label("class_name"), classes.c.retention, classes.c.minutes, classes.c.weights)
    .join(classes, classes.c.id == pupils.c.class_id)
    .where(pupils.c.link.in_(sa.bindparam("links", expanding=True)), sa.not_(pupils.c.erasing))
)
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


def _synced(connection: sa.Connection, pupil_id: str, since: int, new: int) -> Synced:
    """What a device doesn't know yet."""
    rows = connection.execute(_AFTER, {"pupil": pupil_id, "since": since}).all()
    return Synced(new, entries_of(rows), rows[-1].seq if rows else since, len(rows) == PAGE)


def _check_figures(retention: float, minutes: float) -> None:
    if not LEAST_RETENTION <= retention <= MOST_RETENTION:
        raise UnusableInput(
            f"a retention of {retention:g}",
            f"Choose one from {LEAST_RETENTION} to {MOST_RETENTION}; usual is {RETENTION}.",
        )
    if not 1 <= minutes <= 240:
        raise UnusableInput(f"{minutes:g} minutes a day", "Choose from 1 to 240.")


def _named(name: str) -> str:
    text = " ".join("".join(c if c.isprintable() else " " for c in name).split())
    if not text or len(text) > LONGEST_NAME:
        raise UnusableInput(f"“{text[:40]}” is not a valid name", f"Use one of 1 to {LONGEST_NAME} characters.")
    return text


def _now() -> int:
    """Milliseconds since 1970 UTC."""
    return time.time_ns() // 1_000_000


def _new_id() -> str:
    return uuid.uuid4().hex


def _class(row: Any) -> SchoolClass:
    return SchoolClass(row.id, row.name, row.retention, row.minutes, _weights(row))


def _weights(row: Any) -> tuple[float, ...]:
    """A class's fitted parameters; none before they were fitted."""
    return tuple(json.loads(row.weights)) if row.weights else ()


def _pupil(row: Any) -> Pupil:
    return Pupil(row[0], row[1], row[2], row.link is not None)


def _pupil_and_class(row: Any) -> tuple[Pupil, SchoolClass]:
    return _pupil(row), SchoolClass(row.class_id, row.class_name, row.retention, row.minutes, _weights(row))


def _entry(row: Any) -> LogEntry:
    return LogEntry(row.id, EntryKind(row.kind), row.drill, row.at, row.rating, row.answer, row.took, row.undoes)


def _row(pupil_id: str, entry: LogEntry) -> dict[str, Any]:
    return {
        "pupil_id": pupil_id,
        "id": entry.id,
        "kind": str(entry.kind),
        "drill": entry.drill,
        "at": entry.at,
        "rating": entry.rating,
        "answer": entry.answer,
        "took": entry.took,
        "undoes": entry.undoes,
    }


def entries_of(rows: Iterable[Any]) -> tuple[LogEntry, ...]:
    """Entries of the table's rows."""
    return tuple(map(_entry, rows))
