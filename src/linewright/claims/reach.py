"""How often a pupil meets a position of the lesson."""

from __future__ import annotations

import chess

from linewright.claims.games import Games
from linewright.claims.scene import Scene


class Reach:
    """For each node of a walk the share of games that come to it when the pupil follows the lesson.

    The product of the shares of the opponent's moves on the way; of both sides' where the lesson's side isn't known.
    A share is (games + 1) / (all + 2): Laplace's rule of succession, so that a move without games isn't impossible.
    """

    def __init__(self, scene: Scene, games: Games) -> None:
        self._nodes = scene.walk.nodes
        self._side = scene.side
        self._games = games
        self._known: dict[int, float] = {0: 1.0}

    def met(self, node: int) -> float:
        """The share for a node, 0-1; 1 where there are no games to tell."""
        if self._games.base is None:
            return 1.0
        if node not in self._known:
            here = self._nodes[node]
            before = here.parent or 0
            self._known[node] = self.met(before) * self._share(before, here.uci)
        return self._known[node]

    def _share(self, parent: int, uci: str) -> float:
        board = chess.Board(self._nodes[parent].fen)
        if board.turn is self._side:
            return 1.0
        replies = self._games.replies(board)
        if replies is None:
            return 1.0
        played = next((reply.games for reply in replies.replies if reply.uci == uci), 0)
        return (played + 1) / (replies.total + 2)
