"""What the trainer, or an ear that follows the voice, does on the stage."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal


@dataclass(frozen=True, slots=True)
class PressKey:
    """A key: to the next stop, back, into an aside or out of it, marks wiped, board turned, pause, and on again.

    :param by: who did it, for the run's log: ``keys`` or ``voice``.
    """

    do: Literal["next", "back", "aside", "wipe", "turn", "pause", "on"]
    by: str = ""


@dataclass(frozen=True, slots=True)
class GoToStop:
    """To a stop by its number."""

    do: Literal["go"] = field(default="go", init=False)
    to: int
    by: str = ""


@dataclass(frozen=True, slots=True)
class PlayMove:
    """A move by hand, in UCI."""

    do: Literal["play"] = field(default="play", init=False)
    uci: str
    by: str = ""


@dataclass(frozen=True, slots=True)
class HearPosition:
    """The ear believes this position (FEN) to be on the board."""

    do: Literal["heard"] = field(default="heard", init=False)
    fen: str
    by: str = ""


@dataclass(frozen=True, slots=True)
class DrawnMark:
    """A mark drawn on the board."""

    shape: str
    squares: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class DrawMarks:
    """All marks that are to be shown from now on."""

    do: Literal["mark"] = field(default="mark", init=False)
    marks: tuple[DrawnMark, ...]
    by: str = ""


StageAct = PressKey | GoToStop | PlayMove | HearPosition | DrawMarks
