"""Asking the games base."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from types import TracebackType
from typing import Final

import chess
import duckdb
import numpy as np
import numpy.typing as npt

from linewright.base import schema
from linewright.base.adding import add
from linewright.base.keys import NO_MOVE, position_key, unpack_move
from linewright.base.model import BaseInfo, GameRow, Order, Replies, Reply
from linewright.base.wilson import wilson
from linewright.errors import UnusableInput

__all__ = ["Base", "BaseInfo", "GameRow", "Replies", "Reply", "add", "position_key", "wilson"]

#: Moves that a :class:`GameRow` shows from the position asked for.
FOLLOWING_PLIES: Final = 8

#: White's half-points as PGN results.
_RESULTS: Final = {2: "1-0", 1: "1/2-1/2", 0: "0-1", None: "*"}

_REPLIES: Final = """
SELECT move, count(*), count(result), sum(result), avg({mover}_rating), max(year)
FROM positions JOIN games ON game = id WHERE key = ? GROUP BY move
"""
_TOTAL: Final = "SELECT count(DISTINCT game) FROM positions WHERE key = ? AND move <> 0"
_ORDERS: Final[dict[Order, str]] = {
    "newest": "year DESC NULLS LAST, date DESC, id DESC",
    # A game is as strong as its players' mean rating; one unrated player counts as unknown.
    "strongest": "white_rating + black_rating DESC NULLS LAST, id DESC",
}
_GAMES: Final = """
SELECT g.id, white, black, white_rating, black_rating, result, date, year, event, site, round, eco, plies,
    moves, s.name
FROM games g JOIN sources s ON g.source = s.id
WHERE g.id IN (SELECT game FROM positions WHERE key = ?) ORDER BY {order} LIMIT ?
"""
_INFO: Final = """
SELECT count(*), min(year), max(year), count(white_rating + black_rating),
    (SELECT count(*) FROM (SELECT white FROM games WHERE white <> '' UNION
        SELECT black FROM games WHERE black <> '')),
    (SELECT count(DISTINCT key) FROM positions)
