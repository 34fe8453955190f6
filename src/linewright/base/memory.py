"""The parts of the base that answers are counted from, kept in memory once they have been asked for."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

import duckdb
import numpy as np
import numpy.typing as npt

from linewright.base.keys import NO_MOVE, unpack_move

U16 = npt.NDArray[np.uint16]
U32 = npt.NDArray[np.uint32]
U64 = npt.NDArray[np.uint64]
I64 = npt.NDArray[np.int64]

#: Stands for an unknown result in :attr:`GameColumns.half_points`.
UNKNOWN: Final = 3

#: Rows per piece when positions are read.
_PIECE: Final = 1 << 20


@dataclass(frozen=True, slots=True)
class GameColumns:
    """What replies need of each game, by game number, shape (games,) each; 7 bytes a game.

    :param half_points: White's, 0-2, else :data:`UNKNOWN`.
    :param white_ratings: 0 where unknown; so black's.
    :param years: 0 where unknown.
    """

    half_points: npt.NDArray[np.uint8]
    white_ratings: U16
    black_ratings: U16
    years: U16

    @classmethod
    def load(cls, con: duckdb.DuckDBPyConnection) -> GameColumns:
        columns = con.execute(
            f"SELECT id, coalesce(result, {UNKNOWN})::UTINYINT AS result, coalesce(white_rating, 0) AS white,"
            " coalesce(black_rating, 0) AS black, coalesce(year, 0) AS year FROM games"
        ).fetchnumpy()
        ids = columns["id"]
        size = int(ids.max()) + 1 if len(ids) else 0

        def by_id(name: str, dtype: type[np.unsignedinteger], unknown: int) -> npt.NDArray[np.unsignedinteger]:
            column = np.full(size, unknown, dtype=dtype)
            column[ids] = columns[name]
            return column

        return cls(
            by_id("result", np.uint8, UNKNOWN),
            by_id("white", np.uint16, 0),
            by_id("black", np.uint16, 0),
            by_id("year", np.uint16, 0),
        )


@dataclass(frozen=True, slots=True)
class MoveCount:
    """One move's figures: ``points`` are the mover's, over ``scored`` games; 0 ``last_year``: unknown."""

    packed: int
    games: int
    scored: int
    points: float
    rated: int
    rating_sum: int
    last_year: int


def count_moves(games: U32, moves: U16, columns: GameColumns, white: bool) -> tuple[MoveCount, ...]:
    """Count a position's entries by the move played (``NO_MOVE`` among them).

    :param games: game number of each entry; ``moves`` alike. No pair stands twice.
    :param white: White is to move.
    """
    found = np.flatnonzero(np.bincount(moves))
    rank = np.zeros(int(found[-1]) + 1 if len(found) else 0, dtype=np.int64)
    rank[found] = np.arange(len(found))
    group = rank[moves]

    def total(weights: npt.NDArray[np.generic]) -> list[float]:
        numbers: list[float] = np.bincount(group, weights=weights, minlength=len(found)).tolist()
        return numbers

    half_points = columns.half_points[games]
    known = half_points != UNKNOWN
    points = np.where(known, half_points if white else 2 - half_points.astype(np.int8), 0)
    ratings = (columns.white_ratings if white else columns.black_ratings)[games]
    years = np.zeros(len(found), dtype=np.uint16)
    np.maximum.at(years, group, columns.years[games])
    rows = zip(
        found.tolist(),
        np.bincount(group, minlength=len(found)).tolist(),
        total(known),
        total(points),
        total(ratings > 0),
        total(ratings),
        years.tolist(),
        strict=True,
    )
    return tuple(
        MoveCount(move, count, int(scored), half / 2, int(rated), int(rating_sum), year)
        for move, count, scored, half, rated, rating_sum, year in rows
    )


class PlayedMoves:
    """All positions and the moves played from them, as sorted runs; 10 bytes an entry."""

    def __init__(self, keys: U64, moves: U16) -> None:
        """
        :param keys: shape (entries,), ascending but for the starts of runs.
        :param moves: packed, alike.
        """
        bounds = np.concatenate([[0], np.flatnonzero(keys[1:] < keys[:-1]) + 1, [len(keys)]]).tolist()
        self._runs = [(keys[first:last], moves[first:last]) for first, last in pairwise(bounds)]
        self._answers: dict[int, dict[str, int]] = {}
        self._ucis: dict[int, str] = {}

    @classmethod
    def load(cls, con: duckdb.DuckDBPyConnection) -> PlayedMoves:
        size = con.execute("SELECT count(*) FROM positions").fetchall()[0][0]
        keys = np.empty(size, dtype=np.uint64)
        moves = np.empty(size, dtype=np.uint16)
        at = 0
        for piece in con.sql("SELECT key, move FROM positions").to_arrow_reader(_PIECE):
            last = at + len(piece)
            keys[at:last] = piece.column(0).to_numpy()
            moves[at:last] = piece.column(1).to_numpy()
            at = last
        return cls(keys, moves)

    def ask(self, keys: Sequence[int]) -> dict[int, dict[str, int]]:
        """Games by UCI move for each key that is known; answers are kept, the same keys come again."""
        answers = self._answers
        new = [key for key in dict.fromkeys(keys) if key not in answers]
        if new:
            self._look_up(sorted(new))  # in order the searches stay near each other in memory
        return {key: answers[key].copy() for key in keys if answers[key]}

    def _look_up(self, keys: list[int]) -> None:
        wanted = np.array(keys, dtype=np.uint64)
        for key in keys:
            self._answers[key] = {}
        for run, moves in self._runs:
            firsts = np.searchsorted(run, wanted, "left")
            lasts = np.searchsorted(run, wanted, "right")
            known = np.flatnonzero(firsts < lasts).tolist()
            for i, first, last in zip(known, firsts[known].tolist(), lasts[known].tolist(), strict=True):
                self._count(self._answers[keys[i]], moves[first:last])

    def _count(self, answer: dict[str, int], moves: U16) -> None:
        if len(moves) < _FEW:
            for move in moves.tolist():
                self._add(answer, move, 1)
            return
        counts = np.bincount(moves)
        for move in np.flatnonzero(counts).tolist():
            self._add(answer, move, int(counts[move]))

    def _add(self, answer: dict[str, int], move: int, games: int) -> None:
        if move == NO_MOVE:
            return
        uci = self._ucis.get(move)
        if uci is None:
            uci = self._ucis[move] = unpack_move(move)
        answer[uci] = answer.get(uci, 0) + games


#: Entries below which counting one by one beats counting with numpy (measured: about 20 microseconds).
_FEW: Final = 128
