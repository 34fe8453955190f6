"""Games that show a pattern."""

from __future__ import annotations

from dataclasses import dataclass

import chess
import numpy as np

from linewright.games.index.arrays import I32, U32
from linewright.games.ingest.columns import UNKNOWN
from linewright.games.patterns.pattern_parser import BoardPattern, Whose
from linewright.games.patterns.pattern_scan import scan
from linewright.games.query.batch_replay import board_after, trace
from linewright.games.query.filtering import fitting
from linewright.games.query.game_filter import ALL_GAMES, GameFilter
from linewright.games.query.listing import game_row
from linewright.games.query.loaded_games import LoadedGames
from linewright.games.query.position_entries import look_up
from linewright.games.query.table_reads import games_by_number
from linewright.games.report.study_values import Proportion, Scored
from linewright.games.report.trend import proportion, scored
from linewright.games.values import GameRow


@dataclass(frozen=True, slots=True)
class PatternGame:
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
class PatternAnswer:
    """The answer to a pattern question.

    :param question: as asked.
    :param part: games that show it, of those looked at.
    :param scored: the score of the side that shows it.
    :param games: strongest first.
    """

    question: str
    part: Proportion
    scored: Scored
    games: tuple[PatternGame, ...]


def find_pattern(
    loaded: LoadedGames,
    pattern: BoardPattern,
    limit: int,
    position: chess.Board | None = None,
    only: GameFilter = ALL_GAMES,
) -> PatternAnswer:
    """Games that show a pattern, the strongest first.

    :param position: only games through it, from it on; None: all games.
    :raises UnusableInput: for a player or an event that no game knows.
    """
    table, packed = loaded.table, loaded.packed
    games, begins = _to_look_at(loaded, position, only)
    answer = scan(pattern, games, begins, packed)
    shown = answer.plies >= 0
    found, black = games[shown], answer.black[shown] | _names_black(pattern)
    half_points = table.half_points[found]
    own = np.where(black & (half_points != UNKNOWN), 2 - half_points.astype(np.int16), half_points).astype(np.uint8)
    white_ratings, black_ratings = (r[found].astype(np.int64) for r in (table.white_ratings, table.black_ratings))
    strength = np.where((white_ratings > 0) & (black_ratings > 0), white_ratings + black_ratings, 0)
    best = np.lexsort((found, -strength))[:limit]
    rows = games_by_number(loaded.con, found[best].tolist())
    given = []
    for number in best.tolist():
        game, ply = int(found[number]), int(answer.plies[shown][number])
        moves = packed.of(game)
        given.append(
            PatternGame(
                game=game_row(rows[game], moves, ply),
                fen=board_after(moves[:ply]).fen(),
                side="black" if black[number] else "white",
                stood=int(answer.stood[shown][number]),
            )
        )
    return PatternAnswer(pattern.text, proportion(len(found), len(games)), scored(own, white=True), tuple(given))


def _to_look_at(loaded: LoadedGames, position: chess.Board | None, only: GameFilter) -> tuple[U32, I32]:
    """The games that may show it, each once, and the half-moves from which each is looked at."""
    if position is None:
        games = np.flatnonzero(loaded.table.plies > 0).astype(np.uint32)
        games = games[fitting(games, only, loaded.table)]
        return games, np.zeros(len(games), dtype=np.int32)
    games = look_up(loaded, position, only).through()
    begins = trace(position, games, loaded.packed).plies
    return games[begins >= 0], begins[begins >= 0]


def _names_black(pattern: BoardPattern) -> bool:
    """The first condition that names a side names Black."""
    named = [c.whose for c in pattern.conditions if c.whose in (Whose.WHITE, Whose.BLACK)]
    return not pattern.either and bool(named) and named[0] is Whose.BLACK
