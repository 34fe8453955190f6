"""What a manuscript's page asks of the desk."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any, Literal


@dataclass(frozen=True, slots=True)
class ReadText:
    """Read this text; answered with ``peek``, ``walk``, ``findings`` and ``map`` of that serial.

    :param serial: goes up with each text of a page.
    """

    do: Literal["text"] = field(default="text", init=False)
    serial: int
    text: str


@dataclass(frozen=True, slots=True)
class SaveText:
    """Save this text; answered with ``saved`` or ``conflict``.

    :param base: the version of the file that it was made from, ``""`` for a new one.
    """

    do: Literal["save"] = field(default="save", init=False)
    serial: int
    text: str
    base: str


@dataclass(frozen=True, slots=True)
class ShowEvidence:
    """What games and engine say of a position; answered with ``replies`` at once, then ``models`` and ``engine``.

    :param side: whose lesson it is, ``white`` or ``black``; ``""`` when nobody said.
    """

    do: Literal["evidence"] = field(default="evidence", init=False)
    fen: str
    side: str = ""


@dataclass(frozen=True, slots=True)
class FindQuote:
    """Which games these words may mean; answered with ``quoted``."""

    do: Literal["quote"] = field(default="quote", init=False)
    words: str


@dataclass(frozen=True, slots=True)
class SettlePlace:
    """The doubtful place that begins at a word of the text read last; answered with ``question``, or ``settled``.

    :param answer: as :mod:`linewright.settle.machine` takes it; None only to look.
    """

    do: Literal["ask"] = field(default="ask", init=False)
    first: int
    answer: Any = None


@dataclass(frozen=True, slots=True)
class SpellMoves:
    """Moves (UCI) from a position as the trainer writes them; answered with ``spelled``."""

    do: Literal["spell"] = field(default="spell", init=False)
    fen: str
    moves: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class CheckText:
    """Let the engine judge the text read last; answered with ``job``. Read again, its verdicts count."""

    do: Literal["check"] = field(default="check", init=False)


@dataclass(frozen=True, slots=True)
class CorrectPhrase:
    """A dictated phrase as it should read; answered with ``corrected``.

    :param number: comes back with it.
    :param fen: the position on the board when it was said.
    """

    do: Literal["correct"] = field(default="correct", init=False)
    number: int
    words: str
    fen: str


FromManuscript = ReadText | SaveText | ShowEvidence | FindQuote | SettlePlace | SpellMoves | CheckText | CorrectPhrase
