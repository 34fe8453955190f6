"""Games that show a pattern."""

from __future__ import annotations

from dataclasses import dataclass

import chess
import duckdb
import numpy as np
import numpy.typing as npt

from linewright.games.ingest.columns import UNKNOWN
from linewright.games.model import GameRow
from linewright.games.patterns.pattern_scan import scan
from linewright.games.patterns.patterns import Pattern, Whose
from linewright.games.query.batch_replay import board_after, trace
from linewright.games.query.listing import game_row
from linewright.games.query.table_reads import GameTable, PackedGames, games_by_number
from linewright.games.report.model import Part, Scored
from linewright.games.report.trend import part, scored

U32 = npt.NDArray[np.uint32]


@dataclass(frozen=True, slots=True)
class FoundGame:
    """A game that shows the pattern.

    :param game: with its moves from the first position that shows it.
    :param fen: that position.
    :param side: the side that shows it: White's unless the question leaves it open and Black does.
    :param stood: positions in all that show it.
    """

    game: GameRow
    fen: str
    side: str
    stood: int


@dataclass(frozen=True, slots=True)
class Found:
    """The answer to a pattern question.

    :param question: as asked.
    :param part: games that show it, of those looked at.
    :param scored: the score of the side that shows it.
    :param games: strongest first.
    """

    question: str
    part: Part
    scored: Scored
    games: tuple[FoundGame, ...]


def find(
    con: duckdb.DuckDBPyConnection,
    table: GameTable,
    packed: PackedGames,
    pattern: Pattern,
    games: U32,
    position: chess.Board | None,
    limit: int,
) -> Found:
    """Games that show a pattern.

    :param games: to look at, each once.
    :param position: only from it on; the games all go through it.
    """
    begins = np.zeros(len(games), dtype=np.int32)
    if position is not None:
        begins = trace(position, games, packed).plies
        games, begins = games[begins >= 0], begins[begins >= 0]
    answer = scan(pattern, games, begins, packed)
    shown = answer.plies >= 0
    found, black = games[shown], answer.black[shown] | _names_black(pattern)
    half_points = table.half_points[found]
    own = np.where(black & (half_points != UNKNOWN), 2 - half_points.astype(np.int16), half_points).astype(np.uint8)
    white_ratings, black_ratings = (r[found].astype(np.int64) for r in (table.white_ratings, table.black_ratings))
    strength = np.where((white_ratings > 0) & (black_ratings > 0), white_ratings + black_ratings, 0)
    best = np.lexsort((found, -strength))[:limit]
    rows = games_by_number(con, found[best].tolist())
    given = []
    for number in best.tolist():
        game, ply = int(found[number]), int(answer.plies[shown][number])
        moves = packed.of(game)
        given.append(
            FoundGame(
                game=game_row(rows[game], moves, ply),
                fen=board_after(moves[:ply]).fen(),
                side="black" if black[number] else "white",
                stood=int(answer.stood[shown][number]),
            )
        )
    return Found(pattern.text, part(len(found), len(games)), scored(own, white=True), tuple(given))


def _names_black(pattern: Pattern) -> bool:
    """The first condition that names a side names Black."""
    named = [c.whose for c in pattern.conditions if c.whose in (Whose.WHITE, Whose.BLACK)]
    return not pattern.either and bool(named) and named[0] is Whose.BLACK
