"""What was read of a text, as a page shows it. ``a`` and ``z`` are the half-open range of words in the page's text,
counted as browsers count (UTF-16 code units)."""

from __future__ import annotations

from linewright.support.page_messages import Message, ToPage


class MoveShown(Message):
    """A move of the walk.

    :param fig: for the eye, with its number and in figurines; ``ear``: in words.
    :param before: FEN before the move, ``fen`` after it.
    :param sure: 0-1; ``doubt`` says why where it is low.
    """

    a: int
    z: int
    san: str
    fig: str
    ear: str
    uci: str
    before: str
    fen: str
    node: int
    parent: int
    sure: float
    doubt: str


class ReturnShown(Message):
    """The walk goes back.

    :param to: FEN that it goes back to.
    """

    a: int
    z: int
    to: str
    node: int
    sure: float


StepShown = MoveShown | ReturnShown


class UnreadShown(Message):
    """Words that tell a move which could not be read."""

    a: int
    z: int
    why: str


class MarkShown(Message):
    """A mark of the text, shown with a step."""

    shape: str
    squares: tuple[str, ...]
    step: int


class Peek(ToPage, tag="peek"):
    """A first look at a text, up to ``until``: the ``part`` (0-1) of it."""

    serial: int
    steps: tuple[StepShown, ...]
    until: int
    part: float


class WalkRead(ToPage, tag="walk"):
    """A text as it was read.

    :param side: the lesson's, ``white`` or ``black``; ``""`` where it has none.
    :param start: FEN that it starts from.
    """

    serial: int
    title: str
    side: str
    start: str
    opening: str
    steps: tuple[StepShown, ...]
    unread: tuple[UnreadShown, ...]
    marks: tuple[MarkShown, ...]
    notes: tuple[str, ...]


class FindingShown(Message):
    """A finding beside its words."""

    a: int
    z: int
    kind: str
    verdict: str
    words: str
    evidence: str
    step: int


class PlaceShown(Message):
    """A place that may be settled, which begins at the talk's word ``first``."""

    a: int
    z: int
    first: int
    kind: str
    words: str


class Findings(ToPage, tag="findings"):
    """What is said of a text, and what may be settled in it."""

    serial: int
    findings: tuple[FindingShown, ...]
    questions: tuple[PlaceShown, ...]


class MapDot(Message):
    """A position of the opening map."""

    x: float
    y: float
    fork: bool
    end: bool
    step: int | None
    fen: str


class MapLabel(Message):
    """A move's name on the map."""

    x: float
    y: float
    fig: str
    step: int | None


class Gap(Message):
    """A reply that the lesson leaves out.

    :param share: of games from its position, 0-1; ``met``: of games that begin with the lesson.
    """

    fen: str
    step: int | None
    uci: str
    fig: str
    ear: str
    share: float
    met: float


class MapDrawn(ToPage, tag="map"):
    """The opening map to draw.

    :param rails: path data (SVG 2, chapter 9).
    """

    serial: int
    width: float
    height: float
    rails: str
    dots: tuple[MapDot, ...]
    labels: tuple[MapLabel, ...]
    gaps: tuple[Gap, ...]


class PlaceAsked(Message):
    """A place of a question, as it is read now; ``sure`` 0-1, None where that can't be said."""

    words: str
    moves: tuple[str, ...]
    sure: float | None


class MoveChoice(Message):
    """A move that a choice reads, and the FEN that it is played from."""

    san: str


class QuestionAsked(ToPage, tag="question"):
    """A doubtful place and the ways to read it; with ``error`` alone where there is none to settle.

    :param left: words before it, ``right`` after it.
    :param board: FEN that stands there.
    :param choices: moves of each way; an empty one is no move.
    """

    serial: int = 0
    a: int = 0
    z: int = 0
    first: int = 0
    kind: str = ""
    left: str = ""
    right: str = ""
    board: str = ""
    places: tuple[PlaceAsked, ...] = ()
    choices: tuple[tuple[MoveChoice, ...], ...] = ()
    doubtful: int = 0
    error: str = ""


class Settled(ToPage, tag="settled"):
    """An answer was taken; so many places are doubtful still."""

    serial: int
    left: int


class Corrected(ToPage, tag="corrected"):
    """A dictated phrase as it should read."""

    number: int
    words: str
