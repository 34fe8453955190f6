"""What was read of a text, as a page shows it. ``a`` and ``z`` are the half-open range of words in the page's text,
counted as browsers count (UTF-16 code units)."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal


@dataclass(frozen=True, slots=True)
class MoveShown:
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


@dataclass(frozen=True, slots=True)
class ReturnShown:
    """The walk goes back.

    :param to: FEN that it goes back to.
    """

    a: int
    z: int
    to: str
    node: int
    sure: float


StepShown = MoveShown | ReturnShown


@dataclass(frozen=True, slots=True)
class UnreadShown:
    """Words that tell a move which could not be read."""

    a: int
    z: int
    why: str


@dataclass(frozen=True, slots=True)
class MarkShown:
    """A mark of the text, shown with a step."""

    shape: str
    squares: tuple[str, ...]
    step: int


@dataclass(frozen=True, slots=True)
class Peek:
    """A first look at a text, up to ``until``: the ``part`` (0-1) of it."""

    what: Literal["peek"] = field(default="peek", init=False)
    serial: int
    steps: tuple[StepShown, ...]
    until: int
    part: float


@dataclass(frozen=True, slots=True)
class WalkRead:
    """A text as it was read.

    :param side: the lesson's, ``white`` or ``black``; ``""`` where it has none.
    :param start: FEN that it starts from.
    """

    what: Literal["walk"] = field(default="walk", init=False)
    serial: int
    title: str
    side: str
    start: str
    opening: str
    steps: tuple[StepShown, ...]
    unread: tuple[UnreadShown, ...]
    marks: tuple[MarkShown, ...]
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class FindingShown:
    """A finding beside its words."""

    a: int
    z: int
    kind: str
    verdict: str
    words: str
    evidence: str
    step: int


@dataclass(frozen=True, slots=True)
class PlaceShown:
    """A place that may be settled, which begins at the talk's word ``first``."""

    a: int
    z: int
    first: int
    kind: str
    words: str


@dataclass(frozen=True, slots=True)
class Findings:
    """What is said of a text, and what may be settled in it."""

    what: Literal["findings"] = field(default="findings", init=False)
    serial: int
    findings: tuple[FindingShown, ...]
    questions: tuple[PlaceShown, ...]


@dataclass(frozen=True, slots=True)
class MapDot:
    """A position of the opening map."""

    x: float
    y: float
    fork: bool
    end: bool
    step: int | None
    fen: str


@dataclass(frozen=True, slots=True)
class MapLabel:
    """A move's name on the map."""

    x: float
    y: float
    fig: str
    step: int | None


@dataclass(frozen=True, slots=True)
class Gap:
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


@dataclass(frozen=True, slots=True)
class MapDrawn:
    """The opening map to draw.

    :param rails: path data (SVG 2, chapter 9).
    """

    what: Literal["map"] = field(default="map", init=False)
    serial: int
    width: float
    height: float
    rails: str
    dots: tuple[MapDot, ...]
    labels: tuple[MapLabel, ...]
    gaps: tuple[Gap, ...]


@dataclass(frozen=True, slots=True)
class PlaceAsked:
    """A place of a question, as it is read now; ``sure`` 0-1, None where that can't be said."""

    words: str
    moves: tuple[str, ...]
    sure: float | None


@dataclass(frozen=True, slots=True)
class MoveChoice:
    """A move that a choice reads, and the FEN that it is played from."""

    san: str


@dataclass(frozen=True, slots=True)
class QuestionAsked:
    """A doubtful place and the ways to read it; with ``error`` alone where there is none to settle.

    :param left: words before it, ``right`` after it.
    :param board: FEN that stands there.
    :param choices: moves of each way; an empty one is no move.
    """

    what: Literal["question"] = field(default="question", init=False)
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


@dataclass(frozen=True, slots=True)
class Settled:
    """An answer was taken; so many places are doubtful still."""

    what: Literal["settled"] = field(default="settled", init=False)
    serial: int
    left: int


@dataclass(frozen=True, slots=True)
class Corrected:
    """A dictated phrase as it should read."""

    what: Literal["corrected"] = field(default="corrected", init=False)
    number: int
    words: str