FROM games
"""


class Base:
    """A games base, open for asking. Use it in one thread."""

    def __init__(self, con: duckdb.DuckDBPyConnection, path: Path) -> None:
        self._con = con
        self._path = path
        self._played: _Played | None = None

    @classmethod
    def open(cls, path: Path) -> Base:
        """Open the base in the file ``path`` for asking only.

        :raises UnusableInput: where it is missing, empty, in use or no base.
        """
        con = schema.connect(path, read_only=True)
        try:
            if not schema.check(con, path):
                raise UnusableInput(f"the games base {path} holds no games", "Add some: linewright base add FILE")
        except duckdb.Error as error:
            con.close()
            raise UnusableInput(
                f"the games base {path} can't be read: {str(error).splitlines()[0]}",
                "Move it away and add the games again.",
            ) from None
        except BaseException:
            con.close()
            raise
        return cls(con, path)

    def __enter__(self) -> Base:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def close(self) -> None:
        """Let go of the file."""
        self._played = None
        self._con.close()

    def info(self) -> BaseInfo:
        """What the base holds; counts every position, which takes a second for a few hundred thousand games."""
        games, first, last, rated, players, positions = self._con.execute(_INFO).fetchall()[0]
        sources = self._con.execute("SELECT name, games FROM sources ORDER BY id").fetchall()
        size = self._path.stat().st_size
        return BaseInfo(self._path, games, positions, players, first, last, rated, tuple(sources), size)

    def replies(self, position: chess.Board) -> Replies:
        """What was played from the position, in all games that reached it by any order of moves."""
        key = position_key(position)
        mover = "white" if position.turn == chess.WHITE else "black"
        rows = self._con.execute(_REPLIES.format(mover=mover), [key]).fetchall()
        ended = sum(row[1] for row in rows if row[0] == NO_MOVE)
        played = [row for row in rows if row[0] != NO_MOVE]
        total = self._con.execute(_TOTAL, [key]).fetchall()[0][0] if played else 0
        found = [_reply(position, total, *row) for row in played]
        found.sort(key=lambda reply: (-reply.games, reply.uci))
        return Replies(position.fen(), total, tuple(found), ended)

    def games(self, position: chess.Board, order: Order, limit: int) -> tuple[GameRow, ...]:
        """Games through the position, the newest or the strongest first, at most ``limit``."""
        key = position_key(position)
        rows = self._con.execute(_GAMES.format(order=_ORDERS[order]), [key, limit]).fetchall()
        return tuple(_game_row(key, row) for row in rows)

    def moves_played(self, keys: Sequence[int]) -> dict[int, dict[str, int]]:
        """How often each move was played from each position known to the base.

        The first call reads the positions into memory (10 bytes each; a game has some 80).

        :param keys: as :func:`linewright.base.keys.position_key` gives them.
        :returns: for each key that any game went on from, games by UCI move.
        """
        if self._played is None:
            self._played = _Played.load(self._con)
        return self._played.ask(keys)


def _reply(
    position: chess.Board,
    total: int,
    packed: int,
    games: int,
    scored: int,
    white_half_points: int | None,
    rating: float | None,
    year: int | None,
) -> Reply:
    uci = unpack_move(packed)
    won = (white_half_points or 0) / 2
    if position.turn == chess.BLACK:
        won = scored - won
    low, high = wilson(won, scored)
    return Reply(
        uci,
        position.san(chess.Move.from_uci(uci)),
        games,
        games / total,
        won / scored if scored else 0.5,
        low,
        high,
        None if rating is None else round(rating),
        year,
        scored,
    )


def _game_row(key: int, row: tuple[object, ...]) -> GameRow:
    *head, plies, moves, source = row
    assert isinstance(moves, bytes) and isinstance(plies, int) and isinstance(source, str)
    reached, following = _path_through(key, np.frombuffer(moves, dtype="<u2").tolist())
    head[5] = _RESULTS[head[5]]  # type: ignore[index]
    return GameRow(*head, plies, reached, following, source)  # type: ignore[arg-type]


def _path_through(key: int, packed: Sequence[int]) -> tuple[int, tuple[str, ...]]:
    """After how many half-moves the game first reached the position, and its next moves in SAN."""
    board = chess.Board()
    reached = None
    following: list[str] = []
    for ply, move in enumerate(packed):
        if reached is None and position_key(board) == key:
            reached = ply
        played = chess.Move.from_uci(unpack_move(move))
        if reached is not None:
            if len(following) == FOLLOWING_PLIES:
                break
            following.append(board.san(played))
        board.push(played)
    return (len(packed) if reached is None else reached), tuple(following)


class _Played:
    """The positions in memory as sorted runs, for :meth:`Base.moves_played`."""

    def __init__(self, keys: npt.NDArray[np.uint64], moves: npt.NDArray[np.uint16]) -> None:
        bounds = np.concatenate([[0], np.flatnonzero(keys[1:] < keys[:-1]) + 1, [len(keys)]]).tolist()
        self._runs = [(keys[a:b], moves[a:b]) for a, b in zip(bounds, bounds[1:], strict=False)]
        self._answers: dict[int, dict[str, int]] = {}
        self._ucis: dict[int, str] = {}

    @classmethod
    def load(cls, con: duckdb.DuckDBPyConnection) -> _Played:
        table = con.sql("SELECT key, move FROM positions").to_arrow_table()
        return cls(table["key"].to_numpy(), table["move"].to_numpy())

    def ask(self, keys: Sequence[int]) -> dict[int, dict[str, int]]:
        new = [key for key in dict.fromkeys(keys) if key not in self._answers]
        if new:
            self._look_up(new)
        return {key: answer for key in keys if (answer := self._answers[key])}

    def _look_up(self, keys: Sequence[int]) -> None:
        wanted = np.array(keys, dtype=np.uint64)
        for key in keys:
            self._answers[key] = {}
        for run, moves in self._runs:
            firsts = np.searchsorted(run, wanted, "left").tolist()
            lasts = np.searchsorted(run, wanted, "right").tolist()
            for key, first, last in zip(keys, firsts, lasts, strict=True):
                if first < last:
                    self._count(self._answers[key], moves[first:last])

    def _count(self, answer: dict[str, int], moves: npt.NDArray[np.uint16]) -> None:
        if len(moves) == 1:
            packed, counts = [int(moves[0])], [1]
        else:
            values, numbers = np.unique(moves, return_counts=True)
            packed, counts = values.tolist(), numbers.tolist()
        for move, count in zip(packed, counts, strict=True):
            if move == NO_MOVE:
                continue
            uci = self._ucis.get(move)
            if uci is None:
                uci = self._ucis[move] = unpack_move(move)
            answer[uci] = answer.get(uci, 0) + count
