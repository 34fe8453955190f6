"""Going back: the positions shown so far, and how likely each is to be the one that the trainer returns to."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from linewright.reading.phrases.context import Interlude
from linewright.reading.phrases.phrase import Phrase
from linewright.reading.search import weights
from linewright.reading.search.positions import NUMBER_WRONG, Position

#: Log-odds that a written, or spoken, move number gives for (or, when it is the next one, against) a return.
NUMBER_SPEAKS = 6.0
NUMBER_SPOKEN = 2.5

#: The "target" weight of a position that a phrase names by the move that led to it.
BY_ITS_MOVE = "named by its move"


@dataclass(frozen=True, slots=True)
class Mark:
    """A light mark that steers the walk: ``{here: A}`` or ``{back: A}``.

    :param phrases: the moves that its value may name.
    """

    name: str
    value: str
    phrases: tuple[Phrase, ...] = ()


class TreeNode(NamedTuple):
    """A position of one reading's tree."""

    position: Position
    parent: int
    uci: str


def child_of(tree: tuple[TreeNode, ...], parent: int, uci: str) -> int | None:
    """Tree index of the position that a move leads to, when it was said before."""
    for index in range(parent + 1, len(tree)):
        if tree[index].parent == parent and tree[index].uci == uci:
            return index
    return None


class NextNumber(NamedTuple):
    """A move number said with the next move, or on the way to it.

    :param black: it is said to be Black's, as in ``4...``; otherwise either side's move may follow.
    :param nats: how much it weighs.
    """

    value: int
    black: bool
    nats: float

    def fits(self, position: Position) -> bool:
        """The next move from the position has this number."""
        board = position.board
        return board.fullmove_number == self.value and not (self.black and board.turn)


def number_odds(position: Position, number: NextNumber | None) -> float:
    """Log-odds for a return: a move number that is not the next one announces it."""
    if number is None:
        return 0.0
    return -number.nats if number.fits(position) else number.nats


def numbered(tree: tuple[TreeNode, ...], scores: list[float], number: NextNumber) -> list[float]:
    """The scores of positions to go back to, given the move number that was said with the next move."""
    weighed = [s + (0.0 if number.fits(n.position) else -number.nats) for s, n in zip(scores, tree, strict=True)]
    total = math.log(sum(math.exp(s) for s in weighed)) if any(s > -math.inf for s in weighed) else 0.0
    return [s - total for s in weighed]


def led_by(tree: tuple[TreeNode, ...], index: int, phrase: Phrase) -> bool:
    """The move that led to tree position ``index`` fits the phrase."""
    node = tree[index]
    return node.parent >= 0 and node.uci in tree[node.parent].position.fits(phrase)


def names_said_move(tree: tuple[TreeNode, ...], phrase: Phrase) -> bool:
    """The phrase names, with its square, a move of the tree so far."""
    return bool(phrase.to) and any(led_by(tree, index, phrase) for index in range(1, len(tree)))


def target_scores(
    tree: tuple[TreeNode, ...], at: int, gap: Interlude, table: Mapping[str, float] | None = None
) -> list[float]:
    """Log-probability of each position of the tree to be the one gone back to from position ``at``.

    :param table: "target" weights; those of English unless given.
    """
    scores = target_odds(tree, at, gap, weights.load()["target"] if table is None else table)
    scores[at] = -math.inf
    top = max(scores)
    parts = {score: math.exp(score - top) for score in set(scores)}  # most positions are as likely as others
    total = top + math.log(math.fsum([parts[score] for score in scores]))
    return [score - total for score in scores]


def target_odds(tree: tuple[TreeNode, ...], at: int, gap: Interlude, table: Mapping[str, float]) -> list[float]:
    """For each position of the tree, the sum of the "target" weights that speak for going back to it; linear in
    ``table``, so that a table of a single 1 shows one feature."""
    scores = [table["other branch"]] * len(tree)
    steps, index = 0, at
    while index >= 0:
        scores[index] = table["each ply back"] * steps
        index, steps = tree[index].parent, steps + 1
    children = Counter([node.parent for node in tree])
    if len(children) < len(tree):
        for index, count in children.items():
            if count > 1:
                scores[index] += table["gone back to before"]
    for phrase in gap.named:
        names = _naming(tree, phrase, phrase in gap.negated)
        scores = [score + table[name] for score, name in zip(scores, names, strict=True)]
    return scores


def _naming(tree: tuple[TreeNode, ...], phrase: Phrase, negated: bool) -> list[str]:
    """In what way, if any, a phrase said in passing names each position of the tree."""
    known = [node.position.namings.get(phrase) for node in tree]
    names = [name or _named(tree, node, phrase) for name, node in zip(known, tree, strict=True)]
    if BY_ITS_MOVE in names:
        by_a_move = "named by a move not played" if negated else "named by a move from it"
        for parent in [node.parent for node, name in zip(tree, names, strict=True) if name == BY_ITS_MOVE]:
            names[parent] = by_a_move
    return names


def _named(tree: tuple[TreeNode, ...], node: TreeNode, phrase: Phrase) -> str:
    """In what way a phrase names a position by what led to it or stands on it; the position remembers it."""
    position = node.position
    if node.parent >= 0 and node.uci in tree[node.parent].position.fits(phrase):
        name = BY_ITS_MOVE
    else:
        name = "named by a piece on it" if position.shows(phrase) else "named otherwise"
    position.namings[phrase] = name
    return name


def resolve(tree: tuple[TreeNode, ...], names: Sequence[tuple[str, int]], mark: Mark) -> int | None:
    """The tree position that a ``{back: …}`` mark means: a name, ``start``, or the move that led to it."""
    for name, index in reversed(names):
        if name == mark.value:
            return index
    if mark.value.lower() == "start":
        return 0
    for index in range(len(tree) - 1, 0, -1):
        node = tree[index]
        for phrase in mark.phrases:
            fits = (m for m in tree[node.parent].position.matches(phrase))
            if any(m.legal.uci == node.uci and m.cost < NUMBER_WRONG for m in fits):
                return index
    return None
