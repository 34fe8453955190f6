"""The world champions of chess, with their years and order, and the ways in which their names are said.

The table is ``champions.toml``, which names its source.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any, Final

from rapidfuzz.distance import Levenshtein

from linewright.games.api import plain, sound
from linewright.language.evidence import Row, Value, why

#: Letters of a name from which on it may be misheard, and how like (0-1) it must then be, by spelling or by sound.
LONG_NAME, LIKE = 5, 0.8


@dataclass(frozen=True, slots=True)
class Champion:
    """A world champion.

    :param title: ``open``, ``women`` or ``fide`` (of FIDE alone while there were two titles).
    :param order: the how manieth one, counted from 1 within the title; 0 for ``fide``.
    :param reigns: years of winning and losing the title; 0: still held.
    :param forms: the name as it may be said, in lower case without accents.
    """

    name: str
    title: str
    order: int
    reigns: tuple[tuple[int, int], ...]
    forms: tuple[str, ...]

    def held(self, year: int) -> bool:
        """Whether the title was held during a part of the year."""
        return any(first <= year and (not last or year <= last) for first, last in self.reigns)

    @property
    def years(self) -> Value:
        """``1927–1935, 1937–1946``."""
        reigns = (f"{first}–{last}" if last else why("people.since", year=first) for first, last in self.reigns)
        return Row(tuple(reigns), by=", ")


@dataclass(frozen=True, slots=True)
class Champions:
    """All of them.

    :param disputed: the first and last year in which there were two titles.
    """

    all: tuple[Champion, ...]
    disputed: tuple[int, int]

    def by_order(self, order: int, title: str) -> Champion | None:
        return next((c for c in self.all if c.title == title and c.order == order), None)

    def of(self, year: int, title: str) -> tuple[Champion, ...]:
        """Who held a title during the year; several where it changed hands."""
        return tuple(c for c in self.all if c.title == title and c.held(year))

    def named(self, words: str) -> Champion | None:
        """The champion that words name, misheard or not; None where they name none, or more than one."""
        said = plain(words)
        exact = [c for c in self.all if said in c.forms]
        if exact:
            return exact[0] if len(exact) == 1 else None
        if len(said.replace(" ", "")) < LONG_NAME:
            return None
        like = {c.name: c for c in self.all for form in c.forms if _like(said, form) >= LIKE}
        return next(iter(like.values())) if len(like) == 1 else None


def _like(said: str, form: str) -> float:
    if min(len(form), len(said)) < LONG_NAME or said[0] != form[0]:
        return 0.0
    spelled = Levenshtein.normalized_similarity(said, form)
    return max(spelled, Levenshtein.normalized_similarity(sound(said), sound(form)) if spelled > 0.5 else 0.0)


_TABLE: Final = files("linewright.claims.kinds.quotes") / "champions.toml"


@cache
def champions() -> Champions:
    """The table, read once."""
    table = tomllib.loads(_TABLE.read_text(encoding="utf-8"))
    rows = (
        _champion(row, title, order if title != "fide" else 0)
        for title in ("open", "women", "fide")
        for order, row in enumerate(table[title], 1)
    )
    first, last = table["disputed"]
    return Champions(tuple(rows), (first, last))


def _champion(row: dict[str, Any], title: str, order: int) -> Champion:
    reigns = tuple((first, last) for first, last in row["reigns"])
    return Champion(row["name"], title, order, reigns, tuple(dict.fromkeys(_forms(row))))


def _forms(row: dict[str, Any]) -> Iterator[str]:
    yield plain(row["name"])
    if row.get("surname", True):
        yield plain(row["name"]).split()[-1]
    yield from (plain(alias) for alias in row.get("aliases", ()))
