"""The walk: the ordered steps of a lesson over a tree of moves, with the words that state them."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property

import chess

from linewright.talk.model import Place, Talk

#: A move at or above this probability is called sure; below it the reading shows its alternatives.
#: Set by the reliability table of ``bench/bench_reading.py``: sure moves are right in at least 98 of 100 cases.
SURE = 0.9


@dataclass(frozen=True, slots=True)
class Said:
    """The words of a step, an unread place or a claim.

    :param first: index of the first word in the talk.
    :param last: index after the last word; ``first == last`` when nothing was said (an implied return).
    :param words: the talk's text of these words.
    :param start: seconds or characters, see ``Talk.unit``.
    :param end: as ``start``.
    :param place: where the first word stands in the source file.
    """

    first: int
    last: int
    words: str
    start: float
    end: float
    place: Place


@dataclass(frozen=True, slots=True)
class Alternative:
    """Another move that the words may have meant."""

    san: str
    uci: str
    sure: float


@dataclass(frozen=True, slots=True)
class MoveStep:
    """A move played on the lesson's board; one that went unsaid has no words and is never sure.

    :param node: the tree's node that the move leads to.
    :param parent: the tree's node that it is played from.
    :param before: full FEN before the move.
    :param after: full FEN after it.
    :param sure: probability that the reading is right, 0-1.
    :param instead: other moves the words may have meant, likeliest first.
    :param nag: a symbol written with the move as its PGN number (``!`` 1, ``?`` 2 … ``?!`` 6), else None.
    :param given: the lesson begins, or goes on, further down a known opening: nobody said this move.
    """

    said: Said
    san: str
    uci: str
    before: str
    after: str
    parent: int
    node: int
    sure: float = 1.0
    instead: tuple[Alternative, ...] = ()
    nag: int | None = None
    given: bool = False


@dataclass(frozen=True, slots=True)
class ReturnStep:
    """Going back to an earlier position, or across to another branch.

    :param to: full FEN of the position returned to.
    :param node: its node in the tree.
    """

    said: Said
    to: str
    node: int
    sure: float = 1.0


Step = MoveStep | ReturnStep


@dataclass(frozen=True, slots=True)
class Unread:
    """Words that look like a move but fit no position, with the reason.

    :param further: how many more such places follow in a row: the line breaks here, and they are what comes of it.
    """

    said: Said
    why: str
    further: int = 0


@dataclass(frozen=True, slots=True)
class BoardMark:
    """A printer's mark on the board.

    :param shape: ``ring``, ``dot``, ``cross`` (one square) or ``path`` (two).
    :param squares: square names, e.g. ``("e5",)`` or ``("f3", "e5")``.
    :param step: how many steps of the walk are done when it appears.
    :param place: where it stands in the source file.
    """

    shape: str
    squares: tuple[str, ...]
    step: int
    place: Place


@dataclass(frozen=True, slots=True)
class Opening:
    """Name and ECO code of the deepest catalogued position that a walk's first line reaches."""

    eco: str
    name: str

    @property
    def text(self) -> str:
        """``Caro-Kann Panov (B13)``."""
        return f"{self.name} ({self.eco})"


@dataclass(frozen=True, slots=True)
class Node:
    """A position of the lesson's tree.

    :param id: its index in :attr:`Walk.nodes`; parents come before children.
    :param parent: id of the node before the move, None for the start.
    :param uci: the move that leads here, ``""`` for the start.
    :param san: as ``uci``, in standard algebraic notation.
    :param fen: full FEN of the position.
    :param ply: half-moves from the start position of the walk.
    :param step: index of the step that first led here, None for the start.
    """

    id: int
    parent: int | None
    uci: str
    san: str
    fen: str
    ply: int
    step: int | None
    children: tuple[int, ...]


