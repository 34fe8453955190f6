"""The part of a walk that is the lesson's own, and what the talk says there."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cached_property

import chess

from linewright.claims.sentence.named_moves import mentions
from linewright.claims.sentence.talk_scene import Scene, position_key
from linewright.claims.sentence.words import Sentence
from linewright.language.wordings import wording
from linewright.lesson.spoken import numbered
from linewright.lesson.walk import SURE, MoveStep, Node

#: Half-moves from the start up to which a line is opening; beyond, a quoted game runs on with its players' mistakes.
OPENING_PLIES = 40
#: PGN's glyphs of moves that the trainer calls bad or doubtful (PGN standard, 10: $2, $4, $6).
BAD_NAGS = frozenset({2, 4, 6})


class Scope:
    """A scene narrowed to the lesson's own part: what comes after the first position that the talk goes back to."""

    def __init__(self, scene: Scene) -> None:
        self.scene = scene
        self.nodes = scene.walk.nodes

    @cached_property
    def first_ply(self) -> int:
        """Half-moves before the lesson's own part begins: the way to the earliest position that is returned to; in a
        talk without returns, to its last position, so that nothing is the lesson's own."""
        back = [self.nodes[step.node].ply for step in self.scene.walk.returns if step.node]
        return min(back) if back else max((node.ply for node in self.nodes), default=0)

    @cached_property
    def own(self) -> tuple[Node, ...]:
        """The nodes of the lesson's own part, the branch point included, surely read and still opening."""
        return tuple(
            node
            for node in self.nodes
            if node.step is not None
            and self.first_ply <= node.ply <= OPENING_PLIES
            and self.scene.walk.certainties[node.id] >= SURE
        )

    def board(self, node: Node) -> chess.Board:
        return chess.Board(node.fen)

    def shown_from(self, node: Node) -> frozenset[str]:
        """The moves, as UCI, that the walk shows from a node's position, reached by whatever order."""
        key = self._keys[node.id]
        same = (other for other in self.nodes if self._keys[other.id] == key)
        return frozenset(self.nodes[child].uci for other in same for child in other.children)

    def step(self, node: Node) -> MoveStep | None:
        """The step that first played a node's move; None for the start."""
        step = self.scene.walk.steps[node.step] if node.step is not None else None
        return step if isinstance(step, MoveStep) else None

    def sure(self, node: Node) -> bool:
        """Whether all replies that the talk shows from a node are surely read: an unsure one may be the one missed."""
        children = (self.step(self.nodes[child]) for child in node.children)
        return all(step is not None and step.sure >= SURE for step in children)

    def named(self, node: Node) -> str:
        """A node's move with its number: ``12…Qb6``."""
        parent = self.nodes[node.parent] if node.parent is not None else None
        return numbered(parent.fen, node.san) if parent is not None else ""

    def silent(self, node: Node, move: chess.Move) -> bool:
        """Whether a move from a node's position is neither played nor so much as named while it, or a reply to it,
        stands."""
        board = self.board(node)
        for sentence in self._sentences_at(node):
            for mention in mentions(sentence.tokens, 0, len(sentence.tokens), sentence.language):
                if move in mention.fits(board):
                    return False
        return True

    def condemned(self, node: Node) -> bool:
        """Whether the talk calls a node's move bad, by a glyph or by its words in this sentence or the next."""
        step = self.step(node)
        if step is None or step.nag in BAD_NAGS:
            return True
        return self.says_around("blame", step)

    def says_around(self, hint: str, step: MoveStep) -> bool:
        """Whether a hint of the wording stands in the sentence that plays a move, the one before or the next."""
        sentences = self.scene.sentences
        at = [i for i, s in enumerate(sentences) if s.tokens[0].first < step.said.last <= s.tokens[-1].last]
        around = sentences[max(0, at[0] - 1) : at[0] + 2] if at else ()
        said = wording("claims/unasked", self.scene.language)
        return any(said.hint(hint, s.text) for s in around)

    @cached_property
    def _keys(self) -> tuple[str, ...]:
        return tuple(position_key(node.fen) for node in self.nodes)

    def _sentences_at(self, node: Node) -> Iterator[Sentence]:
        """The sentences during which a node's position or one a move later stands on the board, the ones that say
        its replies too."""
        steps, key = self.scene.walk.steps, self._keys[node.id]
        spans = []
        for index, step in enumerate(steps):
            parent = self.nodes[step.node].parent
            if key in (self._keys[step.node], self._keys[parent] if parent is not None else ""):
                end = steps[index + 1].said.last if index + 1 < len(steps) else len(self.scene.walk.talk.words)
                spans.append((step.said.first, end))
        for sentence in self.scene.sentences:
            low, high = sentence.tokens[0].first, sentence.tokens[-1].last
            if any(low < end and high > start for start, end in spans):
                yield sentence
