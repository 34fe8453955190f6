"""What the asking modules read from the base's tables; all their SQL is here."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any, Final

import duckdb
import numpy as np
import numpy.typing as npt

from linewright.games.index.arrays import I64, U8, U16, U32
from linewright.games.ingest.columns import UNKNOWN
from linewright.games.ingest.time_control import pace_code
from linewright.games.query.game_columns import GameColumns
from linewright.games.values import GameTags

#: A date as one number sorts after every known one where it is unknown; a missing month or day too.
UNDATED: Final = 99999999

_NUMBERS: Final = """
SELECT id, coalesce(result, {unknown})::UTINYINT AS result, coalesce(white_rating, 0) AS white_rating,
    coalesce(black_rating, 0) AS black_rating, coalesce(year, 0) AS year, plies,
    coalesce(TRY_CAST(replace(replace(date, '.', ''), '?', '9') AS UINTEGER), {undated}) AS date
FROM games
"""
#: Texts by their places among the different ones.
_CODED: Final = """
WITH texts AS (SELECT text, row_number() OVER (ORDER BY text) - 1 AS place FROM ({both}))
SELECT id, {places} FROM games {joins}
"""
_SPELLINGS: Final = "SELECT name, player FROM spellings"
_MOVES: Final = "SELECT id, moves FROM games"
_ROWS: Final = """
SELECT g.id, white, black, white_rating, black_rating,
    CASE result WHEN 2 THEN '1-0' WHEN 1 THEN '1/2-1/2' WHEN 0 THEN '0-1' ELSE '*' END,
    date, year, event, site, round, eco, plies, s.name
