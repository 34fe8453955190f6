"""The starter table: replies counted beforehand from some 167,000 games, for where the user has no base yet.

``tools/make_starter.py`` makes it, and it ships with the program. Counts are facts; there is no game and no name in it.
"""

from __future__ import annotations

import zipfile
from collections.abc import Sequence
from functools import cache, cached_property
from importlib.resources import files
from typing import TYPE_CHECKING, Any, Final

import chess
import numpy as np
import numpy.typing as npt

from linewright.games.game_source import GameSource
from linewright.games.index.arrays import I64, U64
from linewright.games.index.position_keys import position_key, unpack_move
from linewright.games.query.game_filter import ALL_GAMES, DEPTH_BELOW, GameFilter
from linewright.games.report.wilson import wilson_interval
from linewright.games.starter.table_file import FIGURED, PackedTable, position_keys
from linewright.games.values import ADD_GAMES, Replies, Reply
from linewright.support.errors import UnusableInput

if TYPE_CHECKING:
    from linewright.games.report.study_values import Study
    from linewright.games.starter.starter_below import StarterBelow

#: The table beside this module.
FILE: Final = "starter.npz"


class StarterTable(GameSource):
    """The starter table, asked as a :class:`linewright.games.games_base.GamesBase` is.

    It answers what is counted by position. A position that it doesn't hold has no replies, which doesn't say that
    nobody played on from there. It knows no games and no players. What is asked first is unpacked first.
    """

    def __init__(self, content: bytes) -> None:
        self._packed = PackedTable(content)

    @classmethod
    def load(cls) -> StarterTable:
        """The table that ships with the program; the same one each time.

        :raises UnusableInput: where it is missing or damaged.
        """
        return _shipped()

    def close(self) -> None:
        """Nothing to let go of; the table is kept."""

    @cached_property
    def counted(self) -> int:
        """How many games were counted."""
        return int(self._packed.column("counted")[0])

    @property
    def note(self) -> str:
        """Where counts come from and what to do for more, in one line."""
        return (
            f"counted from the starter table of {self.counted:,} games; add your own with: linewright base add FILE.pgn"
        )

    def size(self) -> tuple[int, int]:
        """How many games were counted; none of them has a number."""
        return self.counted, 0

    def holds(self, position: chess.Board) -> bool:
        """Whether the position is in the table: it isn't where only one game came to it, or games came late."""
        return self._place(position_key(position)) is not None

    def replies(self, position: chess.Board) -> Replies:
        """What was played from the position in all the games counted, reached by any order of moves.

        Mean ratings are not given; scores and years only where at least :data:`FIGURED` games went on. No replies where
        the table doesn't hold the position.
        """
        place = self._place(position_key(position))
        if place is None:
            return Replies(position.fen(), 0, ())
        here, known = self._rows(place)
        games = self._games[here].tolist()
        total = sum(games) - int(self._repeats[place])
        moves = self._moves[here].tolist()
        if known is None:
            found = [_reply(position, total, move, count) for move, count in zip(moves, games, strict=True)]
        else:
            figures = (self._figures[name][known].tolist() for name in ("unscored", "halves", "last"))
            rows = zip(moves, games, *figures, strict=True)
            found = [
                _reply(position, total, m, count, count - open_, half, last) for m, count, open_, half, last in rows
            ]
        return Replies(position.fen(), total, tuple(found), int(self._ended[place]))

    def years(self, position: chess.Board) -> dict[str, tuple[int, int]]:
        """The first and the last year of each reply that dated games are known of, by UCI."""
        place = self._place(position_key(position))
        here, known = self._rows(place) if place is not None else (slice(0), None)
        if known is None:
            return {}
        firsts, lasts = (self._figures[name][known].tolist() for name in ("first", "last"))
        rows = zip(self._moves[here].tolist(), firsts, lasts, strict=True)
        return {unpack_move(move): (first, last) for move, first, last in rows if last}

    def replies_in_bands(self, position: chess.Board, bands: Sequence[int]) -> Replies:
        """The replies in the games with a result whose players' mean rating lies in some bands.

        ``total`` is the sum of the replies' games; years are not given.

        :param bands: places in :data:`linewright.games.starter.rating_bands.BANDS`.
        """
        place = self._place(position_key(position))
        here, known = self._rows(place) if place is not None else (slice(0), None)
        if known is None:
            return Replies(position.fen(), 0, ())
        games, halves = (
            self._figures[name][list(bands), known].sum(axis=0).tolist() for name in ("band_games", "band_halves")
        )
        total = sum(games)
        rows = zip(self._moves[here].tolist(), games, halves, strict=True)
        found = [_reply(position, total, move, count, count, half) for move, count, half in rows if count]
        return Replies(position.fen(), total, tuple(sorted(found, key=lambda reply: (-reply.games, reply.uci))))

    def moves_played(self, keys: Sequence[int]) -> dict[int, dict[str, int]]:
        """Games by UCI move for each key that the table holds; as ``moves_played``."""
        found = {}
        for key in keys:
            place = self._place(key)
            if place is not None:
                here, _ = self._rows(place)
                moves = map(unpack_move, self._moves[here].tolist())
                found[key] = dict(zip(moves, self._games[here].tolist(), strict=True))
        return found

    def below(self, root: chess.Board, only: GameFilter = ALL_GAMES, depth: int = DEPTH_BELOW) -> StarterBelow:
        """The table from a position on.

        :param depth: not needed: nothing is read for it.
        :raises UnusableInput: for a filter by years, and a position that the table doesn't hold.
        """
        from linewright.games.starter.starter_below import starter_below  # needed for plans only

        return starter_below(self, root, only)

    def study(self, position: chess.Board, only: GameFilter = ALL_GAMES, most: int | None = None) -> Study:
        """The replies with their figures; what only whole games tell is missing.

        :param most: replies that are studied, most played first; None: all.
        :raises UnusableInput: for a filter, and a position that the table doesn't hold.
        """
        if only:
            raise UnusableInput(f"the starter table can't tell which of its games are {only.in_words()}", ADD_GAMES)
        if not self.holds(position):
            raise UnusableInput(f"the starter table doesn't hold the position {position.fen()}", ADD_GAMES)
        from linewright.games.starter.starter_study import starter_study  # needed for reports only

        return starter_study(self.replies(position), self.years(position), most)

    def _place(self, key: int) -> int | None:
        """Where a position lies, by its key."""
        keys, places = self._index
        at = int(keys.searchsorted(np.uint64(key)))
        return int(places[at]) if at < len(keys) and int(keys[at]) == key else None

    def _rows(self, place: int) -> tuple[slice, slice | None]:
        """Where a position's replies lie, and where in the columns of figures; None where there are none."""
        first, last = self._bounds[place : place + 2].tolist()
        known, until = self._known[place : place + 2].tolist()
        return slice(first, last), slice(known, until) if until > known else None

    @cached_property
    def _index(self) -> tuple[U64, I64]:
        """The keys, ascending, and where each one's position lies."""
        leads = self._packed.leads(len(self._steps))
        changes = self._packed.column("changes")[self._steps[leads]]
        keys = position_keys(self._packed.column("roots"), self._replies, leads, changes)
        order = np.argsort(keys)
        return keys[order], order

    @cached_property
    def _replies(self) -> npt.NDArray[np.uint8]:
        return self._packed.column("replies")

    @cached_property
    def _steps(self) -> npt.NDArray[np.uint16]:
        return self._packed.column("steps")

    @cached_property
    def _moves(self) -> npt.NDArray[np.uint16]:
        moves: npt.NDArray[np.uint16] = self._packed.column("moves")[self._steps]
        return moves

    @cached_property
    def _games(self) -> npt.NDArray[np.uint32]:
        return self._packed.column("games")

    @cached_property
    def _repeats(self) -> npt.NDArray[np.uint16]:
        return self._packed.column("repeats")

    @cached_property
    def _ended(self) -> npt.NDArray[np.uint16]:
        return self._packed.column("ended")

    @cached_property
    def _bounds(self) -> I64:
        """Where each position's replies begin, and the end of the last."""
        return np.concatenate([[0], np.cumsum(self._replies, dtype=np.int64)])

    @cached_property
    def _known(self) -> I64:
        """The same in the columns of figures."""
        sums = np.concatenate([[0], np.cumsum(self._games, dtype=np.int64)])
        games = np.diff(sums[self._bounds])
        return np.concatenate([[0], np.cumsum(np.where(games >= FIGURED, self._replies, 0), dtype=np.int64)])

    @cached_property
    def _figures(self) -> _Figures:
        return _Figures(self._packed)


class _Figures(dict[str, npt.NDArray[Any]]):
    """The columns of figures by name, unpacked when first asked for."""

    def __init__(self, packed: PackedTable) -> None:
        super().__init__()
        self._packed = packed

    def __missing__(self, name: str) -> npt.NDArray[Any]:
        column = self[name] = self._packed.column(name)
        return column


@cache
def _shipped() -> StarterTable:
    try:
        return StarterTable((files("linewright.games.starter") / FILE).read_bytes())
    except (OSError, zipfile.BadZipFile) as error:
        raise UnusableInput(f"the starter table can't be read: {error}", "Install Linewright again.") from None


def _reply(
    position: chess.Board, total: int, packed: int, games: int, scored: int = 0, halves: int = 0, last: int = 0
) -> Reply:
    uci = unpack_move(packed)
    low, high = wilson_interval(halves / 2, scored)
    return Reply(
        uci=uci,
        san=position.san(chess.Move.from_uci(uci)),
        games=games,
        share=games / total,
        score=halves / 2 / scored if scored else 0.5,
        low=low,
        high=high,
        mean_rating=None,
        last_year=last or None,
        scored=scored,
    )
