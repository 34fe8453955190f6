"""How often a move is said to be played: the measures in a sentence, by ``frequency.toml``."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum

from linewright.language.numbers import number
from linewright.language.wordings import Heard, wording


class How(StrEnum):
    """What a measure says; the forms of ``frequency.toml`` name it."""

    FIRST = "first"
    SECOND = "second"
    ALWAYS = "always"
    MOST = "most"
    COMMON = "common"
    RARE = "rare"
    NOBODY = "nobody"
    NUMBER = "number"


@dataclass(frozen=True, slots=True)
class Measure:
    """How often a move is said to be played.

    :param how: the kind of measure.
    :param names_move: the words call something a move ("the main move"), so that a bare claim speaks of the
        nearest one; otherwise a move or "that" must stand in the clause.
    :param share: the share said, 0-1, for ``How.NUMBER``.
    """

    how: How
    names_move: bool = False
    share: float = 0.0


def measures(text: str, language: str) -> Iterator[tuple[Measure, int, int]]:
    """The measures in a sentence's text with their character ranges, in order, without overlaps."""
    found = wording("claims/frequency", language).find_apart(text)
    for heard in sorted(found, key=lambda heard: heard.start):
        data = heard.form.data
        share = _share(heard) if data["how"] == How.NUMBER else 0.0
        if share is not None:
            yield Measure(How(data["how"]), data.get("names_move", False), share), heard.start, heard.end


def _share(heard: Heard) -> float | None:
    """The share that was said, 0-1; None where it is none, as "two hundred percent"."""
    if percent := heard.value("percent"):
        value = float(percent) if percent[0].isdigit() else float(number(percent) or 0)
        return value / 100 if value <= 100 else None
    part, whole = number(heard.value("part")) or 1, number(heard.value("of"))
    return part / whole if whole and part <= whole else None
