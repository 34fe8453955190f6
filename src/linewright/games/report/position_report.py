"""All that the games know of a position: replies with their figures, plans, novelties, and how games came there."""

from __future__ import annotations

from dataclasses import dataclass

import chess
import duckdb
import numpy as np
import numpy.typing as npt

from linewright.games.index.index_reader import entries_at
from linewright.games.index.position_keys import NO_MOVE, pack_move, position_key, unpack_move
from linewright.games.ingest.columns import UNKNOWN
from linewright.games.model import Replies, Reply
from linewright.games.query.batch_replay import Traces, following, sans, trace
from linewright.games.query.filters import GameFilter, fitting
from linewright.games.query.memory import GameColumns
from linewright.games.query.replies import counted
from linewright.games.query.table_reads import UNDATED, GameTable, PackedGames, Played, games_by_number
from linewright.games.report.expectation import Expectation, against_expectation, expected_scores
from linewright.games.report.model import Arrival, FirstPlayed, MoveOrder, StudiedReply, Study
from linewright.games.report.plans import PLIES, plans
from linewright.games.report.trend import part, periods_of, trend

U16 = npt.NDArray[np.uint16]
U32 = npt.NDArray[np.uint32]
I32 = npt.NDArray[np.int32]

#: Arrivals and orders of moves that are told; the rest is counted.
MOST_ARRIVALS, MOST_ORDERS = 6, 5


@dataclass(frozen=True, slots=True)
class Here:
    """A position's entries that meet a filter.

    :param games: game numbers, shape (entries,); ``moves`` played, alike; a game stands once for each of its moves.
    """

    position: chess.Board
    games: U32
    moves: U16

    @property
    def white(self) -> bool:
        return self.position.turn == chess.WHITE

    def going_on(self) -> U32:
        """The games that went on from here, each once, ascending."""
        return np.unique(self.games[self.moves != NO_MOVE])


def look_up(con: duckdb.DuckDBPyConnection, table: GameTable, position: chess.Board, only: GameFilter) -> Here:
    """The entries of a position, by every order of moves."""
    games, moves = entries_at(con, position_key(position))
    if only:
        fits = fitting(games, only, table)
        games, moves = games[fits], moves[fits]
    return Here(position, games, moves)


def replies_of(here: Here, table: GameTable) -> Replies:
    """The replies counted, as :meth:`linewright.games.query.open_base.Base.replies` counts those of all games."""
    columns = GameColumns(table.half_points, table.white_ratings, table.black_ratings, table.years)
    return counted(here.position, here.games, here.moves, columns)


def study(
    con: duckdb.DuckDBPyConnection,
    table: GameTable,
    packed: PackedGames,
    position: chess.Board,
    only: GameFilter,
    most: int | None = None,
) -> Study:
    """All about a position.

    :param most: replies that are studied; the others are counted in ``total`` only. None: all.
    """
    here = look_up(con, table, position, only)
    replies = replies_of(here, table)
    through = np.unique(here.games)
    traces = trace(position, through, packed)
    paths = following(through, np.maximum(traces.plies, 0), packed, PLIES)
    going_on = here.going_on()
    periods = periods_of(table.years[going_on])
    firsts = _firsts(con, look_up(con, table, position, GameFilter()) if only else here, table)
    return Study(
        fen=replies.fen,
        only=only.told(),
        total=replies.total,
        ended=replies.ended,
        replies=tuple(
            _studied(here, table, reply, going_on, through, paths, periods, firsts) for reply in replies.replies[:most]
        ),
        arrivals=_arrivals(through, traces, packed),
        orders=_orders(through, traces, packed),
        orders_known=len(np.unique(traces.orders)),
    )