@dataclass(frozen=True)
class Walk:
    """The reading of a talk: moves and returns in the order in which they were said.

    :param start: full FEN of the position the walk starts from.
    :param side: ``"white"``, ``"black"`` or ``""``: the side the lesson is for, where the talk says so.
    """

    talk: Talk
    steps: tuple[Step, ...]
    start: str = chess.STARTING_FEN
    side: str = ""
    unread: tuple[Unread, ...] = ()
    marks: tuple[BoardMark, ...] = ()
    opening: Opening | None = None

    @property
    def title(self) -> str:
        return self.talk.title

    @property
    def moves(self) -> tuple[MoveStep, ...]:
        return tuple(s for s in self.steps if isinstance(s, MoveStep))

    @property
    def returns(self) -> tuple[ReturnStep, ...]:
        return tuple(s for s in self.steps if isinstance(s, ReturnStep))

    @cached_property
    def nodes(self) -> tuple[Node, ...]:
        """The lesson's tree; node 0 is the start, the first child of a node is the first one said."""
        rows: dict[int, tuple[int | None, str, str, str, int, int | None]] = {0: (None, "", "", self.start, 0, None)}
        children: dict[int, list[int]] = {0: []}
        for index, step in enumerate(self.steps):
            if isinstance(step, MoveStep) and step.node not in rows:
                ply = rows[step.parent][4] + 1
                rows[step.node] = (step.parent, step.uci, step.san, step.after, ply, index)
                children[step.node] = []
                children[step.parent].append(step.node)
        return tuple(Node(i, *rows[i], tuple(children[i])) for i in sorted(rows))

    @cached_property
    def certainties(self) -> tuple[float, ...]:
        """For each node the probability (0-1) that its position was really on the trainer's board.

        A move is right only on the right board, so that what was surely read further down a line vouches for the moves
        above it: the highest ``sure`` of the move that leads to the node and of those below it. Of boards at
        :data:`SURE` or above 99 in 100 are right, of those from 0.8 to 0.9 some 80 (``bench/golden.py``'s talks).
        """
        best = [0.0] * len(self.nodes)
        for step in self.moves:
            best[step.node] = max(best[step.node], step.sure)
        for node in reversed(self.nodes):  # parents come before their children
            if node.parent is not None:
                best[node.parent] = max(best[node.parent], best[node.id])
        return (1.0, *best[1:])

    def certainty(self, steps: int) -> float:
        """The probability that the board is right when ``steps`` steps are done; a return just made counts too."""
        if not steps:
            return 1.0
        step = self.steps[steps - 1]
        here = self.certainties[step.node]
        return min(here, step.sure) if isinstance(step, ReturnStep) and step.said.words else here

    def unsettled_at(self, steps: int) -> int | None:
        """The index in :attr:`steps` of the step that has to be settled before the board after ``steps`` steps is sure:
        the first on the line from which on it isn't, else the return just made; None where the board is sure."""
        if self.certainty(steps) >= SURE:
            return None
        for node in self.line(self.node_after(steps)):
            index = self.nodes[node].step
            if self.certainties[node] < SURE and index is not None:
                return index
        return steps - 1

    def node_after(self, steps: int) -> int:
        """The node on the board when ``steps`` steps are done."""
        return self.steps[steps - 1].node if steps else 0

    def step_at(self, word: int) -> int:
        """How many steps are done when word number ``word`` is being said.

        A step counts as done from the word after its last one on.
        """
        done = 0
        for index, step in enumerate(self.steps):
            if step.said.last <= word:
                done = index + 1
        return done

    def line(self, node: int) -> tuple[int, ...]:
        """Node ids from the start (left out) to ``node``."""
        ids: list[int] = []
        at: int | None = node
        while at:
            ids.append(at)
            at = self.nodes[at].parent
        return tuple(reversed(ids))

    def before(self, node: int) -> str:
        """FEN of the position in which the move to a node is made; for the start, its own."""
        return self.nodes[self.nodes[node].parent or 0].fen

    def moves_to(self, node: int) -> tuple[str, ...]:
        """The moves from the start to a node, in UCI."""
        return tuple(self.nodes[at].uci for at in self.line(node))

    def written(self, nodes: Iterable[int]) -> list[tuple[str, str]]:
        """The moves that lead to some nodes: the FEN before each, and its SAN."""
        return [(self.before(node), self.nodes[node].san) for node in nodes]
