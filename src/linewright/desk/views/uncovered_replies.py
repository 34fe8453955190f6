"""What pupils will meet that a lesson leaves out: replies of the other side, common in the games, not in the talk."""

from __future__ import annotations

from collections.abc import Callable
from typing import Protocol

import chess

from linewright.desk.messages.readings import Gap
from linewright.games.api import Replies, Reply
from linewright.lesson.spoken import figurine, in_words, move_number
from linewright.lesson.walk import Node, Walk
from linewright.plan.lesson_index import index_lesson

#: A reply is worth showing when it is met in at least this part of the games that begin with the lesson.
WORTH = 0.02
#: Games that a share must rest on: below it one game would be a trend.
ENOUGH = 20
#: Replies listed at most: what a trainer takes in.
MOST = 12


class Counting(Protocol):
    """The part of the games base that is asked."""

    def replies(self, position: chess.Board) -> Replies: ...


def uncovered_replies(walk: Walk, base: Counting | None, stop: Callable[[], bool]) -> tuple[Gap, ...] | None:
    """The replies left out, most often met first; empty without a base, None when stopped.

    How often a position is met is the product of the other side's shares on the way to it from where the lesson's own
    part begins (see :func:`linewright.plan.lesson_index.taught`), the lesson's side always playing as taught; where it
    has no side, both sides' replies count. A reply in another order of moves counts as in the talk.
    """
    if base is None:
        return ()
    lesson = index_lesson(walk, walk.side or "white")
    root, nodes = lesson.root.fen(), walk.nodes
    met = [float(node.fen == root) for node in nodes]
    found: list[tuple[float, Gap]] = []
    for node in nodes:
        if stop():
            return None
        if met[node.id] < WORTH:
            continue
        board = chess.Board(node.fen)
        if walk.side and board.turn == lesson.side:
            for child in node.children:
                met[child] = met[node.id]
            continue
        replies = base.replies(board)
        known = {shown.uci for shown in lesson.shown(board)}
        children = {nodes[child].uci: child for child in node.children}
        if not known or replies.total < ENOUGH:
            continue
        for reply in replies.replies:
            share = met[node.id] * reply.share
            if reply.uci in children:
                met[children[reply.uci]] = share
            elif reply.uci not in known and share >= WORTH:
                found.append((share, _gap(node, reply, share)))
    return tuple(gap for _, gap in sorted(found, key=lambda pair: -pair[0])[:MOST])


def _gap(node: Node, reply: Reply, share: float) -> Gap:
    fig = move_number(node.fen) + figurine(reply.san)
    return Gap(node.fen, node.step, reply.uci, fig, in_words(reply.san), round(reply.share, 3), round(share, 3))
