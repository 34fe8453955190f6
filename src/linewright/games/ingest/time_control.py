"""How fast a game was played, where that is known."""

from __future__ import annotations

import re
from functools import lru_cache
from typing import Final, Literal

Pace = Literal["classical", "rapid", "blitz"]

#: By the code that :class:`linewright.games.query.table_reads.GameTable` keeps; 0: unknown.
PACES: Final[tuple[Pace | None, ...]] = (None, "classical", "rapid", "blitz")

#: Moves that an increment is counted over (FIDE Laws of Chess 2023, A.1 and B.1: "the time ... plus 60 times
#: any increment").
_COUNTED_MOVES: Final = 60

#: Minutes: at most so many are blitz, and at least so many classical (FIDE Laws of Chess 2023, B.1 and A.1).
BLITZ_MINUTES, CLASSICAL_MINUTES = 10, 60

#: Words in an event's name that say how fast its games were (common practice).
_EVENT: Final = re.compile(r"\b(blitz|bullet|armageddon|lightning|rapid|rapidplay|active|quick)\b", re.IGNORECASE)
_RAPID: Final = frozenset(("rapid", "rapidplay", "active", "quick"))

#: One period of a TimeControl tag: ``moves/seconds``, ``seconds``, either with ``+increment`` (PGN standard 9.6.1).
_PERIOD: Final = re.compile(r"(?:(\d+)/)?(\d+)(?:\+(\d+))?")


def pace_of(time_control: str, event: str) -> Pace | None:
    """The pace by the game's TimeControl tag, else by words in its event's name; None where neither tells.

    All periods' time for one player counts, with 60 moves' increment (FIDE Laws of Chess 2023, A.1 and B.1). A
    tag that gives a sandclock or no number tells nothing.
    """
    minutes = _minutes(time_control)
    if minutes is not None:
        return "blitz" if minutes <= BLITZ_MINUTES else "rapid" if minutes < CLASSICAL_MINUTES else "classical"
    said = _EVENT.search(event)
    if said is None:
        return None
    return "rapid" if said[1].lower() in _RAPID else "blitz"


@lru_cache(maxsize=1 << 14)
def pace_code(time_control: str, event: str) -> int:
    """The pace's place in :data:`PACES`."""
    return PACES.index(pace_of(time_control, event))


def _minutes(time_control: str) -> float | None:
    periods = [_PERIOD.fullmatch(part.strip()) for part in time_control.split(":")]
    if not all(periods):
        return None
    seconds = increment = 0
    for period in periods:
        if period:
            seconds += int(period[2])
            increment = max(increment, int(period[3] or 0))
    return (seconds + _COUNTED_MOVES * increment) / 60
