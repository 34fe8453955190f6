"""How often a pupil meets a position of the lesson."""

from __future__ import annotations

import chess

from linewright.claims.games_asked import Games
from linewright.claims.sentence.scene import Scene
from linewright.lesson import path_chances as reach
from linewright.lesson.walk import Node


class PathChances:
    """For each node of a walk the share of games that come to it when the pupil follows the lesson
    (:class:`linewright.lesson.path_chances.PathChances`); both sides' moves count where the lesson's side isn't known.

    A share is (games + 1) / (all + 2): Laplace's rule of succession, so that a move without games isn't impossible.
    """

    def __init__(self, scene: Scene, games: Games) -> None:
        self._games = games
        self._reach = reach.PathChances(scene.walk, scene.side, self._share)

    def met(self, node: int) -> float:
        """The share for a node, 0-1; 1 where there are no games to tell."""
        return 1.0 if self._games.base is None else self._reach.of(node)

    def _share(self, board: chess.Board, _: Node, after: Node) -> float:
        replies = self._games.replies(board)
        if replies is None:
            return 1.0
        played = next((reply.games for reply in replies.replies if reply.uci == after.uci), 0)
        return (played + 1) / (replies.total + 2)
