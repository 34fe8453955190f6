"""Which games count for an answer: the conditions. What checks them is in :mod:`.filtering`."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Final, Literal

from linewright.games.ingest.time_control import Pace
from linewright.support.errors import UnusableInput

Colour = Literal["white", "black"]
Result = Literal["1-0", "1/2-1/2", "0-1"]
Outcome = Literal["won", "drawn", "lost"]

#: A band, both ends included; None: open.
Band = tuple[int | None, int | None]

_BAND: Final = re.compile(r"(\d+)?\s*(?:(-|–|\.\.)\s*(\d+)?)?")


@dataclass(frozen=True, slots=True)
class GameFilter:
    """Conditions that a game must meet, all of them; what is None is not asked.

    A game that doesn't have what is asked for (no rating, no date) does not meet it.

    :param ratings: both players' ratings lie in the band.
    :param years: of play.
    :param result: as PGN writes it.
    :param player: took part; surname, or name in either style (``Amber, Ada``, ``A Amber``).
    :param colour: the player's.
    :param outcome: for the player.
    :param event: these words are in the event's name, whatever their case and accents.
    :param pace: by time control or event, see :func:`linewright.games.ingest.time_control.pace_of`.
    :param length: in moves (both sides' move is one).
    """

    ratings: Band | None = None
    years: Band | None = None
    result: Result | None = None
    player: str | None = None
    colour: Colour | None = None
    outcome: Outcome | None = None
    event: str | None = None
    pace: Pace | None = None
    length: Band | None = None

    def __post_init__(self) -> None:
        for asked, name in ((self.colour, "colour"), (self.outcome, "outcome")):
            if asked is not None and self.player is None:
                raise UnusableInput(f'the {name} "{asked}" belongs to no one', "Name the player too.")

    def __bool__(self) -> bool:
        """Is anything asked?"""
        return self != GameFilter()

    def in_words(self) -> str:
        """The conditions, for a heading; empty where none is asked."""
        parts = [
            f"both rated {_band(self.ratings)}" if self.ratings else "",
            f"years {_band(self.years)}" if self.years else "",
            self.result or "",
            f"{self.player}{f' as {self.colour.title()}' if self.colour else ''}" if self.player else "",
            self.outcome or "",
            f"event “{self.event}”" if self.event else "",
            self.pace or "",
            f"{_band(self.length)} moves" if self.length else "",
        ]
        return ", ".join(part for part in parts if part)


#: Half-moves below the first position that are looked at: twelve moves, beyond which no line is taught by shares.
DEPTH_BELOW: Final = 24
#: Games that a band must have below the first position; with fewer, shares of a first reply of 10 % are off by more
#: than 4 points (one standard deviation, binomial), and the band is widened.
ENOUGH_BELOW: Final = 60

#: No condition.
ALL_GAMES: Final = GameFilter()


def parse_band(text: str, what: str) -> Band:
    """Read ``2400-2600``, ``2400-``, ``-2600`` or ``2400``.

    :param what: what is asked, for the message.
    :raises UnusableInput: for anything else, and for a band upside down.
    """
    match = _BAND.fullmatch(text.strip())
    low, dash, high = match.groups() if match else (None, None, None)
    if match is None or (low is None and high is None):
        raise UnusableInput(f'"{text}" is not a range of {what}', "Write it like 2400-2600, 2400- or -2600.")
    band = (int(low) if low else None, int(high) if high else None if dash else int(low or 0))
    if band[0] is not None and band[1] is not None and band[0] > band[1]:
        raise UnusableInput(f'the range of {what} "{text}" is upside down', f"Write {band[1]}-{band[0]}.")
    return band


def _band(band: Band) -> str:
    low, high = band
    if low is not None and low == high:
        return str(low)
    return f"{low}–{high}" if low is not None and high is not None else f"from {low}" if high is None else f"to {high}"