FROM games g JOIN sources s ON g.source = s.id WHERE g.id IN ({ids})
"""


@dataclass(frozen=True, slots=True)
class GameTable:
    """What questions need of each game, by game number, shape (games,) each; some 30 bytes a game.

    :param half_points: White's, 0-2, else :data:`linewright.games.ingest.columns.UNKNOWN`.
    :param white_ratings: 0 where unknown; so ``black_ratings`` and ``years``.
    :param dates: year, month, day as one number, 99 for what is unknown; :data:`UNDATED` where all is.
    :param plies: length in half-moves; 0: there is no game of this number.
    :param white: place of White's name in ``names``; so ``black``, and ``event`` in ``events``.
    :param paces: place in :data:`linewright.games.ingest.time_control.PACES`, 0 where unknown.
    :param players: for each name, the name of the player it stands for.
    """

    half_points: U8
    white_ratings: U16
    black_ratings: U16
    years: U16
    dates: U32
    plies: U16
    white: U32
    black: U32
    event: U32
    paces: U8
    names: tuple[str, ...]
    events: tuple[str, ...]
    players: tuple[str, ...]

    @classmethod
    def load(cls, con: duckdb.DuckDBPyConnection) -> GameTable:
        numbers = con.execute(_NUMBERS.format(unknown=UNKNOWN, undated=UNDATED)).fetchnumpy()
        ids = numbers["id"]
        names, name = _coded(con, "white", "black")
        events, event = _coded(con, "event")
        controls, control = _coded(con, "time_control")
        pace = _paces(events, event["event"], controls, control["time_control"])
        spelled = dict(con.execute(_SPELLINGS).fetchall())
        return cls(
            half_points=_by_id(ids, numbers["result"], np.uint8, UNKNOWN),
            white_ratings=_by_id(ids, numbers["white_rating"], np.uint16),
            black_ratings=_by_id(ids, numbers["black_rating"], np.uint16),
            years=_by_id(ids, numbers["year"], np.uint16),
            dates=_by_id(ids, numbers["date"], np.uint32, UNDATED),
            plies=_by_id(ids, numbers["plies"], np.uint16),
            white=name["white"],
            black=name["black"],
            event=event["event"],
            paces=pace,
            names=names,
            events=events,
            players=tuple(spelled.get(name, name) for name in names),
        )

    def columns(self) -> GameColumns:
        """What replies are counted from."""
        return GameColumns(self.half_points, self.white_ratings, self.black_ratings, self.years)


def _by_id(ids: U32, values: npt.NDArray[Any], dtype: type[np.unsignedinteger], unknown: int = 0) -> npt.NDArray[Any]:
    """A column by game number."""
    column = np.full(int(ids.max()) + 1 if len(ids) else 0, unknown, dtype=dtype)
    column[ids] = values
    return column


def _coded(con: duckdb.DuckDBPyConnection, *columns: str) -> tuple[tuple[str, ...], dict[str, npt.NDArray[Any]]]:
    """The different texts of some columns, in their order, and each column as places among them, by game number."""
    both = " UNION ".join(f"SELECT DISTINCT {column} AS text FROM games" for column in columns)
    texts = con.execute(f"SELECT text FROM ({both}) ORDER BY text").fetchnumpy()["text"].tolist()
    places = ", ".join(f"{column}_text.place AS {column}" for column in columns)
    joins = " ".join(f"JOIN texts {column}_text ON {column} = {column}_text.text" for column in columns)
    found = con.execute(_CODED.format(both=both, places=places, joins=joins)).fetchnumpy()
    ids = found.pop("id")
    return tuple(texts), {column: _by_id(ids, codes, np.uint32) for column, codes in found.items()}


def _paces(events: Sequence[str], event: U32, controls: Sequence[str], control: U32) -> U8:
    """Each game's pace: by its own time control, else by the event's name."""
    by_event = np.array([pace_code("", name) for name in events], dtype=np.uint8)
    by_control = np.array([pace_code(text, "") for text in controls], dtype=np.uint8)
    own = by_control[control] if len(control) else np.zeros(0, np.uint8)
    return np.where(own > 0, own, by_event[event] if len(event) else own).astype(np.uint8)


@dataclass(frozen=True, slots=True)
class PackedGames:
    """The moves of all games in memory, 2 bytes a half-move (a million games: some 170 MB).

    :param moves: packed (:func:`linewright.games.index.position_keys.unpack_move`), game after game.
    :param bounds: by game number, where its moves start; the next number's start is their end, shape (games + 1,).
    """

    moves: U16
    bounds: I64

    @classmethod
    def load(cls, con: duckdb.DuckDBPyConnection) -> PackedGames:
        rows = con.execute(_MOVES).fetchnumpy()
        numbers, blobs = rows["id"], rows["moves"].tolist()
        if not len(numbers):
            return cls(np.zeros(0, np.uint16), np.zeros(1, np.int64))
        counts = np.fromiter(map(len, blobs), dtype=np.int64) // 2
        moves = np.frombuffer(b"".join(blobs), "<u2")
        size = int(numbers.max()) + 1
        if np.any(numbers[1:] < numbers[:-1]):  # games lie in the order of their numbers, but nobody promised it
            starts = np.concatenate([[0], np.cumsum(counts)])
            order = np.argsort(numbers)
            moves = np.concatenate([moves[starts[i] : starts[i + 1]] for i in order])
            numbers, counts = numbers[order], counts[order]
        by_id = np.zeros(size, dtype=np.int64)
        by_id[numbers] = counts
        return cls(moves, np.concatenate([[0], np.cumsum(by_id)]).astype(np.int64))

    def of(self, game: int) -> list[int]:
        """The packed moves of one game."""
        found: list[int] = self.moves[self.bounds[game] : self.bounds[game + 1]].tolist()
        return found


def games_by_number(con: duckdb.DuckDBPyConnection, numbers: Iterable[int]) -> dict[int, GameTags]:
    """The tags of a few games, by number."""
    ids = ", ".join(str(int(number)) for number in numbers)
    if not ids:
        return {}
    rows = con.execute(_ROWS.format(ids=ids)).fetchall()
    return {row[0]: GameTags(*row) for row in rows}
