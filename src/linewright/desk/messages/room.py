"""What the pages of a talk's room (stages and prompters) and the desk send each other."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

from linewright.desk.messages.to_manuscript import Trouble
from linewright.stage.acts import DrawMarks, DrawnMark, GoToStop, HearPosition, PlayMove, PressKey


@dataclass(frozen=True, slots=True)
class RunKey:
    """Begin a run, or finish it."""

    do: Literal["begin", "finish"]


@dataclass(frozen=True, slots=True)
class Clap:
    """The clap key; ``late``: seconds until this machine's loudspeaker sounds."""

    do: Literal["clap"] = field(default="clap", init=False)
    late: float = 0.0


@dataclass(frozen=True, slots=True)
class NoteLoudness:
    """The microphone's loudness (0-1) until now, a value each ``every`` seconds."""

    do: Literal["loud"] = field(default="loud", init=False)
    level: tuple[float, ...]
    every: float = 0.05


@dataclass(frozen=True, slots=True)
class HearPhrase:
    """A phrase that was heard."""

    do: Literal["said"] = field(default="said", init=False)
    text: str


FromRoom = PressKey | GoToStop | PlayMove | HearPosition | DrawMarks | RunKey | Clap | NoteLoudness | HearPhrase


@dataclass(frozen=True, slots=True)
class StopShown:
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


@dataclass(frozen=True, slots=True)
class PartShown:
    """A part of the talk, from its first stop on."""

    name: str
    first: int
    seconds: float


@dataclass(frozen=True, slots=True)
class ScriptShown:
    """The whole script; ``rate`` in words a minute."""

    what: Literal["script"] = field(default="script", init=False)
    talk: str
    title: str
    rate: int
    stops: tuple[StopShown, ...]
    parts: tuple[PartShown, ...]


@dataclass(frozen=True, slots=True)
class SceneShown:
    """What stands on the stage.

    :param at: the stop; :param aside: whether the board is off the walk.
    :param last: the last move in UCI, ``""`` for none; :param line: the moves that led there, in figurines.
    :param words: the walk's last move in words.
    """

    what: Literal["scene"] = field(default="scene", init=False)
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


@dataclass(frozen=True, slots=True)
class RunShown:
    """How a run goes: seconds ``spent`` without pauses; ``finished`` names the file of one that ended."""

    what: Literal["run"] = field(default="run", init=False)
    on: bool
    spent: float
    resting: bool
    finished: str = ""


@dataclass(frozen=True, slots=True)
class Clapped:
    """A clap was noted."""

    what: Literal["clapped"] = field(default="clapped", init=False)


ToRoom = ScriptShown | SceneShown | RunShown | Clapped | Trouble
