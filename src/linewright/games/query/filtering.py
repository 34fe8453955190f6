"""Which games meet a filter."""

from __future__ import annotations

from typing import Final

import numpy as np
import numpy.typing as npt

from linewright.games.index.arrays import U32, Bools
from linewright.games.ingest.time_control import PACES
from linewright.games.names.name_lookup import matching, nearest, plain
from linewright.games.query.game_filter import Band, GameFilter, Outcome, Result
from linewright.games.query.table_reads import GameTable
from linewright.support.errors import UnusableInput

#: White's half-points by result.
HALF_POINTS: Final[dict[Result, int]] = {"1-0": 2, "1/2-1/2": 1, "0-1": 0}
_PLAYERS_HALF_POINTS: Final[dict[Outcome, int]] = {"won": 2, "drawn": 1, "lost": 0}


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
        fits &= table.half_points[games] == HALF_POINTS[only.result]
    if only.length:
        fits &= _within((table.plies[games] + 1) // 2, only.length)
    if only.pace:
        fits &= table.paces[games] == PACES.index(only.pace)
    if only.event:
        fits &= _events(only.event, table)[table.event[games]]
    if only.player:
        fits &= _player(only.player, games, only, table)
    return fits


def players_named(name: str, table: GameTable) -> Bools:
    """Which of the table's names are the player's, by all spellings that are known to be.

    :raises UnusableInput: where none is.
    """
    found = matching(name, table.names)
    if not found:
        todo = _nearest_to(name, table.names) or "Check the name."
        raise UnusableInput(f'no game of the base names a player "{name}"', todo)
    named = np.zeros(len(table.names), dtype=np.bool_)
    named[list(found)] = True
    people = {table.players[place] for place in found}
    named |= np.array([player in people for player in table.players], dtype=np.bool_)
    return named


def _player(name: str, games: U32, only: GameFilter, table: GameTable) -> Bools:
    named = players_named(name, table)
    white, black = named[table.white[games]], named[table.black[games]]
    if only.outcome:
        half_points = table.half_points[games]
        wanted = _PLAYERS_HALF_POINTS[only.outcome]
        white = white & (half_points == wanted)
        black = black & (half_points == 2 - wanted)
    if only.colour == "white":
        return white
    return black if only.colour == "black" else white | black


def _events(asked: str, table: GameTable) -> Bools:
    words = plain(asked).split()
    found = np.array([all(word in name for word in words) for name in map(plain, table.events)], dtype=np.bool_)
    if not found.any():
        todo = _nearest_to(asked, table.events) or "Use fewer words."
        raise UnusableInput(f'no event of the base is named like "{asked}"', todo)
    return found


def _nearest_to(asked: str, names: tuple[str, ...]) -> str:
    """The names that may be meant, as a question; empty where none is like what was asked for."""
    near = " or ".join(f"“{name}”" for name in nearest(asked, names))
    return f"Did you mean {near}?" if near else ""


def _within(values: npt.NDArray[np.integer], band: Band) -> Bools:
    """0 stands for unknown and lies in no band."""
    low, high = band
    fits = values >= max(low or 1, 1)
    return fits & (values <= high) if high is not None else fits
