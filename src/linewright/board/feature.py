"""Features: what a position shows, each with the squares it is seen on and a sentence that says it."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Final

import chess

from linewright.board.structure.pawns import Squares


class Topic(StrEnum):
    MATERIAL = "material"
    PAWNS = "pawns"
    STRUCTURE = "structure"
    FILES = "files"
    CENTRE = "centre"
    DEVELOPMENT = "development"
    SQUARES = "squares"
    BISHOPS = "bishops"
    KING = "king"
    TACTICS = "tactics"
    THREATS = "threats"


@dataclass(frozen=True, slots=True)
class Feature:
    """One thing that a position shows.

    :param topic: the part of the game it belongs to.
    :param name: the trade's word for it, e.g. ``isolated pawn``.
    :param color: whose it is; None when it is both sides' or nobody's.
    :param squares: where it is seen, for marks on a diagram; may be empty.
    :param words: it in words, a clause without capital and full stop: ``the black pawn on d5 is isolated``.
    """

    topic: Topic
    name: str
    color: chess.Color | None
    squares: Squares
    words: str

    @property
    def weight(self) -> int:
        """How much it is worth saying, 0-100; see ``WEIGHTS``."""
        return WEIGHTS.get(self.name, 0)


#: How much a feature is worth saying, 0-100, by its name: what decides games at once before what lasts, what lasts
#: before what is seen at a glance. Only the order matters; common practice and our judgement.
WEIGHTS: Final[dict[str, int]] = {
    "mate": 100, "hanging": 90, "threat": 85, "chance": 84, "fork": 82, "skewer": 80, "trapped": 79,
    "king stuck in the centre": 78, "structure": 75, "isolated pawn": 70, "hanging pawns": 70, "absolute pin": 68,
    "discovered check": 67, "protected passed pawn": 66, "passed pawn": 64, "material": 62, "overloaded": 61,
    "backward pawn": 60, "classical centre": 58, "outpost": 56, "relative pin": 55, "development": 54,
    "bad bishop": 52, "bishop pair": 51, "opposite-coloured bishops": 50, "lost castling": 49, "open file": 48,
    "doubled pawns": 47, "tripled pawns": 47, "centre": 46, "hole": 45, "discovered attack": 44,
    "half-open file": 42, "bare king": 40, "line to the king": 38, "space": 36, "pawn majority": 34,
    "blockaded pawn": 33, "pawn chain": 32, "good bishop": 28, "pawn islands": 24, "castled": 20,
    "may castle": 15, "break": 14,
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Features:
    """Everything that a position shows, topic by topic.

    :param fen: the position.
    :param all: the features, in the order of :class:`Topic`, white's before black's.
    """

    fen: str
    all: tuple[Feature, ...]

    def of(self, topic: Topic, color: chess.Color | None = None) -> tuple[Feature, ...]:
        """The features of a topic; with ``color``, only that side's."""
        return tuple(f for f in self.all if f.topic is topic and color in (None, f.color))

    def top(self, most: int) -> tuple[Feature, ...]:
        """The features most worth saying, heaviest first."""
        return tuple(sorted(self.all, key=lambda feature: -feature.weight)[:most])
