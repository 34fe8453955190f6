"""Which moves count as right in a position, by all move orders, and which the games show equally good."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from contextlib import suppress
from typing import Protocol

import chess

from linewright.games.api import GameSource, Replies, Reply, wilson_interval
from linewright.lesson.walk import SURE, MoveStep, Node, Walk
from linewright.practice.drills.drill import Accepted, Standing, key_of
from linewright.support.errors import UnusableInput

#: Games with a known result that a score must rest on before it speaks for a move: the 95 % interval of 30 even games
#: is about 17 points wide on each side (Wilson), of fewer it says almost nothing.
ENOUGH_GAMES = 30


class DrillGames(Protocol):
    """The part of the games base that drills ask; None where it has no answer."""

    def replies(self, board: chess.Board) -> Replies | None: ...


class BaseGames:
    """The games base as drills ask it: each position once, and never in the way when it fails."""

    def __init__(self, base: GameSource) -> None:
        self._base = base
        self._kept: dict[str, Replies | None] = {}

    def replies(self, board: chess.Board) -> Replies | None:
        key = board.epd(en_passant="legal")
        if key not in self._kept:
            with suppress(UnusableInput):
                self._kept[key] = self._base.replies(board)
        return self._kept.setdefault(key, None)


class TaughtMoves:
    """What a walk teaches in each position, whatever the order of moves that leads to it.

    :param mistakes: nodes whose move the talk calls a mistake (``JudgedMoves``).
    """

    def __init__(self, walk: Walk, mistakes: Iterable[int]) -> None:
        self.walk = walk
        self.mistakes = frozenset(mistakes)
        self._keys = [key_of(node.fen) for node in walk.nodes]
        self._same: dict[str, list[int]] = {}
        for node, key in enumerate(self._keys):
            self._same.setdefault(key, []).append(node)
        self._sure = self._surest()

    def _surest(self) -> dict[int, float]:
        """For each node how surely its move was read; of a move said several times the surest time counts."""
        sure: dict[int, float] = {0: 1.0}
        for step in self.walk.steps:
            if isinstance(step, MoveStep):
                sure[step.node] = max(sure.get(step.node, 0.0), step.sure)
        return sure

    def key(self, node: int) -> str:
        return self._keys[node]

    def positions(self) -> Iterator[tuple[str, tuple[Node, ...]]]:
        """Each position with the nodes that show it, in the order in which they are first said."""
        for key, nodes in self._same.items():
            yield key, tuple(self.walk.nodes[node] for node in nodes)

    def shown(self, key: str) -> tuple[Node, ...]:
        """The nodes of all moves shown from a position."""
        return tuple(self.walk.nodes[child] for node in self._same[key] for child in self.walk.nodes[node].children)

    def right(self, key: str) -> tuple[Node, ...]:
        """Moves shown as good, each once; a move called a mistake anywhere is none."""
        wrong = {node.uci for node in self.wrong(key)}
        return tuple({node.uci: node for node in reversed(self.shown(key)) if node.uci not in wrong}.values())[::-1]

    def wrong(self, key: str) -> tuple[Node, ...]:
        """Moves shown as mistakes."""
        return tuple({node.uci: node for node in self.shown(key) if node.id in self.mistakes}.values())

    def doubtful(self, key: str) -> tuple[Node, ...]:
        """Moves from here, or on the way here, that were read unsurely: what is drilled must be sure."""
        way = (self.walk.nodes[node] for node in self.walk.line(self._same[key][0]))
        return tuple(node for node in (*way, *self.shown(key)) if self._sure[node.id] < SURE)


def accepted(
    board: chess.Board, right: Iterable[Node], wrong: Iterable[str], games: DrillGames | None
) -> tuple[Accepted, ...]:
    """The moves that count, taught ones first, then those the games show equally good, most played first.

    :param wrong: moves, in UCI, that the talk calls mistakes: never accepted, whatever the games say.
    """
    taught = tuple(Accepted(node.uci, node.san) for node in right)
    if games is None or not taught:
        return taught
    replies = games.replies(board)
    if replies is None:
        return taught
    left_out = {*wrong, *(move.uci for move in taught)}
    return (*taught, *equally_good(replies, {move.uci for move in taught}, left_out))


def equally_good(replies: Replies, taught: set[str], left_out: set[str]) -> Iterator[Accepted]:
    """Replies that the games show as good as what is taught.

    A reply is as good when the yardstick's score lies inside the reply's 95 % interval or below it, and the reply's
    score inside the yardstick's or above it. The yardstick is the best scored taught move with enough games; where the
    games hardly know what is taught, all games of the position.
    """
    yardstick = _yardstick(replies, taught)
    if yardstick is None:
        return
    score, low = yardstick
    for reply in replies.replies:
        if reply.uci in left_out or reply.scored < ENOUGH_GAMES:
            continue
        if reply.high >= score and reply.score >= low:
            yield Accepted(reply.uci, reply.san, Standing.EQUAL, figures(reply))


def _yardstick(replies: Replies, taught: set[str]) -> tuple[float, float] | None:
    """Score and the lower end of its interval to measure by; None where too few games are known."""
    known = [r for r in replies.replies if r.uci in taught and r.scored >= ENOUGH_GAMES]
    if known:
        best = max(known, key=lambda r: r.score)
        return best.score, best.low
    scored = sum(r.scored for r in replies.replies)
    if scored < ENOUGH_GAMES:
        return None
    points = sum(r.score * r.scored for r in replies.replies)
    return points / scored, wilson_interval(points, scored)[0]


def figures(reply: Reply) -> str:
    """``"1204 games, 54 % (51–57)"``."""
    return f"{reply.games} games, {100 * reply.score:.0f} % ({100 * reply.low:.0f}–{100 * reply.high:.0f})"
