"""What the trainer, or the follower of the trainer's voice, does on the stage."""

from __future__ import annotations

from typing import Literal

from linewright.support.page_messages import FromPage, Message


class PressKey(FromPage):
    """A key: to the next stop, back, into an aside or out of it, marks wiped, board turned, pause, and on again.

    :param by: who did it, for the run's log: ``keys`` or ``voice``.
    """

    do: Literal["next", "back", "aside", "wipe", "turn", "pause", "on"]
    by: str = ""


class GoToStop(FromPage, tag="go"):
    """To a stop by its number."""

    to: int
    by: str = ""


class PlayMove(FromPage, tag="play"):
    """A move by hand, in UCI."""

    uci: str
    by: str = ""


class HearPosition(FromPage, tag="heard"):
    """The ear believes this position (FEN) to be on the board."""

    fen: str
    by: str = ""


class DrawnMark(Message):
    """A mark drawn on the board."""

    shape: str
    squares: tuple[str, ...]


class DrawMarks(FromPage, tag="mark"):
    """All marks that are to be shown from now on."""

    marks: tuple[DrawnMark, ...]
    by: str = ""


StageAct = PressKey | GoToStop | PlayMove | HearPosition | DrawMarks
