"""What a manuscript's page asks of the desk."""

from __future__ import annotations

from typing import Any

from linewright.support.page_messages import FromPage


class ReadText(FromPage, tag="text"):
    """Read this text; answered with ``peek``, ``walk``, ``findings`` and ``map`` of that serial.

    :param serial: goes up with each text of a page.
    """

    serial: int
    text: str


class SaveText(FromPage, tag="save"):
    """Save this text; answered with ``saved`` or ``conflict``.

    :param base: the version of the file that it was made from, ``""`` for a new one.
    """

    serial: int
    text: str
    base: str


class ShowEvidence(FromPage, tag="evidence"):
    """What games and engine say of a position; answered with ``replies`` at once, then ``models`` and ``engine``.

    :param side: whose lesson it is, ``white`` or ``black``; ``""`` when nobody said.
    """

    fen: str
    side: str = ""


class FindQuote(FromPage, tag="quote"):
    """Which games these words may mean; answered with ``quoted``."""

    words: str


class SettlePlace(FromPage, tag="ask"):
    """The doubtful place that begins at a word of the text read last; answered with ``question``, or ``settled``.

    :param answer: as :mod:`linewright.settle.machine` takes it; None only to look.
    """

    first: int
    answer: Any = None


class SpellMoves(FromPage, tag="spell"):
    """Moves (UCI) from a position as the trainer writes them; answered with ``spelled``."""

    fen: str
    moves: tuple[str, ...]


class CheckText(FromPage, tag="check"):
    """Let the engine judge the text read last; answered with ``job``. Read again, its verdicts count."""


class CorrectPhrase(FromPage, tag="correct"):
    """A dictated phrase as it should read; answered with ``corrected``.

    :param number: comes back with it.
    :param fen: the position on the board when it was said.
    """

    number: int
    words: str
    fen: str


FromManuscript = ReadText | SaveText | ShowEvidence | FindQuote | SettlePlace | SpellMoves | CheckText | CorrectPhrase
