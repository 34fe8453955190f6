"""Classes, pupils and entries of the log as rows of the tables, and back."""

from __future__ import annotations

import json
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from linewright.practice.schedule.log import EntryKind, LogEntry
from linewright.practice.schedule.settings import MINUTES, RETENTION


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


def class_of(row: Any) -> SchoolClass:
    return SchoolClass(row.id, row.name, row.retention, row.minutes, _weights(row))


def _weights(row: Any) -> tuple[float, ...]:
    """A class's fitted parameters; none before they were fitted."""
    return tuple(json.loads(row.weights)) if row.weights else ()


def pupil_of(row: Any) -> Pupil:
    return Pupil(row[0], row[1], row[2], row.link is not None)


def pupil_and_class(row: Any) -> tuple[Pupil, SchoolClass]:
    return pupil_of(row), SchoolClass(row.class_id, row.class_name, row.retention, row.minutes, _weights(row))


def entry_of(row: Any) -> LogEntry:
    return LogEntry(row.id, EntryKind(row.kind), row.drill, row.at, row.rating, row.answer, row.took, row.undoes)


def row_of(pupil_id: str, entry: LogEntry) -> dict[str, Any]:
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
    return tuple(map(entry_of, rows))
