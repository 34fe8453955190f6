"""The replies to a position, counted from its entries."""

from __future__ import annotations

import chess
import numpy as np

from linewright.games.index.arrays import U16, U32
from linewright.games.index.position_keys import NO_MOVE, unpack_move
from linewright.games.query.game_columns import GameColumns, MoveCount, count_moves
from linewright.games.report.wilson import wilson_interval
from linewright.games.values import Replies, Reply


def count_replies(position: chess.Board, games: U32, moves: U16, columns: GameColumns) -> Replies:
    """Each reply's figures, the most played first.

    :param games: game numbers, shape (entries,); ``moves`` the packed moves played, alike: see
        :func:`linewright.games.index.index_reader.entries_at`.
    """
    counts = count_moves(games, moves, columns, position.turn == chess.WHITE)
    total = _distinct(games[moves != NO_MOVE])
    found = [_reply(position, total, count) for count in counts if count.packed != NO_MOVE]
    found.sort(key=lambda reply: (-reply.games, reply.uci))
    ended = sum(count.games for count in counts if count.packed == NO_MOVE)
    return Replies(position.fen(), total, tuple(found), ended)


def _reply(position: chess.Board, total: int, count: MoveCount) -> Reply:
    uci = unpack_move(count.packed)
    low, high = wilson_interval(count.points, count.scored)
    return Reply(
        uci=uci,
        san=position.san(chess.Move.from_uci(uci)),
        games=count.games,
        share=count.games / total,
        score=count.points / count.scored if count.scored else 0.5,
        low=low,
        high=high,
        mean_rating=round(count.rating_sum / count.rated) if count.rated else None,
        last_year=count.last_year or None,
        scored=count.scored,
    )


def _distinct(games: U32) -> int:
    """How many different numbers; they come in order from each run, so that sorting is seldom needed."""
    if np.any(games[1:] < games[:-1]):
        games = np.sort(games)
    return int(np.count_nonzero(games[1:] != games[:-1])) + (len(games) > 0)
