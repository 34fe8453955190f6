"""Going back: the positions told so far, and how likely each is to be the one that the trainer returns to."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

from linewright.reading import weights
from linewright.reading.context import Gap
from linewright.reading.phrases import Phrase
from linewright.reading.positions import NUMBER_WRONG, Position

#: Log-odds that a written move number gives for (or, when it is the next one, against) a return.
NUMBER_SPEAKS = 6.0


@dataclass(frozen=True, slots=True)
class Mark:
    """A light mark that steers the walk: ``{here: A}`` or ``{back: A}``.

    :param phrases: the moves that its value may name.
    """

    name: str
    value: str
    phrases: tuple[Phrase, ...] = ()


class Node(NamedTuple):
    """A position of one reading's tree."""

    position: Position
    parent: int
    uci: str


def child_of(tree: tuple[Node, ...], parent: int, uci: str) -> int | None:
    """Tree index of the position that a move leads to, when it was told before."""
    for index in range(parent + 1, len(tree)):
        if tree[index].parent == parent and tree[index].uci == uci:
            return index
    return None


def number_odds(position: Position, number: tuple[int, bool] | None) -> float:
    """Log-odds for a return: a written move number that is not the next one announces it."""
    if number is None:
        return 0.0
    following = number[0] == position.board.fullmove_number and (number[1] or not position.board.turn)
    return -NUMBER_SPEAKS if following else NUMBER_SPEAKS


def numbered(tree: tuple[Node, ...], scores: list[float], number: tuple[int, bool]) -> list[float]:
    """The scores of positions to go back to, given the move number that was written with the next move."""
    fits = [n.position.board.fullmove_number == number[0] and (number[1] or not n.position.board.turn) for n in tree]
    told = [s + (0.0 if fit else -NUMBER_SPEAKS) for s, fit in zip(scores, fits, strict=True)]
    total = math.log(sum(math.exp(s) for s in told)) if any(s > -math.inf for s in told) else 0.0
    return [s - total for s in told]


def led_by(tree: tuple[Node, ...], index: int, phrase: Phrase) -> bool:
    """The move that led to tree position ``index`` fits the phrase."""
    node = tree[index]
    if node.parent < 0:
        return False
    return any(m.legal.uci == node.uci for m in tree[node.parent].position.matches(phrase))


def target_scores(tree: tuple[Node, ...], at: int, gap: Gap) -> list[float]:
    """Log-probability of each position of the tree to be the one gone back to from position ``at``."""
    table = weights.load()["target"]
    scores = [sum(table[n] * x for n, x in f.items()) for f in target_features(tree, at, gap)]
    scores[at] = -math.inf
    top = max(scores)
    total = top + math.log(sum(math.exp(s - top) for s in scores))
    return [s - total for s in scores]


def target_features(tree: tuple[Node, ...], at: int, gap: Gap) -> list[dict[str, float]]:
    """For each position of the tree, the "target" features that speak for going back to it."""
    back: dict[int, int] = {}
    steps, index = 0, at
    while index >= 0:
        back[index] = steps
        index, steps = tree[index].parent, steps + 1
    children: dict[int, list[str]] = {}
    for node in tree[1:]:
        children.setdefault(node.parent, []).append(node.uci)
    out = []
    for index in range(len(tree)):
        features: dict[str, float] = {}
        if index in back:
            features["each ply back"] = float(back[index])
        else:
            features["other branch"] = 1.0
        if len(children.get(index, ())) > 1:
            features["gone back to before"] = 1.0
        for phrase in gap.named:
            name = _naming(tree, index, children.get(index, ()), phrase, gap)
            features[name] = features.get(name, 0.0) + 1.0
        out.append(features)
    return out


def _naming(tree: tuple[Node, ...], index: int, children: Sequence[str], phrase: Phrase, gap: Gap) -> str:
    """In what way, if any, a phrase said in passing names a position of the tree."""
    position = tree[index].position
    if children and any(m.legal.uci in children for m in position.matches(phrase)):
        return "named by a move not played" if phrase in gap.negated else "named by a move from it"
    if led_by(tree, index, phrase):
        return "named by its move"
    if phrase.to and not phrase.takes:
        piece = position.board.piece_at(_SQUARES[phrase.to])
        if piece is not None and phrase.piece in ("", piece.symbol().upper()):
            return "named by a piece on it"
    return "named otherwise"


def resolve(tree: tuple[Node, ...], names: Sequence[tuple[str, int]], mark: Mark) -> int | None:
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


_SQUARES = {f + r: ord(f) - 97 + 8 * (int(r) - 1) for f in "abcdefgh" for r in "12345678"}
