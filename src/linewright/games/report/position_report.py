"""All that the games know of a position: replies with their figures, plans, novelties, and how games came there."""

from __future__ import annotations

from dataclasses import dataclass

import chess
import numpy as np
import numpy.typing as npt

from linewright.games.index.arrays import I32, U16, U32
from linewright.games.index.position_keys import NO_MOVE, pack_move, unpack_move
from linewright.games.ingest.columns import UNKNOWN
from linewright.games.query.batch_replay import Traces, following, sans, trace
from linewright.games.query.game_filter import ALL_GAMES, GameFilter
from linewright.games.query.loaded_games import LoadedGames
from linewright.games.query.position_entries import PositionEntries, look_up
from linewright.games.query.reply_counts import count_replies
from linewright.games.query.table_reads import UNDATED, GameTable, PackedGames, games_by_number
from linewright.games.report.expectation import RatingExpectation, against_expectation, expected_scores
from linewright.games.report.plans import PLIES, plans
from linewright.games.report.study_values import Arrival, FirstPlayed, MoveOrder, StudiedReply, Study
from linewright.games.report.trend import periods_of, proportion, trend
from linewright.games.values import GameTags, Reply

#: Arrivals and orders of moves that are listed; the rest is counted.
MOST_ARRIVALS, MOST_ORDERS = 6, 5


def study(loaded: LoadedGames, position: chess.Board, only: GameFilter = ALL_GAMES, most: int | None = None) -> Study:
    """All about a position.

    :param most: replies that are studied; the others are counted in ``total`` only. None: all.
    """
    here = look_up(loaded, position, only)
    table, packed, through = loaded.table, loaded.packed, here.through()
    replies = count_replies(position, here.games, here.moves, table.columns())
    traces = trace(position, through, packed)
    going_on = here.going_on()
    games = _Studied(
        here,
        table,
        through,
        going_on,
        following(through, np.maximum(traces.plies, 0), packed, PLIES),
        periods_of(table.years[going_on]),
        _firsts(loaded, look_up(loaded, position) if only else here),
    )
    return Study(
        fen=replies.fen,
        only=only.in_words(),
        total=replies.total,
        ended=replies.ended,
        replies=tuple(games.reply(reply) for reply in replies.replies[:most]),
        arrivals=_arrivals(through, traces, packed),
        orders=_orders(through, traces, packed),
        orders_known=len(np.unique(traces.orders)),
    )


@dataclass(frozen=True, slots=True)
class _Studied:
    """A position's games, from which its replies are studied one by one.

    :param through: all of them, ascending; ``going_on`` those that went on from there.
    :param paths: the packed moves after it of each game in ``through``, shape (games, :data:`PLIES`).
    :param periods: first and last year of each.
    :param firsts: by UCI, of all games whatever the filter.
    """

    here: PositionEntries
    table: GameTable
    through: U32
    going_on: U32
    paths: U16
    periods: tuple[tuple[int, int], ...]
    firsts: dict[str, FirstPlayed]

    def reply(self, reply: Reply) -> StudiedReply:
        here, table, going_on = self.here, self.table, self.going_on
        packed = pack_move(chess.Move.from_uci(reply.uci))
        with_it = here.games[here.moves == packed]
        # A game that repeats the position may have chosen the reply only at a later visit: no plan is read off it.
        at_once = self.paths[:, 0] == packed
        chosen = np.isin(going_on, with_it)
        return StudiedReply(
            reply=reply,
            part=proportion(reply.games, len(going_on)),
            expectation=_expectation(with_it, table, here.white),
            trend=trend(self.periods, table.years[going_on], chosen, table.half_points[going_on], here.white),
            plans=plans(here.position, self.paths[at_once], table.half_points[self.through[at_once]]),
            first=self.firsts.get(reply.uci),
        )


def _expectation(games: U32, table: GameTable, white: bool) -> RatingExpectation | None:
    known = (table.half_points[games] != UNKNOWN) & (table.white_ratings[games] > 0) & (table.black_ratings[games] > 0)
    games = games[known]
    difference = table.white_ratings[games].astype(np.int64) - table.black_ratings[games]
    points = float(table.half_points[games].sum()) / 2
    return against_expectation(
        points if white else len(games) - points,
        float(expected_scores(difference if white else -difference).sum()),
        len(games),
    )


def _firsts(loaded: LoadedGames, here: PositionEntries) -> dict[str, FirstPlayed]:
    """The earliest dated game of each reply, by UCI."""
    table = loaded.table
    dates = table.dates[here.games]
    dated = (here.moves != NO_MOVE) & (dates < UNDATED) & (table.years[here.games] > 0)
    games, moves, dates = here.games[dated], here.moves[dated], dates[dated]
    order = np.lexsort((games, dates, moves))
    games, moves = games[order], moves[order]
    _, at = np.unique(moves, return_index=True)
    rows = games_by_number(loaded.con, games[at].tolist())
    return {
        unpack_move(move): _first(rows[game], here.white)
        for move, game in zip(moves[at].tolist(), games[at].tolist(), strict=True)
    }


def _first(game: GameTags, white: bool) -> FirstPlayed:
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
        found.append(Arrival(example[-1], proportion(count, len(games)), example))
    return tuple(found)


def _orders(games: U32, traces: Traces, packed: PackedGames) -> tuple[MoveOrder, ...]:
    met = traces.plies > 0
    games, plies, orders = games[met], traces.plies[met], traces.orders[met]
    found = []
    for order, count in _most_frequent(orders, MOST_ORDERS):
        at = int(np.flatnonzero(orders == order)[0])
        moves = packed.of(int(games[at]))[: int(plies[at])]
        found.append(MoveOrder(sans(chess.Board(), moves), proportion(count, len(games))))
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
