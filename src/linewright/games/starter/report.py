"""What the starter table knows of a position, as the base's studies are told."""

from __future__ import annotations

import chess

from linewright.games.model import Replies, Reply
from linewright.games.report.model import Period, Scored, StudiedReply, Study, Trend
from linewright.games.report.trend import part
from linewright.games.starter.table import StarterTable


def starter_study(table: StarterTable, position: chess.Board) -> Study:
    """The replies with their figures; each one's trend is the years that it was played in, as one period.

    What only whole games tell is missing: expectations, plans, first players, and how games came to the position.
    """
    replies, years = table.replies(position), table.years(position)
    return Study(
        fen=replies.fen,
        only="",
        total=replies.total,
        ended=replies.ended,
        replies=tuple(_studied(reply, replies, years.get(reply.uci)) for reply in replies.replies),
        arrivals=(),
        orders=(),
        orders_known=0,
    )


def _studied(reply: Reply, replies: Replies, years: tuple[int, int] | None) -> StudiedReply:
    share = part(reply.games, replies.total)
    scored = Scored(reply.scored, reply.score, reply.low, reply.high)
    periods = (Period(*years, share, scored),) if years else ()
    return StudiedReply(reply, share, None, Trend(periods, "unclear"), (), None)
