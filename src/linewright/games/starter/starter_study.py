"""What the starter table knows of a position, as a base's study is given."""

from __future__ import annotations

from collections.abc import Mapping

from linewright.games.report.study_values import Period, Scored, StudiedReply, Study, Trend
from linewright.games.report.trend import proportion
from linewright.games.values import Replies, Reply


def starter_study(replies: Replies, years: Mapping[str, tuple[int, int]], most: int | None = None) -> Study:
    """The replies with their figures; each one's trend is the years that it was played in, as one period.

    What only whole games tell is missing: expectations, plans, first players, and how games came to the position.

    :param years: the first and the last one of each reply, by UCI.
    :param most: replies that are studied; None: all.
    """
    return Study(
        fen=replies.fen,
        only="",
        total=replies.total,
        ended=replies.ended,
        replies=tuple(_studied(reply, replies, years.get(reply.uci)) for reply in replies.replies[:most]),
        arrivals=(),
        orders=(),
        orders_known=0,
    )


def _studied(reply: Reply, replies: Replies, years: tuple[int, int] | None) -> StudiedReply:
    share = proportion(reply.games, replies.total)
    scored = Scored(reply.scored, reply.score, reply.low, reply.high)
    periods = (Period(*years, share, scored),) if years else ()
    return StudiedReply(reply, share, None, Trend(periods, "unclear"), (), None)
