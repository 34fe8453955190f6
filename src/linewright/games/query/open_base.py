"""Asking the games base."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from types import TracebackType
from typing import Any, Final

import chess
import duckdb
import numpy as np

from linewright.games.index import schema
from linewright.games.index.index_reader import entries_at, game_set, moves_of
from linewright.games.index.position_keys import position_key, unpack_move
from linewright.games.ingest.work_copy import left_over
from linewright.games.model import AddReport, BaseInfo, GameRow, Order, Player, Progress, Replies, Reply
from linewright.games.parquet import parquet_base as parts
from linewright.games.parquet.parquet_base import is_parted
from linewright.games.query.memory import GameColumns, PlayedMoves
from linewright.games.query.replies import counted
from linewright.games.report.wilson import wilson
from linewright.support.errors import UnusableInput

__all__ = ["Base", "BaseInfo", "GameRow", "Player", "Replies", "Reply", "add", "position_key", "wilson"]

#: Moves that a :class:`GameRow` shows from the position asked for.
FOLLOWING_PLIES: Final = 8

#: White's half-points as PGN results.
_RESULTS: Final = {2: "1-0", 1: "1/2-1/2", 0: "0-1", None: "*"}

_ORDERS: Final[dict[Order, str]] = {
    "newest": "year DESC NULLS LAST, date DESC, id DESC",
    # A game is as strong as its players' mean rating; one unrated player counts as unknown.
    "strongest": "white_rating + black_rating DESC NULLS LAST, id DESC",
}
_CHOSEN: Final = """
SELECT id FROM games WHERE id IN (SELECT id FROM through) ORDER BY {order} LIMIT ?
"""
_GAMES: Final = """
SELECT g.id, white, black, white_rating, black_rating, result, date, year, event, site, round, eco, plies,
    moves, s.name
FROM games g JOIN sources s ON g.source = s.id WHERE g.id IN ({ids})
"""
_INFO: Final = """
SELECT count(*), min(year), max(year), count(white_rating + black_rating),
    (SELECT count(*) FROM (SELECT white FROM games WHERE white <> '' UNION
        SELECT black FROM games WHERE black <> '')) - (SELECT count(*) FROM spellings)
FROM games
"""
_PLAYERS: Final = """
SELECT name, count(*) AS games, min(year), max(year)
FROM (SELECT white AS name, year FROM games UNION ALL SELECT black, year FROM games)
WHERE name <> '' GROUP BY name ORDER BY games DESC, name
"""
_NO_GAMES: Final = np.empty(0, dtype=np.uint32)
_OPPONENTS: Final = """
SELECT if(white = $name, black, white) AS other FROM games
WHERE (white = $name OR black = $name) AND ($year IS NULL OR year = $year)
    AND ($anywhere OR id IN (SELECT id FROM through))
