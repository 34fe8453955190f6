"""What a finished talk covers of its pupils' games, where it leaves them alone, and what its minutes go to."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Final

import chess

from linewright.games.api import DEPTH_BELOW, CountsBelow, Replies, position_key
from linewright.lesson.path_chances import PathChances
from linewright.lesson.walk import Node
from linewright.plan.branches import FEWEST, LEAST_LOSS, answer_to, expected_share, loss_without
from linewright.plan.lesson_index import LessonIndex
from linewright.plan.news.recent_shift import RecentShift, find_recent_shift
from linewright.plan.position_flow import FlowLevel, Reached, flow, reached
from linewright.plan.reply_cache import Ask, games_at, remember_answers

#: Chance (0-1) from which on a hole is reported: one of the pupil's games in fifty that come to the lesson.
HOLE: Final = 0.02
#: The move of the game up to which alternatives are compared: openings are learnt about so far.
EIGHTH: Final = 8
#: Holes and lines that are reported.
MOST: Final = 8
#: Chance (0-1) below which almost nobody meets a line, and seconds from which on it is worth naming.
RARE, LONG = 0.01, 10.0


@dataclass(frozen=True, slots=True)
class Hole:
    """A reply that the talk leaves uncovered.

    :param line: SAN from the talk's start to the position; ``reply`` in SAN.
    :param before: FEN there; ``after`` the reply.
    :param share: the reply's at its position, of ``of`` games.
    :param chance: the part of the pupil's games that meet it (0-1).
    :param answer: what scores best against it, in SAN, "" where games don't tell; ``score`` the pupil's with it (0-1).
    :param loss: expected score (0-1) that pupils lose there for not having seen it.
    """

    line: tuple[str, ...]
    reply: str
    before: str
    after: str
    share: float
    of: int
    chance: float
    answer: str
    score: float
    loss: float

    @property
    def worth(self) -> float:
        """Points in a hundred games that closing it is worth."""
        return 100 * self.chance * max(self.loss, LEAST_LOSS)


@dataclass(frozen=True, slots=True)
class TaughtStretch:
    """A line of the talk, up to its end or to where it was left.

    :param node: the walk's node that it begins with; ``line`` the SAN up to it.
    :param seconds: spent on it, without the lines that branch off it.
    :param chance: that a pupil who plays the moves taught on the way meets its first position (0-1).
    :param run: SAN of its moves, the first being ``line``'s last; ``chances`` of each (0-1).
    """

    node: int
    line: tuple[str, ...]
    seconds: float
    chance: float
    run: tuple[str, ...]
    chances: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class TaughtChoice:
    """A position in which the talk gives its pupil several moves.

    :param line: SAN to it; ``fen`` there.
    :param moves: in SAN, the followed one first, then as taught; where the pupil plays either, none is followed.
    :param chance: that a pupil who plays any of the moves taught meets it (0-1).
    :param move: the number of the game's move up to which is counted what is ``inside`` (0-1) with each of ``moves``.
    """

    line: tuple[str, ...]
    fen: str
    moves: tuple[str, ...]
    chance: float
    move: int
    inside: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Coverage:
    """What a talk covers.

    :param root: FEN of the position that it is counted from; ``line`` the SAN to it.
    :param games: of the base that came there.
    :param reached: the part of the pupil's games still inside, by move.
    :param holes: biggest first; ``more``: how many smaller ones aren't named.
    :param ends: the part of games that leave because the talk's line is at its end (0-1), within the depth looked at.
    :param stretches: the talk's lines below the root, likeliest first.
    :param choices: where the talk gives its pupil several moves, likeliest first.
    :param either: the pupil plays each of them as often as the others; else the first of :attr:`TaughtChoice.moves`.
    :param lately: the same by the newest games alone, where that is much more or less.
    """

    title: str
    source: str
    side: chess.Color
    root: str
    line: tuple[str, ...]
    games: int
    only: str
    note: str
    seconds: float
    reached: tuple[Reached, ...]
    holes: tuple[Hole, ...]
    more: int
    ends: float
    stretches: tuple[TaughtStretch, ...]
    choices: tuple[TaughtChoice, ...] = ()
    either: bool = False
    lately: RecentShift | None = None

    @property
    def rare(self) -> tuple[TaughtStretch, ...]:
        """Lines taught that almost nobody meets, longest first."""
        found = [s for s in self.stretches if s.chance < RARE and s.seconds >= LONG]
        return tuple(sorted(found, key=lambda s: -s.seconds)[:MOST])


def find_coverage(talk: LessonIndex, counts: CountsBelow, depth: int = DEPTH_BELOW) -> Coverage:
    """What a talk covers of the games below its first own position, for a pupil who plays the moves followed."""
    ask = remember_answers(counts)
    levels = inside(talk, ask, counts.root, depth)
    rows = tuple(reached(levels, games_at(ask, talk.side)))
    holes = sorted(_holes(talk, ask, levels), key=lambda hole: -hole.worth)
    named = [hole for hole in holes if hole.chance >= HOLE][:MOST]
    return Coverage(
        title=talk.title,
        source=talk.source,
        side=talk.side,
        root=counts.root.fen(),
        line=way_to(talk, counts.root),
        games=counts.games,
        only=counts.only.in_words(),
        note=counts.note,
        seconds=talk.length,
        reached=rows,
        holes=tuple(named),
        more=len(holes) - len(named),
        ends=sum(
            place.chance for level in levels[:-1] for place in level.places.values() if not talk.shown(place.board)
        ),
        stretches=tuple(sorted(_stretches(talk, ask, counts.root), key=lambda s: -s.chance)),
        choices=tuple(sorted(_choices(talk, ask, counts.root, depth), key=lambda choice: -choice.chance)),
        either=talk.either,
        lately=find_recent_shift(counts, rows, lambda asked: inside(talk, asked, counts.root, depth), talk.side),
    )


def _choices(talk: LessonIndex, ask: Ask, root: chess.Board, depth: int) -> Iterator[TaughtChoice]:
    """The choices that games come to, with what following each of their moves would cover."""
    chances: dict[int, float] = {}
    for level in inside(replace(talk, either=True), ask, root, depth):
        for key, place in level.places.items():
            chances[key] = max(chances.get(key, 0.0), place.chance)
    for node in talk.choices():
        board = chess.Board(node.fen)
        key = position_key(board)
        if not chances.get(key):
            continue
        moves = talk.own(board)
        ways = []
        for move in moves:
            chosen = _towards(replace(talk, either=False, preferred={**talk.preferred, key: move.uci}), node)
            ways.append(inside(chosen, ask, root, depth))
        until = _compared(root, node, ways)
        parts = tuple(levels[2 * until - root.ply()].inside for levels in ways)
        line = tuple(talk.walk.nodes[n].san for n in talk.walk.line(node.id))
        yield TaughtChoice(line, node.fen, tuple(move.san for move in moves), chances[key], until, parts)


def _compared(root: chess.Board, node: Node, ways: Sequence[tuple[FlowLevel, ...]]) -> int:
    """The move up to which the ways of a choice are compared: the eighth, or the second behind it; earlier where no way
    goes on so far."""
    first = node.ply // 2 + 1
    until = min(max(EIGHTH, first + 2), (root.ply() + len(ways[0]) - 1) // 2)
    while until > first and not any(levels[2 * until - root.ply()].inside for levels in ways):
        until -= 1
    return until


def _towards(talk: LessonIndex, node: Node) -> LessonIndex:
    """The talk for a pupil who plays the moves that lead to a node: else a later choice would make no difference."""
    preferred = dict(talk.preferred)
    for number in talk.walk.line(node.id):
        before = talk.walk.nodes[talk.walk.nodes[number].parent or 0]
        preferred[position_key(chess.Board(before.fen))] = talk.walk.nodes[number].uci
    return replace(talk, preferred=preferred)


def inside(talk: LessonIndex, ask: Ask, root: chess.Board, depth: int) -> tuple[FlowLevel, ...]:
    """The chances to be still inside the talk, by half-moves from ``root``."""

    def choices(board: chess.Board) -> tuple[tuple[str, float], ...]:
        if board.turn == talk.side:
            own = talk.own(board)
            if talk.either:
                return tuple((move.uci, 1 / len(own)) for move in own)
            return ((own[0].uci, 1.0),) if own else ()
        shown = talk.shown(board)
        if not shown:
            return ()
        ucis, replies = {move.uci for move in shown}, ask(board)
        return tuple((r.uci, expected_share(r, replies)) for r in replies.replies if r.uci in ucis)

    return flow(root, depth, choices)


def _holes(talk: LessonIndex, ask: Ask, levels: Sequence[FlowLevel]) -> Iterator[Hole]:
    for level in levels[:-1]:
        for place in level.places.values():
            shown = {move.uci for move in talk.shown(place.board)}
            if place.board.turn == talk.side or not shown:
                continue
            here = ask(place.board)
            for reply in here.replies if here.total >= FEWEST else ():
                if reply.uci not in shown:
                    yield _hole(talk, ask, place.board, place.chance, reply.uci, here)


def _hole(talk: LessonIndex, ask: Ask, board: chess.Board, chance: float, uci: str, here: Replies) -> Hole:
    reply = next(r for r in here.replies if r.uci == uci)
    after = board.copy(stack=False)
    after.push_uci(uci)
    answers = ask(after)
    best = answer_to(answers, None, after)
    return Hole(
        line=way_to(talk, board),
        reply=reply.san,
        before=board.fen(),
        after=after.fen(),
        share=reply.share,
        of=here.total,
        chance=chance * reply.share,
        answer=best.san if best else "",
        score=best.score if best else 1 - reply.score,
        loss=loss_without(answers, best) if best else 0.0,
    )


def way_to(talk: LessonIndex, board: chess.Board) -> tuple[str, ...]:
    """The talk's own moves to a position, in SAN; nothing where it doesn't show it."""
    key = position_key(board)
    node = next((n for n in talk.walk.nodes if position_key(chess.Board(n.fen)) == key), None)
    return tuple(talk.walk.nodes[n].san for n in talk.walk.line(node.id)) if node is not None else ()


def _stretches(talk: LessonIndex, ask: Ask, root: chess.Board) -> Iterator[TaughtStretch]:
    """The lines below the root: each begins where it branches off, or at the root."""
    nodes, goal = talk.walk.nodes, position_key(root)
    keys = [position_key(chess.Board(node.fen)) for node in nodes]
    starts = [node.id for node in nodes if keys[node.id] == goal]
    met = PathChances(talk.walk, talk.side, lambda board, _, after: _share(ask(board), after.uci), starts)
    seen: set[int] = set()
    for node in nodes[1:]:
        parent = nodes[node.parent or 0]
        if not met.below(parent.id) or (node.id == parent.children[0] and keys[parent.id] != goal):
            continue
        run = [node.id]
        while nodes[run[-1]].children:
            run.append(nodes[run[-1]].children[0])
        seconds = sum(talk.seconds.get(key, 0.0) for key in dict.fromkeys(keys[n] for n in run) if key not in seen)
        seen.update(keys[n] for n in run)
        line = tuple(nodes[n].san for n in talk.walk.line(node.id))
        moves, chances = tuple(nodes[n].san for n in run), tuple(met.of(n) for n in run)
        yield TaughtStretch(node.id, line, seconds, met.of(node.id), moves, chances)


def _share(replies: Replies, uci: str) -> float:
    """How likely the opponent plays a move, as counted."""
    return next((reply.share for reply in replies.replies if reply.uci == uci), 0.0)
