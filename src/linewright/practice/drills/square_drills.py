"""Drills on what the board shows: tap the weak pawns, the open files; say who holds a file."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

import chess

from linewright.board.naming import side_name
from linewright.board.structure import open_files, pawns, squares
from linewright.board.structure.named_structures import structures
from linewright.lesson.finding import Finding, Kind, Verdict
from linewright.lesson.walk import Node, Walk
from linewright.practice.drills.choices import chosen
from linewright.practice.drills.drill import Drill, Task, drill_id

#: Half-moves into the game before which the pawns have not taken shape.
EARLIEST = 10
#: Questions about one position: more are tiring, and the second answer often shows through the first.
MOST = 2
#: Squares to tap at most: more is counting, not seeing.
MOST_SQUARES = 4

_OTHER_NAMES = (
    "isolated queen's pawn", "hanging pawns", "Carlsbad structure", "Stonewall", "hedgehog", "Maroczy bind",
    "Benoni structure", "Slav structure", "symmetric structure", "Scheveningen structure",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class _Trait:
    """What can be tapped.

    :param asked: the question for a side's pawns or squares.
    :param find: the squares.
    """

    name: str
    asked: str
    find: Callable[[chess.Board, chess.Color], tuple[chess.Square, ...]]


#: By weight: what is rare and decides plans comes first. Definitions are the board's own (``board/pawns.py``).
_TRAITS = (
    _Trait("isolated", "Which {side} pawn is isolated?", pawns.isolated),
    _Trait("hanging", "Tap {side}'s hanging pawns.", pawns.hanging_pawns),
    _Trait("passed", "Which {side} pawn is a passed pawn?", pawns.passed),
    _Trait("backward", "Which {side} pawn is backward?", pawns.backward),
    _Trait("doubled", "Which {side} pawns are doubled?", pawns.doubled),
    _Trait(
        "outpost",
        "Tap the {side} man that stands on an outpost.",
        lambda board, color: tuple(
            o.square for o in squares.outposts(board, color) if board.color_at(o.square) == color
        ),
    ),
)


def square_drills(walk: Walk, findings: Sequence[Finding], side: chess.Color) -> Iterator[Drill]:
    """Questions about what the board shows, where the talk speaks of it truly or where one of its lines ends."""
    for node in worth_looking_at(walk, findings):
        yield from (drill for drill, _ in zip(_of(walk, node, side), range(MOST), strict=False))


def worth_looking_at(walk: Walk, findings: Sequence[Finding]) -> tuple[Node, ...]:
    """Positions that the talk makes true claims about (structure, files), and the ends of its lines."""
    kinds = {Kind.STRUCTURE, Kind.FILES}
    claimed = {f.before for f in findings if f.kind in kinds and f.verdict is Verdict.HOLDS}
    return tuple(
        node
        for node in walk.nodes
        if node.ply >= EARLIEST and (node.fen in claimed or not node.children) and not chess.Board(node.fen).is_check()
    )


def _of(walk: Walk, node: Node, side: chess.Color) -> Iterator[Drill]:
    board = chess.Board(node.fen)
    for trait in _TRAITS:
        for color in (side, not side):
            found = trait.find(board, color)
            if 0 < len(found) <= MOST_SQUARES:
                asked = _plural(trait.asked.format(side=side_name(color)), len(found))
                names = tuple(map(chess.square_name, found))
                yield replace(_question(walk, node, side, f"{trait.name} {side_name(color)}", asked), squares=names)
    opened = open_files.open_files(board)
    if 0 < len(opened) <= 2:
        asked = "Tap a square on the open file." if len(opened) == 1 else "Tap a square on each open file."
        names = tuple(chess.FILE_NAMES[f] + "4" for f in opened)
        yield replace(_question(walk, node, side, "open files", asked), squares=names, whole_files=True)
    yield from _holder(walk, node, side, board)
    yield from _structure(walk, node, side, board)


def _holder(walk: Walk, node: Node, side: chess.Color, board: chess.Board) -> Iterator[Drill]:
    for file in open_files.open_files(board):
        holder = open_files.held_by(board, file)
        if holder is not None:
            asked = f"Who holds the {chess.FILE_NAMES[file]}-file?"
            names = ("White", "Black", "nobody")
            right = 0 if holder == chess.WHITE else 1
            yield replace(_question(walk, node, side, f"holds {file}", asked), choices=names, right=right)


def _structure(walk: Walk, node: Node, side: chess.Color, board: chess.Board) -> Iterator[Drill]:
    standing = [str(named.structure) for named in structures(board)]
    if standing:
        others = [name for name in _OTHER_NAMES if name not in standing]
        choices, right = chosen(standing[0], others, node.fen)
        question = _question(walk, node, side, "structure", "What is this pawn structure called?")
        yield replace(question, choices=choices, right=right)


def _plural(asked: str, count: int) -> str:
    """The question in the number that fits, without giving away how many there are beyond one."""
    if count == 1:
        return asked.replace("pawns are", "pawn is")
    return (
        asked.replace("pawn is a passed pawn", "pawns are passed pawns")
        .replace("pawn is", "pawns are")
        .replace("the white man that stands on an outpost", "the white men that stand on outposts")
        .replace("the black man that stands on an outpost", "the black men that stand on outposts")
    )


def _question(walk: Walk, node: Node, side: chess.Color, detail: str, asked: str) -> Drill:
    """A question about a position, still without its answer."""
    return Drill(
        drill_id(Task.SQUARES, node.fen, side_name(side), detail),
        Task.SQUARES,
        node.fen,
        side_name(side),
        asked,
        line=walk.moves_to(node.id),
        start=walk.start,
    )
