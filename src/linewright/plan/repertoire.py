"""Several talks together: where they contradict each other, leave gaps, and come to each other's positions."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import asdict, dataclass
from itertools import combinations
from typing import Any, Final

import chess

from linewright.games.api import GameFilter, GameSource, position_key
from linewright.lesson.spoken import numbered
from linewright.plan.coverage import way_to
from linewright.plan.lesson_index import LessonIndex
from linewright.plan.plan_text import line_text, percent
from linewright.plan.position_flow import flow
from linewright.plan.reply_cache import remember_answers

#: Chance (0-1) from which on a gap between the talks is reported, and how many are.
GAP, MOST = 0.01, 12
#: Half-moves into the game up to which talks that share a position by the same moves are no news.
LEAST_PLIES: Final = 3


@dataclass(frozen=True, slots=True)
class Contradiction:
    """Two talks for one side that teach different moves in one position; talks by their numbers, from 0.

    :param line: SAN to the position, by the first talk's way.
    """

    fen: str
    line: tuple[str, ...]
    one: int
    other: int
    move: str
    other_move: str


@dataclass(frozen=True, slots=True)
class SharedPosition:
    """A position that two talks reach by different moves; ``ways`` in SAN. ``both``: they are for both colours."""

    fen: str
    one: int
    other: int
    way: tuple[str, ...]
    other_way: tuple[str, ...]
    both: bool


@dataclass(frozen=True, slots=True)
class RepertoireGap:
    """A reply that no talk for this side answers, in a position that one of them shows."""

    fen: str
    line: tuple[str, ...]
    reply: str
    side: str
    chance: float


@dataclass(frozen=True, slots=True)
class Repertoire:
    """What several talks are together.

    :param shared: positions that talks for White and for Black both show, by any moves, on the moves' first divergence.
    """

    titles: tuple[str, ...]
    contradictions: tuple[Contradiction, ...]
    gaps: tuple[RepertoireGap, ...]
    transpositions: tuple[SharedPosition, ...]
    both_colours: tuple[SharedPosition, ...]


def compare_talks(lessons: Sequence[LessonIndex], games: GameSource, only: GameFilter) -> Repertoire:
    """Look at talks together."""
    meetings = tuple(_meetings(lessons))
    return Repertoire(
        tuple(one.title for one in lessons),
        tuple(_contradictions(lessons)),
        tuple(sorted(_gaps(lessons, games, only), key=lambda gap: -gap.chance)[:MOST]),
        tuple(m for m in meetings if not m.both and m.way != m.other_way),
        tuple(m for m in meetings if m.both),
    )


def _contradictions(lessons: Sequence[LessonIndex]) -> Iterator[Contradiction]:
    for (i, one), (j, other) in combinations(enumerate(lessons), 2):
        if one.side != other.side:
            continue
        for node in one.walk.nodes:
            board = chess.Board(node.fen)
            mine, theirs = one.own(board), other.own(board)
            if board.turn != one.side or not mine or not theirs:
                continue
            meet = _below(one, mine[0].node) & _below(other, theirs[0].node)
            if not {m.uci for m in mine} & {m.uci for m in theirs} and not meet:
                yield Contradiction(node.fen, way_to(one, board), i, j, mine[0].san, theirs[0].san)


def _below(lesson: LessonIndex, node: int) -> frozenset[int]:
    """The positions that a talk shows from a node on: two moves that come to one position are no contradiction."""
    nodes = lesson.walk.nodes
    found, waiting = set(), [node]
    while waiting:
        at = nodes[waiting.pop()]
        found.add(position_key(chess.Board(at.fen)))
        waiting += at.children
    return frozenset(found)


def _meetings(lessons: Sequence[LessonIndex]) -> Iterator[SharedPosition]:
    """The first common position of each common way, beyond what the openings share by the same moves."""
    for (i, one), (j, other) in combinations(enumerate(lessons), 2):
        for node in one.walk.nodes:
            board = chess.Board(node.fen)
            if node.ply < LEAST_PLIES or not other.holds(board):
                continue
            before = one.walk.nodes[node.parent or 0]
            way, their_way = way_to(one, board), way_to(other, board)
            new = not other.holds(chess.Board(before.fen))
            if one.side != other.side:
                # Of one common way the last position tells most.
                if not any(other.holds(chess.Board(one.walk.nodes[c].fen)) for c in node.children):
                    yield SharedPosition(node.fen, i, j, way, their_way, True)
            elif new and way != their_way:
                yield SharedPosition(node.fen, i, j, way, their_way, False)


def _gaps(lessons: Sequence[LessonIndex], games: GameSource, only: GameFilter) -> Iterator[RepertoireGap]:
    """Replies that none of a side's talks answers, where the pupil follows them all together."""
    for side in (chess.WHITE, chess.BLACK):
        mine = [one for one in lessons if one.side == side]
        if len(mine) < 2:
            continue
        # The first position that all pass through by the same moves.
        root = chess.Board()
        while True:
            shown = {move.uci for one in mine for move in one.shown(root)}
            if len(shown) != 1 or any(not one.shown(root) for one in mine):
                break
            root.push_uci(shown.pop())
        ask = remember_answers(games.below(root, only))

        def choices(
            board: chess.Board, mine: Sequence[LessonIndex] = mine, ask: Any = ask
        ) -> tuple[tuple[str, float], ...]:
            shown = list(dict.fromkeys(move.uci for one in mine for move in one.shown(board)))
            if board.turn == mine[0].side:
                return ((shown[0], 1.0),) if shown else ()
            return tuple((r.uci, r.share) for r in ask(board).replies if r.uci in shown) if shown else ()

        for level in flow(root, 16, choices):
            for place in level.places.values():
                shown = {move.uci for one in mine for move in one.shown(place.board)}
                if place.board.turn == side or not shown:
                    continue
                for reply in ask(place.board).replies:
                    if reply.uci not in shown and place.chance * reply.share >= GAP:
                        talk = next(one for one in mine if one.shown(place.board))
                        named = "white" if side else "black"
                        line = way_to(talk, place.board)
                        yield RepertoireGap(place.board.fen(), line, reply.san, named, place.chance * reply.share)


def repertoire_lines(found: Repertoire) -> Iterator[str]:
    """The talks together, as text."""

    def name(number: int) -> str:
        return f"“{found.titles[number]}”"

    start = chess.STARTING_FEN
    yield ""
    yield f"The {len(found.titles)} talks together"
    for c in found.contradictions:
        yield (
            f"  contradiction: {name(c.one)} teaches {numbered(c.fen, c.move)}, {name(c.other)} "
            f"{numbered(c.fen, c.other_move)} after {line_text(start, c.line) or 'the start'}"
        )
    if not found.contradictions:
        yield "  No two of them teach different moves in one position."
    for g in found.gaps:
        yield (
            f"  gap for {g.side.title()}: {numbered(g.fen, g.reply)} after {line_text(start, g.line) or 'the start'} "
            f"is in no talk: {percent(g.chance)} of games"
        )
    for t in found.transpositions:
        yield (
            f"  transposition: {name(t.one)} by {line_text(start, t.way)}, {name(t.other)} by "
            f"{line_text(start, t.other_way)}"
        )
    for t in found.both_colours:
        yield f"  for both colours: {name(t.one)} and {name(t.other)} share {line_text(start, t.way)}"


def repertoire_json(found: Repertoire) -> dict[str, Any]:
    """The same for programs."""
    return asdict(found)
