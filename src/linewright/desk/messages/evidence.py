"""What games and engine say of a position, as a page shows it."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal


@dataclass(frozen=True, slots=True)
class ReplyShown:
    """A reply's figures: ``share`` of games, ``score`` of the side to move with its likely range, all 0-1.

    :param scored: games with a result; :param year: of the last one, None when unknown.
    """

    uci: str
    fig: str
    ear: str
    games: int
    share: float
    score: float
    low: float
    high: float
    scored: int
    year: int | None


@dataclass(frozen=True, slots=True)
class Replies:
    """The replies to a position; ``trouble`` says why there are none.

    :param opening: the position's name, ``""`` without one.
    :param turn: ``White`` or ``Black``.
    :param more: replies that are not shown.
    :param note: where the figures are from, when they are not the trainer's own.
    """

    what: Literal["replies"] = field(default="replies", init=False)
    fen: str
    opening: str
    total: int = 0
    turn: str = ""
    more: int = 0
    replies: tuple[ReplyShown, ...] = ()
    note: str = ""
    trouble: str = ""


@dataclass(frozen=True, slots=True)
class ModelGame:
    """A game worth showing: its next moves in figurines (``line``) and UCI, and why it is."""

    heading: str
    result: str
    line: str
    moves: tuple[str, ...]
    why: str


@dataclass(frozen=True, slots=True)
class Models:
    """Games worth showing from a position."""

    what: Literal["models"] = field(default="models", init=False)
    fen: str
    models: tuple[ModelGame, ...] = ()
    trouble: str = ""


@dataclass(frozen=True, slots=True)
class EngineLine:
    """A line with its score, as books print both."""

    score: str
    line: str


@dataclass(frozen=True, slots=True)
class EngineLook:
    """The engine's sign for a position, with words and lines."""

    what: Literal["engine"] = field(default="engine", init=False)
    fen: str
    sign: str = ""
    words: str = ""
    evidence: str = ""
    lines: tuple[EngineLine, ...] = ()
    trouble: str = ""


@dataclass(frozen=True, slots=True)
class QuotedGame:
    """A game that words may mean: how likely (0-1), and what is said otherwise than it was."""

    heading: str
    result: str
    likely: float
    fits: bool
    differences: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Quoted:
    """The games that words may mean, the likeliest first."""

    what: Literal["quoted"] = field(default="quoted", init=False)
    games: tuple[QuotedGame, ...] = ()
    trouble: str = ""
