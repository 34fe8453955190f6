"""A talk as what it teaches: for each position, by any order of moves, the moves it shows and the time it takes."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Final

import chess

from linewright.claims.sentence.talk_scene import Scene
from linewright.games.api import pack_move, position_key
from linewright.lesson.spoken import numbered
from linewright.lesson.walk import Node, ReturnStep, Walk
from linewright.support.errors import UnusableInput
from linewright.talk.model import Unit

#: Words a minute of a trainer who shows moves (as :data:`linewright.publish.timing.RATE`; common practice: 120-160).
RATE: Final = 140
#: Half-moves shown before the lesson's own part, in a talk that never goes back: three moves name an opening.
UNBRANCHED_PLIES: Final = 6
#: Asks for a pupil who plays each of several moves shown as often as the others.
EITHER: Final = "either"


@dataclass(frozen=True, slots=True)
class ShownMove:
    """A move that a talk shows from a position.

    :param node: the walk's node that it leads to, when first shown.
    :param mistake: the talk shows it as one: nobody is to play it.
    """

    uci: str
    san: str
    node: int
    mistake: bool = False


@dataclass(frozen=True, slots=True)
class LessonIndex:
    """What a talk teaches.

    :param side: whose lesson it is.
    :param root: the first position of its own part, which coverage is counted from.
    :param moves: by position key, the moves shown, first shown first.
    :param seconds: by position key, the time spent from its arrival on the board to the next step.
    :param length: seconds of the whole talk.
    :param preferred: by position key, the move in UCI that the pupil follows where the talk shows several; the first
        one shown where none is named.
    :param either: the pupil plays each of several as often as the others.
    :param mistakes: the pupil's moves that are shown as mistakes: position key and packed move.
    """

    title: str
    source: str
    side: chess.Color
    root: chess.Board
    moves: Mapping[int, tuple[ShownMove, ...]]
    seconds: Mapping[int, float]
    length: float
    walk: Walk
    preferred: Mapping[int, str] = field(default_factory=dict)
    either: bool = False
    mistakes: frozenset[tuple[int, int]] = frozenset()

    def shown(self, board: chess.Board) -> tuple[ShownMove, ...]:
        return self.moves.get(position_key(board), ())

    def own(self, board: chess.Board) -> tuple[ShownMove, ...]:
        """The moves that the talk gives its pupil here, the one that is followed first; those shown as mistakes are
        none."""
        key = position_key(board)
        moves = [move for move in self.moves.get(key, ()) if not move.mistake]
        return tuple(sorted(moves, key=lambda move: move.uci != self.preferred.get(key, "")))

    def choices(self) -> Iterator[Node]:
        """The nodes below the root, each position once, in which the talk gives its pupil several moves."""
        seen: set[int] = set()
        for node in self.walk.nodes:
            board = chess.Board(node.fen)
            key = position_key(board)
            if board.turn == self.side and key not in seen and len(self.own(board)) > 1:
                seen.add(key)
                yield node

    def holds(self, board: chess.Board) -> bool:
        """Whether the talk shows the position at all."""
        return position_key(board) in self.moves


def index_lesson(
    walk: Walk,
    side: str = "",
    root: chess.Board | None = None,
    mistakes: Iterable[int] = (),
    follow: Sequence[str] = (),
) -> LessonIndex:
    """What a walk teaches.

    :param side: ``white`` or ``black``; the talk's own unless given, else the one that its words speak for.
    :param root: where coverage is counted from; the earliest position that the talk goes back to unless given.
    :param mistakes: the walk's nodes whose moves are called mistakes.
    :param follow: what the pupil plays where the talk shows several moves; see :func:`follow_moves`.
    :raises UnusableInput: where neither tells whose lesson it is, and for a move to follow that isn't shown.
    """
    named = side or walk.side
    if not named and (found := Scene(walk).side) is not None:
        named = "white" if found else "black"
    if named not in ("white", "black"):
        raise UnusableInput(
            f"{walk.talk.source}: the talk doesn't say whose lesson it is", "Write --as white or --as black."
        )
    wrong = frozenset(mistakes)
    moves: dict[int, dict[str, ShownMove]] = {}
    for node in walk.nodes:
        here = moves.setdefault(position_key(chess.Board(node.fen)), {})
        for child in node.children:
            after = walk.nodes[child]
            here.setdefault(after.uci, ShownMove(after.uci, after.san, child, child in wrong))
    times, length = _times(walk)
    talk = LessonIndex(
        walk.title,
        walk.talk.source,
        named == "white",
        root.copy(stack=False) if root else chess.Board(own_part(walk).fen),
        {key: tuple(shown.values()) for key, shown in moves.items()},
        times,
        length,
        walk,
        mistakes=frozenset(_mistakes(walk, wrong, named == "white")),
    )
    return follow_moves(talk, follow) if follow else talk


def _mistakes(walk: Walk, wrong: frozenset[int], side: chess.Color) -> Iterator[tuple[int, int]]:
    for node in walk.nodes:
        if node.id in wrong and node.parent is not None:
            board = chess.Board(walk.nodes[node.parent].fen)
            if board.turn == side:
                yield position_key(board), pack_move(chess.Move.from_uci(node.uci))


def follow_moves(talk: LessonIndex, follow: Sequence[str]) -> LessonIndex:
    """The talk for a pupil who follows certain moves of those shown.

    :param follow: moves, ``6.Nf3`` or ``Nf3``, or :data:`EITHER`.
    :raises UnusableInput: for a move that the talk nowhere shows beside another one of the pupil's.
    """
    preferred = dict(talk.preferred)
    choices = [(chess.Board(node.fen), talk.own(chess.Board(node.fen))) for node in talk.choices()]
    for wanted in follow:
        if wanted.lower() == EITHER:
            continue
        hits = [
            (board, move)
            for board, moves in choices
            for move in moves
            if wanted in (move.san, numbered(board.fen(), move.san))
        ]
        if not hits:
            shown = "; ".join(" or ".join(numbered(board.fen(), m.san) for m in moves) for board, moves in choices)
            raise UnusableInput(
                f"--follow {wanted}: {talk.source} nowhere gives its pupil this move beside another",
                f"It gives: {shown}." if shown else "It gives its pupil one move in each position: leave --follow out.",
            )
        preferred |= {position_key(board): move.uci for board, move in hits}
    return replace(talk, preferred=preferred, either=any(wanted.lower() == EITHER for wanted in follow))


def own_part(walk: Walk) -> Node:
    """The earliest position that the talk goes back to; without returns a position early on its one line."""
    back = [walk.nodes[step.node] for step in walk.steps if isinstance(step, ReturnStep) and step.node]
    if back:
        return min(back, key=lambda node: node.ply)
    node = walk.nodes[0]
    while node.children and node.ply < UNBRANCHED_PLIES:
        node = walk.nodes[node.children[0]]
    return node


def _times(walk: Walk) -> tuple[dict[int, float], float]:
    """Seconds by position, and of the whole; typed talks as if spoken at :data:`RATE` words a minute."""
    words = walk.talk.words
    timed = walk.talk.unit is Unit.SECONDS

    def at(word: int) -> float:
        if not timed:
            return word * 60 / RATE
        return words[word].start if word < len(words) else words[-1].end if words else 0.0

    found: dict[int, float] = {}
    for number, step in enumerate(walk.steps):
        until = walk.steps[number + 1].said.first if number + 1 < len(walk.steps) else len(words)
        key = position_key(chess.Board(walk.nodes[step.node].fen))
        found[key] = found.get(key, 0.0) + max(at(until) - at(step.said.first), 0.0)
    return found, at(len(words))
