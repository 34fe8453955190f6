"""A sitting at the terminal or at a pipe: ``linewright read TALK --ask``."""

from __future__ import annotations

import sys
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import TextIO

from linewright.lesson.walk import Walk
from linewright.reading.answers import Answer
from linewright.reading.incremental import GrowingReader
from linewright.reading.search.positions import MoveCounts
from linewright.settle.answers_file import load_answers, save_answers
from linewright.settle.machine import dialogue
from linewright.settle.session import Session
from linewright.settle.terminal import talk_through
from linewright.settle.text_board import board_text
from linewright.talk.load import load_talk

# The first board drawn tells whether the terminal has the characters for it.
_SAMPLE = board_text("rnbqkbnr/pppppppp/8/8/8/8/PPPPPPPP/RNBQKBNR w KQkq - 0 1")


def ask_about(path: Path, base: MoveCounts | None, json_lines: bool = False) -> None:
    """Settle the doubtful places of a talk, in the terminal or by JSON lines; each answer is stored at once.

    :raises UnusableInput: when the talk or its answers can't be read, or the answers can't be written.
    """
    talk = load_talk(path)
    kept = load_answers(path, talk)
    for trouble in (*talk.notes, *kept.troubles):
        print(f"linewright: {trouble}", file=sys.stderr)

    reader = GrowingReader(base)  # after an answer it goes on from a little before the words that were settled

    def read(answers: Sequence[Answer]) -> Walk:
        walk = reader.read(talk, answers)
        assert walk is not None, "nothing stops this reading"
        return walk

    session = Session(
        talk,
        read,
        kept.answers,
        base,
        lambda old, new: save_answers(path, talk, old, new),
    )
    for unfit in kept.unfit(session.walk):
        print(f"linewright: {unfit}", file=sys.stderr)
    if json_lines:
        for line in dialogue(session, _lines(sys.stdin)):
            print(line, flush=True)
    else:
        talk_through(session, input, print, _can_show(sys.stdout))


def _lines(stream: TextIO) -> Iterator[str]:
    """Lines as they come, without reading ahead."""
    while line := stream.readline():
        yield line


def _can_show(stream: TextIO) -> bool:
    """The stream's encoding has figurines."""
    try:
        _SAMPLE.encode(stream.encoding or "ascii")
    except (UnicodeEncodeError, LookupError):
        return False
    return True