GROUP BY other HAVING other <> '' ORDER BY count(*) DESC, other
"""


def add(base: Path, files: Sequence[Path], progress: Callable[[Progress], None] | None = None) -> AddReport:
    """Add games to a base; see :func:`linewright.games.ingest.adding.add`.

    Loads the adding job only now: asking doesn't need it.
    """
    from linewright.games.ingest import adding

    return adding.add(base, files, progress)


class Base:
    """A games base, open for asking. Use it in one thread."""

    def __init__(self, con: duckdb.DuckDBPyConnection, path: Path, size: int) -> None:
        self._con = con
        self._path = path
        self._size = size
        self._columns: GameColumns | None = None
        self._played: PlayedMoves | None = None

    @classmethod
    def open(cls, path: Path) -> Base:
        """Open the base in the file ``path`` for asking only, or a parted one in a folder or at a URL.

        What an adding that was stopped had finished is taken in first; one at work goes on undisturbed.

        :raises UnusableInput: where it is missing, empty, in use or no base.
        """
        if is_parted(path):
            con, manifest = parts.connect(path)
            return cls(con, path, manifest.size)
        if left_over(path):
            from linewright.games.ingest.adding import finish  # not needed for asking

            finish(path)
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
        return cls(con, path, path.stat().st_size)

    def __enter__(self) -> Base:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    @property
    def connection(self) -> duckdb.DuckDBPyConnection:
        """The open file, for this folder's modules that ask it; nothing else should."""
        return self._con

    def close(self) -> None:
        """Let go of the file."""
        self._columns = self._played = None
        self._con.close()

    def info(self) -> BaseInfo:
        """What the base holds; counts every position: seconds for a large base."""
        from linewright.games.index.building import count_positions  # not needed for asking

        games, first, last, rated, players = self._con.execute(_INFO).fetchall()[0]
        positions = count_positions(self._con)
        sources = self._con.execute("SELECT name, games FROM sources ORDER BY id").fetchall()
        return BaseInfo(self._path, games, positions, players, first, last, rated, tuple(sources), self._size)

    def players(self) -> tuple[Player, ...]:
        """Everyone with a game in the base, most games first; each spelling of a name counts as one."""
        return tuple(Player(*row) for row in self._con.execute(_PLAYERS).fetchall())

    def opponents(self, name: str, year: int | None = None, through: chess.Board | None = None) -> tuple[str, ...]:
        """Whom a player (spelled as the games do) met, most often met first.

        :param year: only in games of that year; None for all.
        :param through: only in games through this position; None for all.
        """
        games = _NO_GAMES if through is None else entries_at(self._con, position_key(through))[0]
        asked = {"name": name, "year": year, "anywhere": through is None}
        with game_set(self._con, games):
            return tuple(row[0] for row in self._con.execute(_OPPONENTS, asked).fetchall())

    def replies(self, position: chess.Board) -> Replies:
        """What was played from the position, in all games that reached it by any order of moves."""
        if self._columns is None:
            self._columns = GameColumns.load(self._con)
        games, moves = entries_at(self._con, position_key(position))
        return counted(position, games, moves, self._columns)

    def games(self, position: chess.Board, order: Order, limit: int) -> tuple[GameRow, ...]:
        """Games through the position, the newest or the strongest first, at most ``limit``."""
        through, _ = entries_at(self._con, position_key(position))
        with game_set(self._con, through):
            chosen = self._con.execute(_CHOSEN.format(order=_ORDERS[order]), [limit])
            ids = [row[0] for row in chosen.fetchall()]
        if not ids:
            return ()
        found = self._con.execute(_GAMES.format(ids=", ".join(map(str, ids)))).fetchall()
        rows = {row[0]: row for row in found}
        return tuple(_game_row(position, rows[number]) for number in ids)

    def moves(self, game: int) -> tuple[str, ...]:
        """A whole game's moves in UCI, by its number; none where there is no game of that number."""
        return tuple(unpack_move(move) for _, moves in moves_of(self._con, [game]) for move in moves)

    def moves_played(self, keys: Sequence[int]) -> dict[int, dict[str, int]]:
        """How often each move was played from each position known to the base.

        The first call reads the position index into memory (some 5 bytes a position; a game has some 80).

        :param keys: as :func:`linewright.games.index.position_keys.position_key` gives them.
        :returns: for each key that any game went on from, games by UCI move.
        """
        if self._played is None:
            self._played = PlayedMoves(self._con)
        return self._played.ask(keys)


def _game_row(position: chess.Board, row: tuple[Any, ...]) -> GameRow:
    reached, following = _path_through(position, np.frombuffer(row[13], dtype="<u2").tolist())
    return GameRow(
        id=row[0],
        white=row[1],
        black=row[2],
        white_rating=row[3],
        black_rating=row[4],
        result=_RESULTS[row[5]],
        date=row[6],
        year=row[7],
        event=row[8],
        site=row[9],
        round=row[10],
        eco=row[11],
        plies=row[12],
        reached=reached,
        following=following,
        source=row[14],
    )


def _path_through(position: chess.Board, packed: Sequence[int]) -> tuple[int, tuple[str, ...]]:
    """After how many half-moves the game first reached the position, and its next moves in SAN."""
    key, occupied = position_key(position), position.occupied
    board = chess.Board()
    plies = 0
    # The occupied squares differ nearly always, and cost nothing to compare.
    while plies < len(packed) and not (board.occupied == occupied and position_key(board) == key):
        board.push(chess.Move.from_uci(unpack_move(packed[plies])))
        plies += 1
    following = []
    for move in packed[plies : plies + FOLLOWING_PLIES]:
        played = chess.Move.from_uci(unpack_move(move))
        following.append(board.san(played))
        board.push(played)
    return plies, tuple(following)
