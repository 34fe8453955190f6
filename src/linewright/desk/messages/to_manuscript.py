"""What the desk sends to a manuscript's page: the file, jobs, troubles, and what was read and found."""

from __future__ import annotations

from typing import Literal

from linewright.desk.messages.evidence import EngineLook, Models, Quoted, Replies
from linewright.desk.messages.readings import Corrected, Findings, MapDrawn, Peek, QuestionAsked, Settled, WalkRead
from linewright.support.page_messages import Message, ToPage


class Hello(ToPage, tag="hello"):
    """The file as it is when a page opens; ``notes`` say what was odd in it."""

    text: str
    version: str
    notes: tuple[str, ...] = ()


class DiskChanged(ToPage, tag="disk"):
    """The file, or only the answers about it (``answers``), was changed on the disk."""

    text: str = ""
    version: str = ""
    notes: tuple[str, ...] = ()
    answers: bool = False


class Saved(ToPage, tag="saved"):
    """A text is in the file, which has this version now."""

    serial: int
    version: str


class ConflictPiece(Message):
    """A piece of two texts: ``both`` where they agree, else what each has."""

    both: str | None = None
    mine: str = ""
    theirs: str = ""


class TextConflict(ToPage, tag="conflict"):
    """The file was changed too: both texts in pieces; ``merged`` where nothing clashes."""

    serial: int
    version: str
    theirs: str
    merged: str | None
    pieces: tuple[ConflictPiece, ...]


class Spelled(ToPage, tag="spelled"):
    """Moves as the trainer writes them; the last one's figurine and the position after it."""

    words: tuple[str, ...]
    notation: bool
    fig: str
    fen: str


class JobNews(ToPage, tag="job"):
    """How a job goes on: ``part`` of it done (0-1), or its end; what it made stands in the fields after ``words``.

    :param kind: of work: hear, build, check and the like.
    :param talk: the talk's or recording's name in the folder.
    """

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


class Trouble(ToPage, tag="trouble"):
    """What could not be done, and what to do next; empty for an empty text."""

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
