"""Which games count for an answer."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Final, Literal

import numpy as np
import numpy.typing as npt

from linewright.games.ingest.time_control import PACES, Pace
from linewright.games.names.name_lookup import matching, nearest, plain
from linewright.games.query.table_reads import GameTable
from linewright.support.errors import UnusableInput

U32 = npt.NDArray[np.uint32]
Bools = npt.NDArray[np.bool_]

Colour = Literal["white", "black"]
Result = Literal["1-0", "1/2-1/2", "0-1"]
Outcome = Literal["won", "drawn", "lost"]

#: A band, both ends included; None: open.
Band = tuple[int | None, int | None]

_HALF_POINTS: Final[dict[Result, int]] = {"1-0": 2, "1/2-1/2": 1, "0-1": 0}
_PLAYERS_HALF_POINTS: Final[dict[Outcome, int]] = {"won": 2, "drawn": 1, "lost": 0}
_BAND: Final = re.compile(r"(\d+)?\s*(?:(-|–|\.\.)\s*(\d+)?)?")


@dataclass(frozen=True, slots=True)
class GameFilter:
    """Conditions that a game must meet, all of them; what is None is not asked.

    A game that doesn't tell what is asked (no rating, no date) does not meet it.

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

    def told(self) -> str:
        """The conditions in words, for a heading; empty where none is asked."""
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


def fitting(games: U32, only: GameFilter, table: GameTable) -> Bools:
    """Which of the games meet the conditions.

    :param games: game numbers, shape (n,).
    :returns: shape (n,).
    :raises UnusableInput: for a player or an event that no game knows; the message offers the nearest.
    """
    fits = np.ones(len(games), dtype=np.bool_)
    if only.ratings:
        fits &= _within(table.white_ratings[games], only.ratings) & _within(table.black_ratings[games], only.ratings)
    if only.years:
        fits &= _within(table.years[games], only.years)
    if only.result:
        fits &= table.half_points[games] == _HALF_POINTS[only.result]
    if only.length:
        fits &= _within((table.plies[games] + 1) // 2, only.length)
    if only.pace:
        fits &= table.paces[games] == PACES.index(only.pace)
    if only.event:
        fits &= _events(only.event, table)[table.event[games]]
    if only.player:
        fits &= _player(only.player, games, only, table)
    return fits


def players_named(told: str, table: GameTable) -> Bools:
    """Which of the table's names are the player's, by all spellings that are known to be.

    :raises UnusableInput: where none is.
    """
    found = matching(told, table.names)
    if not found:
        near = " or ".join(f"“{name}”" for name in nearest(told, table.names))
        raise UnusableInput(
            f'no game of the base names a player "{told}"', f"Did you mean {near}?" if near else "Check the name."
        )
    named = np.zeros(len(table.names), dtype=np.bool_)
    named[list(found)] = True
    people = {table.players[place] for place in found}
    named |= np.array([player in people for player in table.players], dtype=np.bool_)
    return named


def _player(told: str, games: U32, only: GameFilter, table: GameTable) -> Bools:
    named = players_named(told, table)
    white, black = named[table.white[games]], named[table.black[games]]
    if only.outcome:
        half_points = table.half_points[games]
        wanted = _PLAYERS_HALF_POINTS[only.outcome]
        white = white & (half_points == wanted)
        black = black & (half_points == 2 - wanted)
    if only.colour == "white":
        return white
    return black if only.colour == "black" else white | black


def _events(told: str, table: GameTable) -> Bools:
    words = plain(told).split()
    found = np.array([all(word in name for word in words) for name in map(plain, table.events)], dtype=np.bool_)
    if not found.any():
        near = " or ".join(f"“{name}”" for name in nearest(told, table.events))
        raise UnusableInput(
            f'no event of the base is named like "{told}"', f"Did you mean {near}?" if near else "Use fewer words."
        )
    return found


def _within(values: npt.NDArray[np.integer], band: Band) -> Bools:
    """0 stands for unknown and lies in no band."""
    low, high = band
    fits = values >= max(low or 1, 1)
    return fits & (values <= high) if high is not None else fits


def _band(band: Band) -> str:
    low, high = band
    if low is not None and low == high:
        return str(low)
    return f"{low}–{high}" if low is not None and high is not None else f"from {low}" if high is None else f"to {high}"
