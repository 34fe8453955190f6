"""How likely a pupil who plays the lesson's moves meets a position."""

from __future__ import annotations

import chess

from linewright.lesson.path_chances import PathChances
from linewright.lesson.walk import Node, Walk
from linewright.practice.drills.drill import key_of
from linewright.practice.drills.taught_moves import DrillGames

#: The share of a reply that no game of the base chose: rarer than what a base of some thousand games would show.
UNPLAYED = 0.002
#: Games from which on shares are taken as they are; below, they are mixed with an even share of what the lesson shows.
KNOWN_GAMES = 20


def reaches(walk: Walk, side: chess.Color, games: DrillGames | None) -> dict[str, float]:
    """For each position of a walk (by ``key_of``) the chance, 0-1, that it comes up.

    The product of the opponents' shares along the line (:class:`linewright.lesson.path_chances.PathChances`). Without
    games every reply shown, and one more for all that is not shown, counts alike. Of several ways to one position the
    likeliest counts: they may share their beginning, so that adding them would count it twice.
    """

    def part(board: chess.Board, before: Node, after: Node) -> float:
        return share(board, after.uci, len(before.children), games)

    reach = PathChances(walk, side, part)
    found: dict[str, float] = {}
    for node in walk.nodes:
        key = key_of(node.fen)
        found[key] = max(found.get(key, 0.0), reach.of(node.id))
    return found


def share(board: chess.Board, uci: str, shown: int, games: DrillGames | None) -> float:
    """The share (0-1) of opponents who choose a reply.

    :param shown: how many replies the lesson shows here.
    """
    even = 1 / (shown + 1)
    replies = games.replies(board) if games is not None else None
    if replies is None or replies.total == 0:
        return even
    played = next((reply.share for reply in replies.replies if reply.uci == uci), UNPLAYED)
    weight = min(1.0, replies.total / KNOWN_GAMES)
    return weight * played + (1 - weight) * even
