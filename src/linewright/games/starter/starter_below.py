"""The starter table from a position on, as plans count it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

import chess
import numpy as np

from linewright.games.index.arrays import U16
from linewright.games.query.game_filter import ALL_GAMES, ENOUGH_BELOW, GameFilter
from linewright.games.starter.rating_bands import bands_in_words, bands_meeting
from linewright.games.values import ADD_GAMES, Replies
from linewright.support.errors import UnusableInput


class _Table(Protocol):
    def replies(self, position: chess.Board) -> Replies: ...

    def replies_in_bands(self, position: chess.Board, bands: tuple[int, ...]) -> Replies: ...


@dataclass(frozen=True, slots=True)
class StarterBelow:
    """The table from a position on, asked as :class:`linewright.games.query.games_below.GamesBelow` is.

    Games that came to a later position without passing the first one are counted too: it doesn't tell them apart.

    :param root: the first position.
    :param only: no filter; which ratings were counted stands in the note.
    :param games: how many went on from there.
    :param note: what was counted, for the user.
    :param bands: of mean ratings that are counted; None for all games.
    """

    root: chess.Board
    games: int
    note: str
    table: _Table
    bands: tuple[int, ...] | None = None
    only: GameFilter = ALL_GAMES

    def replies(self, position: chess.Board, key: int | None = None) -> Replies:
        """What was played from a position, reached by any order of moves."""
        if self.bands is None:
            return self.table.replies(position)
        return self.table.replies_in_bands(position, self.bands)

    def years(self) -> U16:
        """None: its games bear no years."""
        return np.zeros(0, dtype=np.uint16)

    def since(self, year: int) -> StarterBelow:
        """The same: see :meth:`years`."""
        return self


def starter_below(table: _Table, root: chess.Board, only: GameFilter) -> StarterBelow:
    """What is counted below a position.

    The table knows ratings only by its bands of the players' mean rating: those that meet the band asked for are
    counted, and all games where these are too few; the note says so.

    :raises UnusableInput: for a filter by years, and a position that the table doesn't hold.
    """
    if only.years is not None:
        raise UnusableInput(
            "the starter table can't count the games of some years alone", f"Leave --years out. {ADD_GAMES}"
        )
    here = table.replies(root)
    if not here.total:
        raise UnusableInput(f"the starter table doesn't hold the position {root.fen()}", ADD_GAMES)
    board = root.copy(stack=False)
    if only.ratings is None:
        return StarterBelow(board, here.total, "", table)
    bands = bands_meeting(*only.ratings)
    some = table.replies_in_bands(root, bands).total
    average = bands_in_words(bands)
    if some < ENOUGH_BELOW:
        few = {0: "no game here has", 1: "only one game here has"}.get(some, f"only {some} games here have")
        note = f"{few} players who average {average}, too few to count by; counted instead: all games"
        return StarterBelow(board, here.total, note, table)
    note = (
        f"the starter table has broad rating bands only; for players {only.in_words()}, "
        f"the games whose two players average {average} were counted"
    )
    return StarterBelow(board, some, note, table, bands)
