"""The position index held in memory, for the moves played from many positions."""

from __future__ import annotations

from collections.abc import Sequence

import duckdb
import numpy as np

from linewright.games.index.index_layout import SHELVES, joined, lone_games, shared_groups, shelf_of
from linewright.games.index.index_reader import moves_of
from linewright.games.index.one_game import positions
from linewright.games.index.position_keys import NO_MOVE, unpack_move


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
