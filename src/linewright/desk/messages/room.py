"""What the pages of a talk's room (stages and prompters) and the desk send each other."""

from __future__ import annotations

from typing import Literal

from linewright.desk.messages.to_manuscript import Trouble
from linewright.stage.acts import DrawMarks, DrawnMark, GoToStop, HearPosition, PlayMove, PressKey
from linewright.support.page_messages import FromPage, Message, ToPage


class RunKey(FromPage):
    """Begin a run, or finish it."""

    do: Literal["begin", "finish"]


class Clap(FromPage, tag="clap"):
    """The clap key; ``late``: seconds until this machine's loudspeaker sounds."""

    late: float = 0.0


class NoteLoudness(FromPage, tag="loud"):
    """The microphone's loudness (0-1) until now, a value each ``every`` seconds."""

    level: tuple[float, ...]
    every: float = 0.05


class HearPhrase(FromPage, tag="said"):
    """A phrase that was heard."""

    text: str


FromRoom = PressKey | GoToStop | PlayMove | HearPosition | DrawMarks | RunKey | Clap | NoteLoudness | HearPhrase


class StopShown(Message):
    """A stop of the script.

    :param label: what the next key brings, for the eye; ``said``: for the ear.
    :param own: how many of its words tell the step itself; the key is pressed with them.
    :param breaks: its words begin a paragraph.
    """

    label: str
    said: str
    text: str
    count: int
    seconds: float
    returns: bool
    own: int
    part: int
    breaks: bool


class PartShown(Message):
    """A part of the talk, from its first stop on."""

    name: str
    first: int
    seconds: float


class ScriptShown(ToPage, tag="script"):
    """The whole script; ``rate`` in words a minute."""

    talk: str
    title: str
    rate: int
    stops: tuple[StopShown, ...]
    parts: tuple[PartShown, ...]


class SceneShown(ToPage, tag="scene"):
    """What stands on the stage.

    :param at: the stop; :param aside: whether the board is off the walk.
    :param last: the last move in UCI, ``""`` for none; :param line: the moves that led there, in figurines.
    :param words: the walk's last move in words.
    """

    at: int
    aside: bool
    fen: str
    last: str
    marks: tuple[DrawnMark, ...]
    side: str
    paused: bool
    line: str
    name: str
    words: str


class RunShown(ToPage, tag="run"):
    """How a run goes: seconds ``spent`` without pauses; ``finished`` names the file of one that ended."""

    on: bool
    spent: float
    resting: bool
    finished: str = ""


class Clapped(ToPage, tag="clapped"):
    """A clap was noted."""


ToRoom = ScriptShown | SceneShown | RunShown | Clapped | Trouble
