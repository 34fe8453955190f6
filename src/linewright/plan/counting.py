"""What plans are counted from: the games of a base, or the starter table where there is none."""

from __future__ import annotations

from dataclasses import dataclass

import chess

from linewright.games.door import AnyBase
from linewright.games.model import Replies
from linewright.games.query.filters import GameFilter
from linewright.games.query.loaded_games import ALL_GAMES, Archive
from linewright.games.starter.table import ADD_GAMES, StarterTable, bands_meeting, bands_told
from linewright.plan.games_below import DEPTH, ENOUGH, Field, field_below
from linewright.support.errors import UnusableInput

#: Whole games, or counts only.
Source = Archive | StarterTable


def source_of(games: AnyBase) -> Source:
    """What plans ask of the games that were opened."""
    return games if isinstance(games, StarterTable) else Archive(games)


@dataclass(frozen=True, slots=True)
class StarterField:
    """The starter table from a position on, asked as a :class:`linewright.plan.games_below.Field` is.

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
    table: StarterTable
    bands: tuple[int, ...] | None = None
    only: GameFilter = ALL_GAMES

    def replies(self, position: chess.Board, key: int | None = None) -> Replies:
        """What was played from a position, reached by any order of moves."""
        if self.bands is None:
            return self.table.replies(position)
        return self.table.replies_in_bands(position, self.bands)


AnyField = Field | StarterField


def counts_below(source: Source, root: chess.Board, only: GameFilter, depth: int = DEPTH) -> AnyField:
    """What is counted below a position.

    The starter table knows ratings only by its bands of the players' mean rating: those that meet the band asked for
    are counted, and all games where these are too few; the note says so.

    :raises UnusableInput: for a filter that the starter table can't answer, and a position that it doesn't hold.
    """
    if isinstance(source, Archive):
        return field_below(source, root, only, depth)
    if only.years is not None:
        raise UnusableInput(
            "the starter table can't count the games of some years alone", f"Leave --years out. {ADD_GAMES}"
        )
    here = source.replies(root)
    if not here.total:
        raise UnusableInput(f"the starter table doesn't hold the position {root.fen()}", ADD_GAMES)
    board = root.copy(stack=False)
    if only.ratings is None:
        return StarterField(board, here.total, "", source)
    bands = bands_meeting(*only.ratings)
    some = source.replies_in_bands(root, bands).total
    asked, told = only.told(), bands_told(bands)
    if some < ENOUGH:
        few = {0: "no game here has", 1: "only one game here has"}.get(some, f"only {some} games here have")
        note = f"{few} players who average {told}, too few to count by; counted instead: all games"
        return StarterField(board, here.total, note, source)
    note = (
        f"the starter table has broad rating bands only; for players {asked}, "
        f"the games whose two players average {told} were counted"
    )
    return StarterField(board, some, note, source, bands)
