"""What games and engine say of a position, as a page shows it."""

from __future__ import annotations

from linewright.support.page_messages import Message, ToPage


class ReplyShown(Message):
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


class Replies(ToPage, tag="replies"):
    """The replies to a position; ``trouble`` says why there are none.

    :param opening: the position's name, ``""`` without one.
    :param turn: ``White`` or ``Black``.
    :param more: replies that are not shown.
    :param note: where the figures are from, when they are not the trainer's own.
    """

    fen: str
    opening: str
    total: int = 0
    turn: str = ""
    more: int = 0
    replies: tuple[ReplyShown, ...] = ()
    note: str = ""
    trouble: str = ""


class ModelGame(Message):
    """A game worth showing: its next moves in figurines (``line``) and UCI, and why it is."""

    heading: str
    result: str
    line: str
    moves: tuple[str, ...]
    why: str


class Models(ToPage, tag="models"):
    """Games worth showing from a position."""

    fen: str
    models: tuple[ModelGame, ...] = ()
    trouble: str = ""


class EngineLine(Message):
    """A line with its score, as books print both."""

    score: str
    line: str


class EngineLook(ToPage, tag="engine"):
    """The engine's sign for a position, with words and lines."""

    fen: str
    sign: str = ""
    words: str = ""
    evidence: str = ""
    lines: tuple[EngineLine, ...] = ()
    trouble: str = ""


class QuotedGame(Message):
    """A game that words may mean: how likely (0-1), and what is said otherwise than it was."""

    heading: str
    result: str
    likely: float
    fits: bool
    differences: tuple[str, ...]


class Quoted(ToPage, tag="quoted"):
    """The games that words may mean, the likeliest first."""

    games: tuple[QuotedGame, ...] = ()
    trouble: str = ""
