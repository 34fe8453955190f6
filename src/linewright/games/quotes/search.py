"""Finding the game that a telling means: names misheard, moves wrong, missing or swapped."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import chess
import duckdb
import numpy as np
import numpy.typing as npt

from linewright.games.index.index_reader import entries_at
from linewright.games.index.position_keys import position_key
from linewright.games.names.name_lookup import plain
from linewright.games.names.name_similarity import evidence, likeness
from linewright.games.query.batch_replay import sans, trace
from linewright.games.query.filters import Result
from linewright.games.query.table_reads import GameTable, PackedGames, games_by_number
from linewright.games.quotes.alignment import SAME, SWAP, align, arrays_of, common_moves, distances
from linewright.games.quotes.model import Quote, QuotedGame
from linewright.games.quotes.quote_differences import partings
from linewright.games.quotes.quote_parser import ToldGame
from linewright.support.errors import UnusableInput

U16 = npt.NDArray[np.uint16]
U32 = npt.NDArray[np.uint32]
I64 = npt.NDArray[np.int64]
Floats = npt.NDArray[np.float64]

# All evidence is weighed in nats (natural log-odds), so that moves, names and years can be added up.

#: For each told move that differs. One in five is told wrong (the reach asked for), and a move that another game has
#: in the same place by chance is one of some thirty: ln(0.8 · 30 / 0.2) is about 5; less, since errors come together.
MOVE_NATS: Final = 3.5

#: A name without a right letter; the least that a name can say (the teller mixed the players up once in thirty).
NAME_PENALTY, NAME_LEAST = 9.0, -3.5

#: Names told with the colours exchanged: tellers name the winner first as often as White.
COLOURS_NATS: Final = 0.7

#: The year is right, one off, a few years off, or wrong altogether; a year is one of some fifty.
YEAR_NATS: Final = ((0, 3.0), (1, 1.5), (3, 0.0))
YEAR_WRONG: Final = -2.5

#: The result is right or wrong (one of three); all words of the event are right, or none is.
RESULT_RIGHT, RESULT_WRONG = 0.8, -1.5
EVENT_RIGHT, EVENT_WRONG = 3.0, -0.5

#: The game went through the position told: next to certain where any game of the base did, but boards are misread.
POSITION_RIGHT: Final = 5.0

#: Games whose moves are laid beside the told ones one by one; the others are further off than all of them.
ALIGNED: Final = 600

#: Games through the position that are all aligned, however many moves they share.
FROM_POSITION: Final = 4000

#: Candidates given.
GIVEN: Final = 3

#: A telling fits where at most this part of its moves differs (chance alone agrees with about a third to a half of
#: the moves somewhere in 170,000 games: opening moves are shared) …
FITTING_PART: Final = 0.45
#: … and the evidence together is worth this many nats: a telling that any of a thousand games would fit is none.
FITTING_NATS: Final = 4.0

_HALF_POINTS: Final[dict[Result, int]] = {"1-0": 2, "1/2-1/2": 1, "0-1": 0}


@dataclass(frozen=True, slots=True)
class Weighed:
    """Games with what speaks for them, shape (games,) each.

    :param firsts: half-moves at which the telling begins; -1: anywhere.
    :param distance: in moves; ``nats`` all evidence together.
    """

    games: U32
    firsts: I64
    distance: Floats
    nats: Floats


def quote(con: duckdb.DuckDBPyConnection, table: GameTable, packed: PackedGames, tokens: U16, told: ToldGame) -> Quote:
    """Find the game that is meant.

    :param tokens: as :func:`linewright.games.quotes.alignment.tokens_of` gives them.
    :raises UnusableInput: where there is too little to identify a game.
    """
    if not (told.moves or told.players):
        raise UnusableInput("too little to identify a game", "Give moves, or a player's name.")
    tags = _tag_nats(told, table)
    through = np.zeros(0, dtype=np.uint32)
    if told.position is not None and told.position.fen() != chess.STARTING_FEN:
        through = np.unique(entries_at(con, position_key(told.position))[0])
    chosen = _chosen(told, tags, through, table, packed, tokens)
    weighed = _weigh(told, tags, through, chosen, packed, tokens)
    order = np.lexsort((weighed.games, -weighed.nats))
    best = order[:GIVEN]
    likely = np.exp(weighed.nats[order] - weighed.nats[order[0]])
    likely /= likely.sum()
    rows = games_by_number(con, weighed.games[best].tolist())
    given = []
    for place, number in enumerate(best.tolist()):
        game = int(weighed.games[number])
        moves = sans(chess.Board(), packed.of(game))
        played = tokens[packed.bounds[game] : packed.bounds[game + 1]]
        distance, steps = align(arrays_of(told.moves), played, int(weighed.firsts[number]))
        agreeing = [s for s in steps if s.how in (SAME, SWAP)]
        given.append(
            QuotedGame(
                game=rows[game],
                likely=float(likely[place]),
                distance=distance,
                agreeing=sum(len(s.told) for s in agreeing),
                first=min(agreeing[0].played) if agreeing else None,
                partings=partings(told, rows[game], moves, played, steps),
                moves=moves,
            )
        )
    return Quote(_fits(told, weighed, best, given), len(told.moves), tuple(given))


def _fits(told: ToldGame, weighed: Weighed, best: I64, given: list[QuotedGame]) -> bool:
    if not given:
        return False
    if told.moves and len(told.moves) - given[0].agreeing > FITTING_PART * len(told.moves):
        return False
    # What speaks for a game beyond the told moves that fit it: a game that shares nothing else is found by them alone.
    return bool(weighed.nats[best[0]] + MOVE_NATS * given[0].agreeing >= FITTING_NATS)


def _chosen(told: ToldGame, tags: Floats, through: U32, table: GameTable, packed: PackedGames, tokens: U16) -> U32:
    """The games worth aligning: those with the most told moves in order, and the tags that fit."""
    nats = tags + np.where(table.plies > 0, 0.0, -np.inf)
    if told.moves:
        nats = nats + MOVE_NATS * common_moves(tokens, packed.bounds, told.moves)
    nats[through] += POSITION_RIGHT
    most = min(ALIGNED, len(nats))
    chosen = np.argpartition(-nats, most - 1)[:most].astype(np.uint32)
    if len(through) > FROM_POSITION:
        through = through[np.argpartition(-nats[through], FROM_POSITION - 1)[:FROM_POSITION]]
    chosen = np.union1d(chosen, through)
    return chosen[table.plies[chosen] > 0].astype(np.uint32)


def _weigh(told: ToldGame, tags: Floats, through: U32, games: U32, packed: PackedGames, tokens: U16) -> Weighed:
    arrays = arrays_of(told.moves)
    firsts = np.full(len(games), -1, dtype=np.int64)
    inside = np.isin(games, through)
    if told.position is not None:
        if told.position.fen() == chess.STARTING_FEN:
            firsts[:] = 0
        firsts[inside] = trace(told.position, games[inside], packed).plies
    distance = distances(arrays, tokens, packed.bounds, games, firsts)
    nats = tags[games] - MOVE_NATS * distance + POSITION_RIGHT * inside
    return Weighed(games, firsts, distance, nats)


def _tag_nats(told: ToldGame, table: GameTable) -> Floats:
    """What names, year, event and result say for each game, shape (games,)."""
    nats = _name_nats(told.players, table)
    if told.year is not None:
        off = np.abs(table.years.astype(np.int64) - told.year)
        by_year = np.full(len(off), YEAR_WRONG)
        for most, worth in reversed(YEAR_NATS):
            by_year[off <= most] = worth
        nats += np.where(table.years > 0, by_year, 0.0)
    if told.result is not None:
        right = table.half_points == _HALF_POINTS[told.result]
        nats += np.where(right, RESULT_RIGHT, np.where(table.half_points <= 2, RESULT_WRONG, 0.0))
    if told.event:
        nats += event_nats(told.event, table)[table.event]
    return nats


def event_nats(told: str, table: GameTable) -> Floats:
    """For each event's name: by the part of the told words that it has."""
    words = [word for word in plain(told).split() if len(word) > 2]
    if not words:
        return np.zeros(len(table.events))
    part = np.array([sum(word in name for word in words) / len(words) for name in map(plain, table.events)])
    return np.where(part > 0, EVENT_RIGHT * part, EVENT_WRONG)


def _name_nats(players: tuple[str, ...], table: GameTable) -> Floats:
    if not players:
        return np.zeros(len(table.plies))
    real = table.plies > 0
    size = len(table.names)
    games = np.bincount(table.white[real], minlength=size) + np.bincount(table.black[real], minlength=size)
    by_name = [evidence(likeness(name, table.names), games, NAME_PENALTY, NAME_LEAST) for name in players[:2]]
    white, black = by_name[0][table.white], by_name[0][table.black]
    if len(by_name) == 1:
        best: Floats = np.maximum(white, black)
        return best
    as_told = white + by_name[1][table.black]
    exchanged = black + by_name[1][table.white] - COLOURS_NATS
    return np.maximum(as_told, exchanged)
