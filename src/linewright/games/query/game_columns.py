"""What replies are counted from: a few numbers of each game."""

from __future__ import annotations

from dataclasses import dataclass

import duckdb
import numpy as np
import numpy.typing as npt

from linewright.games.index.arrays import U16, U32
from linewright.games.ingest.columns import UNKNOWN


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
