"""Settling a lesson's doubtful places: a session over a talk whose answers are stored beside it."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from linewright.lesson.walk import Walk
from linewright.reading.answers import Answer
from linewright.reading.incremental import GrowingReader
from linewright.reading.search.positions import MoveCounts
from linewright.settle.answers_file import save_answers
from linewright.settle.session import Session
from linewright.workflow.read_lesson import LoadedTalk


def open_session(
    path: Path, lesson: LoadedTalk, games: MoveCounts | None, reader: GrowingReader | None = None
) -> Session:
    """A session about a talk; each answer is stored beside it at once.

    :param path: the talk's file, which need not hold the very text that was loaded.
    :param reader: one that has read this talk already; it goes on from a little before the words that an answer
        settles.
    :raises UnusableInput: when a ``{start: FEN}`` mark holds no legal position; later, when an answer can't be written.
    """
    growing = reader or GrowingReader(games)

    def read(answers: Sequence[Answer]) -> Walk:
        walk = growing.read(lesson.talk, answers)
        assert walk is not None, "nothing stops this reading"
        return walk

    def keep(old: Sequence[Answer], new: Sequence[Answer]) -> None:
        save_answers(path, lesson.talk, old, new)

    return Session(lesson.talk, read, lesson.kept.answers, games, keep)
