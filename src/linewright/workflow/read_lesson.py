"""Reading a lesson: the talk's file, the answers beside it, the moves in its words."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from linewright.games.api import GameSource
from linewright.lesson.walk import Walk
from linewright.settle.answers_file import Kept, load_answers
from linewright.support.errors import UnusableInput
from linewright.talk.load import SUFFIXES, load_talk, load_text
from linewright.talk.model import Talk
from linewright.workflow.progress import Note, PartDone, ignore


@dataclass(frozen=True, slots=True)
class LoadedTalk:
    """A talk and what was settled about it."""

    talk: Talk
    kept: Kept

    @property
    def notes(self) -> tuple[str, ...]:
        """What can't be used of the talk and of its answers, as sentences for the user."""
        return (*self.talk.notes, *self.kept.troubles)


def load_lesson(path: Path) -> LoadedTalk:
    """Load a talk and the answers beside it.

    :raises UnusableInput: when either can't be read, or the file holds no talk.
    """
    talk = load_talk(path)
    return LoadedTalk(talk, load_answers(path, talk))


def load_lesson_text(text: str, path: Path) -> LoadedTalk:
    """Load a talk from text that may not be saved yet.

    :param path: where the talk lies: its suffix says the format, its name the title, and its answers count.
    :raises UnusableInput: as :func:`load_lesson`.
    """
    talk = load_text(text, SUFFIXES.get(path.suffix.lower()), path.name)
    return LoadedTalk(talk, load_answers(path, talk))


def read_lesson(path: Path, games: GameSource | None, note: Note = ignore, progress: PartDone | None = None) -> Walk:
    """Load and read a talk, with its answers.

    :param note: hears what can't be used of the talk and its answers, and answers that no longer fit.
    :param progress: called with the part (0-1) of the words that are read.
    :raises UnusableInput: when the talk can't be loaded, or no move can be read in it.
    """
    return read_loaded(load_lesson(path), games, note, progress)


def read_loaded(
    lesson: LoadedTalk, games: GameSource | None, note: Note = ignore, progress: PartDone | None = None
) -> Walk:
    """Read a loaded talk; see :func:`read_lesson`."""
    from linewright.reading.reader import read_talk  # half a second that a plan from a position goes without

    for words in lesson.notes:
        note(words)
    walk = read_talk(lesson.talk, games, answers=lesson.kept.answers, progress=progress)
    for words in lesson.kept.unfit(walk):
        note(words)
    if not walk.moves:
        raise UnusableInput(
            f"{lesson.talk.source}: no move can be read in this talk ({len(lesson.talk.words)} words)",
            "Say moves as in “knight f3” or write them as in Nf3; {start: FEN} sets another first position.",
        )
    return walk
