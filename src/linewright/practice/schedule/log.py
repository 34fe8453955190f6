"""The review log: what a pupil answered, never rewritten; every state is rebuilt from it.

The log is a set of entries that only grows. What counts of it depends on the set alone, not on the order in which
entries arrived or how often: so two devices may be apart for as long as they like, and end with the same state.
"""

from __future__ import annotations

import re
import uuid
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from enum import IntEnum, StrEnum
from typing import Any

#: Longest answer that is kept, in characters: a move, squares, or the number of a choice.
LONGEST_ANSWER = 64
#: Longest time that an answer counts as taking, in milliseconds: beyond, the pupil had left.
LONGEST_TOOK = 10 * 60 * 1000
#: Milliseconds since 1970 that an entry's time may have: 2020 to 2120, or a clock is broken.
EARLIEST, LATEST = 1_577_836_800_000, 4_733_510_400_000

_DRILL = re.compile(r"[0-9a-f]{16}")


class EntryKind(StrEnum):
    REVIEW = "review"
    UNDO = "undo"


class Rating(IntEnum):
    """How well something was remembered; numbers as the scheduling library has them."""

    AGAIN = 1
    HARD = 2
    GOOD = 3
    EASY = 4


@dataclass(frozen=True, slots=True)
class LogEntry:
    """One line of the log.

    :param id: made by the pupil's device (UUID, version 4 or 7, lower case): the same entry sent twice is one.
    :param drill: of a review, what was asked; of an undo, the same as of what it undoes.
    :param at: when, in milliseconds since 1970 UTC, by the device's clock.
    :param rating: of a review; 0 of an undo.
    :param answer: what was answered; may be ``""``.
    :param took: milliseconds from the question to the answer.
    :param undoes: of an undo the id of the entry taken back; ``""`` of a review.
    """

    id: str
    kind: EntryKind
    drill: str
    at: int
    rating: int = 0
    answer: str = ""
    took: int = 0
    undoes: str = ""

    @property
    def order(self) -> tuple[int, str]:
        """Sorts entries: by time, then by id, so that every device sorts alike."""
        return self.at, self.id


def effective(entries: Iterable[LogEntry]) -> tuple[LogEntry, ...]:
    """The reviews that count, in order: those not taken back.

    An undo may be undone itself. It only reaches entries before it in the log's order, so that none can reach round
    to itself.
    """
    ordered = sorted({entry.id: entry for entry in entries}.values(), key=lambda entry: entry.order)
    orders = {entry.id: entry.order for entry in ordered}
    gone: set[str] = set()
    kept: list[LogEntry] = []
    for entry in reversed(ordered):
        if entry.id in gone:
            continue
        if entry.kind is EntryKind.REVIEW:
            kept.append(entry)
        elif entry.undoes in orders and orders[entry.undoes] < entry.order:
            gone.add(entry.undoes)
    return tuple(reversed(kept))


def by_drill(entries: Iterable[LogEntry]) -> dict[str, tuple[LogEntry, ...]]:
    """The reviews that count, by drill, each in order."""
    found: dict[str, list[LogEntry]] = {}
    for entry in effective(entries):
        found.setdefault(entry.drill, []).append(entry)
    return {drill: tuple(reviews) for drill, reviews in found.items()}


def entry_json(entry: LogEntry) -> dict[str, Any]:
    """An entry as JSON values."""
    data: dict[str, Any] = {"id": entry.id, "kind": str(entry.kind), "drill": entry.drill, "at": entry.at}
    if entry.kind is EntryKind.REVIEW:
        return data | {"rating": entry.rating, "answer": entry.answer, "took": entry.took}
    return data | {"undoes": entry.undoes}


def entry_of_json(data: Mapping[str, Any]) -> LogEntry:
    """The entry of JSON values that came from a pupil's device, checked.

    :raises ValueError: when they are no entry's; the message names what is wrong.
    """
    if not isinstance(data, Mapping):
        raise ValueError("an entry is an object")
    try:
        kind = EntryKind(data["kind"])
        entry = LogEntry(
            id=_uuid(data["id"]),
            kind=kind,
            drill=_matching(_DRILL, data["drill"], "drill"),
            at=_number(data["at"], "at", EARLIEST, LATEST),
            rating=_number(data["rating"], "rating", 1, 4) if kind is EntryKind.REVIEW else 0,
            answer=_text(data.get("answer", "")),
            took=min(_number(data.get("took", 0), "took", 0, LATEST), LONGEST_TOOK),
            undoes=_uuid(data["undoes"]) if kind is EntryKind.UNDO else "",
        )
    except KeyError as missing:
        raise ValueError(f"an entry without {missing}") from None
    return entry


def entries_of_json(rows: Iterable[Any]) -> Iterator[LogEntry | ValueError]:
    """Each row's entry, or what is wrong with it: one bad row never stops the rest."""
    for row in rows:
        try:
            yield entry_of_json(row)
        except ValueError as error:
            yield error


def _uuid(value: Any) -> str:
    if not isinstance(value, str):
        raise ValueError("an id is text")
    return str(uuid.UUID(value))


def _matching(pattern: re.Pattern[str], value: Any, name: str) -> str:
    if not isinstance(value, str) or not pattern.fullmatch(value):
        raise ValueError(f"{name} is not of its form: {str(value)[:40]!r}")
    return value


def _number(value: Any, name: str, least: int, most: int) -> int:
    if not isinstance(value, int) or isinstance(value, bool) or not least <= value <= most:
        raise ValueError(f"{name} is not a whole number from {least} to {most}: {str(value)[:40]!r}")
    return value


def _text(value: Any) -> str:
    if not isinstance(value, str):
        raise ValueError("an answer is text")
    return "".join(c for c in value if c.isprintable())[:LONGEST_ANSWER]
