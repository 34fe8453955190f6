"""The games of two who met, by names as they are said or heard."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import chess
import numpy as np

from linewright.games.index.arrays import Floats
from linewright.games.index.index_reader import entries_at, moves_of
from linewright.games.index.position_keys import position_key, unpack_move
from linewright.games.names.name_similarity import likeness
from linewright.games.query.loaded_games import LoadedGames
from linewright.games.query.table_reads import GameTable, games_by_number
from linewright.games.values import GameTags

#: Games given at most; two who met more often are asked for with a position.
MOST: Final = 60
#: Meetings whose names fit as well as the best ones', within this part of likeness.
AS_LIKE: Final = 0.04


@dataclass(frozen=True, slots=True)
class Meeting:
    """A game of players who were named.

    :param like: how like (0-1) the names said are to the players', the worse one of the two.
    :param straight: the first one named had White.
    :param moves: the whole game, in UCI.
    """

    game: GameTags
    like: float
    straight: bool
    moves: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Meetings:
    """Games of the players named, newest last.

    :param found: at most :data:`MOST`; ``all`` counts them.
    :param through: how many games of anybody went through the position asked for; the whole base without one.
    """

    found: tuple[Meeting, ...]
    all: int
    through: int


def meetings(
    loaded: LoadedGames,
    players: Sequence[Sequence[str]],
    least: float,
    position: chess.Board | None = None,
    year: int | None = None,
) -> Meetings:
    """The games of one player, or of two against each other with whichever colours.

    :param players: for each one or two players the words that may be the name, e.g. ``("vinnik", "bot vinnik")``.
    :param least: how like (0-1) each name must be; see :func:`linewright.games.names.name_similarity.likeness`.
    :param position: only games through it.
    :param year: where there are more than :data:`MOST`, those nearest to it; None: the newest.
    """
    table = loaded.table
    if position is None:
        games = np.flatnonzero(table.plies > 0)
    else:
        games = np.unique(entries_at(loaded.con, position_key(position))[0]).astype(np.int64)
    likes = [_likes(words, table) for words in players[:2]]
    if not likes or not len(games):
        return Meetings((), 0, len(games))
    white, black = table.white[games], table.black[games]
    if len(likes) == 1:
        straight, crossed = likes[0][white], likes[0][black]
    else:
        straight = np.minimum(likes[0][white], likes[1][black])
        crossed = np.minimum(likes[0][black], likes[1][white])
    best = np.maximum(straight, crossed)
    floor = max(least, float(best.max()) - AS_LIKE)
    chosen = np.flatnonzero(best >= floor)
    chosen = chosen[np.argsort(table.dates[games[chosen]], kind="stable")]
    if year is not None and len(chosen) > MOST:
        off = np.abs(table.years[games[chosen]].astype(np.int64) - year)
        chosen_near = np.sort(np.argsort(off, kind="stable")[:MOST])
        shown = chosen[chosen_near]
    else:
        shown = chosen[-MOST:]
    numbers = games[shown].tolist()
    rows = games_by_number(loaded.con, numbers)
    moves = dict(moves_of(loaded.con, numbers)) if numbers else {}
    found = tuple(
        Meeting(rows[n], float(best[i]), bool(straight[i] >= crossed[i]), tuple(map(unpack_move, moves[n])))
        for i, n in zip(shown.tolist(), numbers, strict=True)
    )
    return Meetings(found, len(chosen), len(games))


def _likes(words: Sequence[str], table: GameTable) -> Floats:
    """How like each name of the base is to the likest of the words, shape (names,)."""
    best: Floats = np.zeros(len(table.names))
    for word in words:
        best = np.maximum(best, likeness(word, table.names))
    return best
