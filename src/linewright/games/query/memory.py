"""The parts of the base that answers are counted from, kept in memory once they have been asked for."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import duckdb
import numpy as np
import numpy.typing as npt

from linewright.games.index.arrays import U16, U32
from linewright.games.index.index_layout import SHELVES, joined, lone_games, shared_groups, shelf_of
from linewright.games.index.index_reader import moves_of
from linewright.games.index.one_game import positions
from linewright.games.index.position_keys import NO_MOVE, unpack_move
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


class PlayedMoves:
    """The position index in memory (some 5 bytes an entry), asked for the moves played from many positions."""

    def __init__(self, con: duckdb.DuckDBPyConnection) -> None:
        self._con = con
        rows = con.execute("SELECT shelf, run, lone, shared FROM shelves").fetchnumpy()
        shelves = rows["shelf"]
        # The rows by shelf, and in their order on each; where each shelf's begin, and the end.
        self._rows = np.argsort(shelves, kind="stable")
        self._bounds = np.searchsorted(shelves[self._rows], np.arange(SHELVES + 1))
        self._runs, self._lone, self._shared = (rows[name] for name in ("run", "lone", "shared"))
        self._answers: dict[int, dict[str, int]] = {}
        self._ucis: dict[int, str] = {}

    def ask(self, keys: Sequence[int]) -> dict[int, dict[str, int]]:
        """Games by UCI move for each key that is known; answers are kept, the same keys come again."""
        answers = self._answers
        new = [key for key in dict.fromkeys(keys) if key not in answers]
        if new:
            self._look_up(new)
        return {key: answers[key].copy() for key in keys if answers[key]}

    def _look_up(self, keys: list[int]) -> None:
        may_have: dict[int, list[int]] = {}
        for key in keys:
            answer = self._answers[key] = {}
            for lone, shared in self._shelf(key):
                for move, games in shared_groups(shared, key):
                    self._add(answer, move, games)
                for game in lone_games(lone, key):
                    may_have.setdefault(game, []).append(key)
        for game, moves in moves_of(self._con, may_have) if may_have else ():
            wanted = set(may_have[game])
            for key, move in positions(moves):
                if key in wanted:
                    wanted.discard(key)
                    self._add(self._answers[key], move, 1)

    def _shelf(self, key: int) -> list[tuple[bytes, bytes]]:
        shelf = shelf_of(key)
        rows = self._rows[self._bounds[shelf] : self._bounds[shelf + 1]].tolist()
        if len(rows) == 1:
            return [(self._lone[rows[0]], self._shared[rows[0]])]
        return joined((self._runs[row], self._lone[row], self._shared[row]) for row in rows)

    def _add(self, answer: dict[str, int], move: int, games: int) -> None:
        if move == NO_MOVE:
            return
        uci = self._ucis.get(move)
        if uci is None:
            uci = self._ucis[move] = unpack_move(move)
        answer[uci] = answer.get(uci, 0) + games
