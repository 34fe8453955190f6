"""Drills on plans as the games know them: the moves that a side plays next, whatever the other side does."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from contextlib import suppress
from dataclasses import dataclass
from typing import Protocol

import chess

from linewright.board.naming import side_name
from linewright.games.api import FollowUpPlan, Study
from linewright.lesson.spoken import numbered
from linewright.lesson.walk import Node, Walk
from linewright.practice.drills.choices import OFFERED, chosen
from linewright.practice.drills.drill import Drill, Task, drill_id, key_of
from linewright.support.errors import UnusableInput

#: Games that a plan must have been played in: fewer are some players' taste.
ENOUGH = 10
#: Half-moves into the game before which "what next" is still the opening itself.
EARLIEST = 12
#: Positions of a lesson asked about at most, the likeliest to be met: looking one up takes a tenth of a second.
MOST = 12
#: Replies studied of a position, most played first: a lesson's move that is rarer has no plans to speak of.
REPLIES = 6


class Planner(Protocol):
    """The part of the games base that is asked (:class:`linewright.games.api.GamesBase`)."""

    def study(self, position: chess.Board, *, most: int | None = None) -> Study: ...


@dataclass(frozen=True, slots=True)
class _Known:
    """A position after a move of the lesson, with what is usually played next."""

    node: Node
    plans: tuple[FollowUpPlan, ...]

    def has(self, moves: Iterable[str]) -> bool:
        """Whether these moves, in any order, are one of its plans."""
        return any(frozenset(plan.moves) == frozenset(moves) for plan in self.plans)


def plan_drills(
    walk: Walk, mistakes: frozenset[int], side: chess.Color, reach: dict[str, float], planner: Planner
) -> Iterator[Drill]:
    """For the ends of the lesson's lines, which three moves usually come next; the wrong ones are plans of its other
    lines. None where the games know too few."""
    known = list(_known(walk, _ends(walk, mistakes, side, reach), planner))
    for one in known:
        right = next((p for p in one.plans if p.part.games >= ENOUGH), None)
        if right is None:
            continue
        others = [", ".join(p.moves) for other in known for p in other.plans[:1] if not one.has(p.moves)]
        if len(set(others)) + 1 < OFFERED - 1:
            continue
        choices, index = chosen(", ".join(right.moves), others, one.node.fen)
        name = side_name(side)
        move = numbered(walk.before(one.node.id), one.node.san)
        yield Drill(
            drill_id(Task.PLAN, one.node.fen, name, "games"),
            Task.PLAN,
            one.node.fen,
            name,
            f"What does {name.capitalize()} most often play next, after {move}, whatever the reply?",
            choices=choices,
            right=index,
            words=f"{right.part.games} of {right.part.of} games, for example {_example(walk, one.node, right)}",
            line=walk.moves_to(one.node.id),
            start=walk.start,
        )


def _ends(walk: Walk, mistakes: frozenset[int], side: chess.Color, reach: dict[str, float]) -> list[Node]:
    """The last move of ``side`` on each line that holds no mistake, likeliest lines first."""
    found: dict[str, Node] = {}
    for node in walk.nodes:
        way = walk.line(node.id)
        if node.children or mistakes.intersection(way):
            continue
        own = [walk.nodes[n] for n in way if (walk.nodes[n].fen.split()[1] == "b") == (side == chess.WHITE)]
        if own and own[-1].ply >= EARLIEST:
            found.setdefault(key_of(own[-1].fen), own[-1])
    ranked = sorted(found.items(), key=lambda pair: (-reach.get(pair[0], 0.0), pair[1].id))
    return [node for _, node in ranked[:MOST]]


def _known(walk: Walk, nodes: Iterable[Node], planner: Planner) -> Iterator[_Known]:
    for node in nodes:
        board = chess.Board(walk.before(node.id))
        with suppress(UnusableInput):
            studied = next((s for s in planner.study(board, most=REPLIES).replies if s.reply.uci == node.uci), None)
            if studied is not None and studied.plans:
                yield _Known(node, studied.plans)


def _example(walk: Walk, node: Node, plan: FollowUpPlan) -> str:
    """The commonest game with this plan, from the lesson's position on."""
    board = chess.Board(node.fen)
    line: list[str] = []
    for san in plan.line[1:]:
        number = numbered(board.fen(), san) if board.turn == chess.WHITE or not line else san
        line.append(number)
        board.push_san(san)
    return " ".join(line)