def _studied(
    here: Here,
    table: GameTable,
    reply: Reply,
    going_on: U32,
    through: U32,
    paths: U16,
    periods: tuple[tuple[int, int], ...],
    firsts: dict[str, FirstPlayed],
) -> StudiedReply:
    packed = pack_move(chess.Move.from_uci(reply.uci))
    with_it = here.games[here.moves == packed]
    # A game that repeats the position may have chosen the reply only at a later visit: no plan is read off it.
    at_once = paths[:, 0] == packed
    return StudiedReply(
        reply=reply,
        part=part(reply.games, len(going_on)),
        expectation=_expectation(with_it, table, here.white),
        trend=trend(
            periods, table.years[going_on], np.isin(going_on, with_it), table.half_points[going_on], here.white
        ),
        plans=plans(here.position, paths[at_once], table.half_points[through[at_once]]),
        first=firsts.get(reply.uci),
    )


def _expectation(games: U32, table: GameTable, white: bool) -> Expectation | None:
    known = (table.half_points[games] != UNKNOWN) & (table.white_ratings[games] > 0) & (table.black_ratings[games] > 0)
    games = games[known]
    difference = table.white_ratings[games].astype(np.int64) - table.black_ratings[games]
    points = float(table.half_points[games].sum()) / 2
    return against_expectation(
        points if white else len(games) - points,
        float(expected_scores(difference if white else -difference).sum()),
        len(games),
    )


def _firsts(con: duckdb.DuckDBPyConnection, here: Here, table: GameTable) -> dict[str, FirstPlayed]:
    """The earliest dated game of each reply, by UCI."""
    dates = table.dates[here.games]
    dated = (here.moves != NO_MOVE) & (dates < UNDATED) & (table.years[here.games] > 0)
    games, moves, dates = here.games[dated], here.moves[dated], dates[dated]
    order = np.lexsort((games, dates, moves))
    games, moves = games[order], moves[order]
    _, at = np.unique(moves, return_index=True)
    rows = games_by_number(con, games[at].tolist())
    return {
        unpack_move(move): _first(rows[game], here.white)
        for move, game in zip(moves[at].tolist(), games[at].tolist(), strict=True)
    }


def _first(game: Played, white: bool) -> FirstPlayed:
    return FirstPlayed(
        game=game.id,
        date=game.date,
        year=game.year or 0,
        by=game.white if white else game.black,
        white=game.white,
        black=game.black,
        event=game.event or game.site,
    )


def _arrivals(games: U32, traces: Traces, packed: PackedGames) -> tuple[Arrival, ...]:
    """The last moves before the position; one that takes another piece is another."""
    met = traces.plies > 0
    games, plies, arrivals, orders = games[met], traces.plies[met], traces.arrivals[met], traces.orders[met]
    found = []
    for arrival, count in _most_frequent(arrivals, MOST_ARRIVALS):
        members = arrivals == arrival
        example = _commonest_order(games[members], plies[members], orders[members], packed)
        found.append(Arrival(example[-1], part(count, len(games)), example))
    return tuple(found)


def _orders(games: U32, traces: Traces, packed: PackedGames) -> tuple[MoveOrder, ...]:
    met = traces.plies > 0
    games, plies, orders = games[met], traces.plies[met], traces.orders[met]
    found = []
    for order, count in _most_frequent(orders, MOST_ORDERS):
        at = int(np.flatnonzero(orders == order)[0])
        moves = packed.of(int(games[at]))[: int(plies[at])]
        found.append(MoveOrder(sans(chess.Board(), moves), part(count, len(games))))
    return tuple(found)


def _commonest_order(games: U32, plies: I32, orders: npt.NDArray[np.uint64], packed: PackedGames) -> tuple[str, ...]:
    ((order, _),) = _most_frequent(orders, 1)
    at = int(np.flatnonzero(orders == order)[0])
    return sans(chess.Board(), packed.of(int(games[at]))[: int(plies[at])])


def _most_frequent(values: npt.NDArray[np.integer], most: int) -> list[tuple[int, int]]:
    """The most frequent values, each with its count."""
    different, counts = np.unique(values, return_counts=True)
    best = np.argsort(-counts, kind="stable")[:most]
    return list(zip(different[best].tolist(), counts[best].tolist(), strict=True))
