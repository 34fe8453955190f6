"""What the desk sends to a manuscript's page: the file, jobs, troubles, and what was read and found."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

from linewright.desk.messages.evidence import EngineLook, Models, Quoted, Replies
from linewright.desk.messages.readings import Corrected, Findings, MapDrawn, Peek, QuestionAsked, Settled, WalkRead


@dataclass(frozen=True, slots=True)
class Hello:
    """The file as it is when a page opens; ``notes`` say what was odd in it."""

    what: Literal["hello"] = field(default="hello", init=False)
    text: str
    version: str
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class DiskChanged:
    """The file, or only the answers about it (``answers``), was changed on the disk."""

    what: Literal["disk"] = field(default="disk", init=False)
    text: str = ""
    version: str = ""
    notes: tuple[str, ...] = ()
    answers: bool = False


@dataclass(frozen=True, slots=True)
class Saved:
    """A text is in the file, which has this version now."""

    what: Literal["saved"] = field(default="saved", init=False)
    serial: int
    version: str


@dataclass(frozen=True, slots=True)
class ConflictPiece:
    """A piece of two texts: ``both`` where they agree, else what each has."""

    both: str | None = None
    mine: str = ""
    theirs: str = ""


@dataclass(frozen=True, slots=True)
class TextConflict:
    """The file was changed too: both texts in pieces; ``merged`` where nothing clashes."""

    what: Literal["conflict"] = field(default="conflict", init=False)
    serial: int
    version: str
    theirs: str
    merged: str | None
    pieces: tuple[ConflictPiece, ...]


@dataclass(frozen=True, slots=True)
class Spelled:
    """Moves as the trainer writes them; the last one's figurine and the position after it."""

    what: Literal["spelled"] = field(default="spelled", init=False)
    words: tuple[str, ...]
    notation: bool
    fig: str
    fen: str


@dataclass(frozen=True, slots=True)
class JobNews:
    """How a job goes on: ``part`` of it done (0-1), or its end; what it made stands in the fields after ``words``.

    :param kind: of work: hear, build, check and the like.
    :param talk: the talk's or recording's name in the folder.
    """

    what: Literal["job"] = field(default="job", init=False)
    job: int
    kind: str
    talk: str
    state: Literal["running", "done", "stopped", "failed"]
    part: float = 0.0
    words: str = ""
    files: tuple[str, ...] = ()
    fails: int = 0
    captions: str = ""
    notes: tuple[str, ...] = ()
    why: str = ""
    todo: str = ""


@dataclass(frozen=True, slots=True)
class Trouble:
    """What could not be done, and what to do next; empty for an empty text."""

    what: Literal["trouble"] = field(default="trouble", init=False)
    why: str
    todo: str
    serial: int = 0


ToManuscript = (
    Hello
    | DiskChanged
    | Peek
    | WalkRead
    | Findings
    | MapDrawn
    | Replies
    | Models
    | EngineLook
    | Spelled
    | Corrected
    | Quoted
    | QuestionAsked
    | Settled
    | Saved
    | TextConflict
    | JobNews
    | Trouble
)
