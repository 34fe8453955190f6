"""Classes, pupils and their logs in a database. What a pupil may see or change goes through the pupil's own id."""

from __future__ import annotations

import json
import time
import uuid
from collections.abc import Iterator, Sequence
from typing import Any

import sqlalchemy as sa
from sqlalchemy.dialects import postgresql, sqlite

from linewright.practice.classes.class_rows import Pupil, SchoolClass, class_of, entry_of, pupil_and_class, pupil_of
from linewright.practice.classes.database import open_database, writing
from linewright.practice.classes.link_tokens import hashed, new_token
from linewright.practice.classes.log_sync import Asked, Synced, keep_entries, sync_answer
from linewright.practice.classes.tables import classes, entries, lessons, pupils
from linewright.practice.drills.drill import Drill, drill_json, drill_of_json, merged
from linewright.practice.schedule.log import LogEntry
from linewright.practice.schedule.settings import LEAST_RETENTION, MINUTES, MOST_RETENTION, RETENTION
from linewright.support.closing import Closing
from linewright.support.errors import UnusableInput

#: Longest names, in characters (the tables' own).
LONGEST_NAME, LONGEST_TITLE = 200, 300


class Store(Closing):
    """An open database of classes. Use it from any thread; close it, or use it as a context manager."""

    def __init__(self, engine: sa.Engine) -> None:
        self.engine = engine

    @classmethod
    def open(cls, url: str = "") -> Store:
        """See :func:`linewright.practice.classes.database.open_database`.

        :raises UnusableInput: when it can't be opened.
        """
        return cls(open_database(url))

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
            return tuple(map(class_of, connection.execute(sa.select(classes).order_by(classes.c.name))))

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
            return tuple(map(pupil_of, connection.execute(query)))

    def pupil_named(self, class_id: str, name: str) -> Pupil:
        """:raises UnusableInput: when the class has no such pupil."""
        found = next((pupil for pupil in self.pupils(class_id) if pupil.name == name), None)
        if found is None:
            raise UnusableInput(f"the class has no pupil “{name}”", "See them with: linewright class pupils")
        return found

    def new_link(self, pupil_id: str) -> str:
        """A new link's secret for a pupil; the old link stops working."""
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
            found = {bytes(row.link): pupil_and_class(row) for row in connection.execute(_LINKED, {"links": asked})}
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

    def sync_many(self, asked: Sequence[Asked]) -> list[Synced | UnusableInput]:
        """Several syncs in one transaction, as :meth:`sync` each; what can't be kept of one never stops another."""
        with writing(self.engine) as connection:
            kept = keep_entries(connection, asked, self.insert)
            return [
                new if isinstance(new, UnusableInput) else sync_answer(connection, pupil_id, since, new)
                for (pupil_id, _, since), new in zip(asked, kept, strict=True)
            ]

    def stamp(self, class_id: str) -> str:
        """Changes whenever a class's lessons or figures do."""
        query = sa.select(sa.func.max(lessons.c.made), sa.func.count()).where(lessons.c.class_id == class_id)
        figures = sa.select(classes.c.retention, classes.c.minutes, classes.c.weights).where(classes.c.id == class_id)
        with self.engine.connect() as connection:
            return repr((connection.execute(query).first(), connection.execute(figures).first()))

    def log(self, pupil_id: str) -> tuple[LogEntry, ...]:
        """All of a pupil's entries, in order of arrival."""
        query = sa.select(entries).where(entries.c.pupil_id == pupil_id).order_by(entries.c.seq)
        with self.engine.connect() as connection:
            return tuple(entry_of(row) for row in connection.execute(query))

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
