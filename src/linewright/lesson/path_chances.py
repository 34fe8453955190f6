"""How likely a pupil who plays the lesson's moves comes to each position of a walk, by the walk's own way there."""

from __future__ import annotations

from collections.abc import Callable, Iterable

import chess

from linewright.lesson.walk import Node, Walk

#: From a position, its node and the one that a move leads to: the share (0-1) of those to move who choose that move.
Share = Callable[[chess.Board, Node, Node], float]


class PathChances:
    """For each node the product of the shares of the opponent's moves on its way; the pupil's own count as played.

    Shares are asked for as they are needed, each once.
    """

    def __init__(self, walk: Walk, side: chess.Color | None, share: Share, starts: Iterable[int] = (0,)) -> None:
        """
        :param side: the pupil's; None where it isn't known: then both sides' moves count by their shares.
        :param starts: nodes that a pupil surely comes to.
        """
        self._nodes = walk.nodes
        self._side = side
        self._share = share
        self._known: dict[int, float] = dict.fromkeys(starts, 1.0)

    def below(self, node: int) -> bool:
        """Whether a node lies on a way from one of the starts, or is one."""
        return any(at in self._known for at in self._way(node))

    def of(self, node: int) -> float:
        """The chance of a node, 0-1; 0 where no start leads to it."""
        new: list[int] = []
        for at in self._way(node):
            if at in self._known:
                break
            new.append(at)
        else:
            return 0.0
        for at in reversed(new):
            here = self._nodes[at]
            before = self._nodes[here.parent or 0]
            board = chess.Board(before.fen)
            part = 1.0 if board.turn is self._side else self._share(board, before, here)
            self._known[at] = self._known[before.id] * part
        return self._known[node]

    def _way(self, node: int) -> Iterable[int]:
        """A node and those before it, back to the walk's beginning."""
        at: int | None = node
        while at is not None:
            yield at
            at = self._nodes[at].parent
