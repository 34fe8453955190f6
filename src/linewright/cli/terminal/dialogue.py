"""Settling doubts at the terminal or through a pipe: ``linewright read TALK --ask``."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path
from typing import TextIO

from linewright.cli.terminal.text import remark
from linewright.games.api import GameSource
from linewright.settle.machine import dialogue
from linewright.settle.terminal import talk_through
from linewright.settle.text_board import board_text
from linewright.workflow.read_lesson import load_lesson
from linewright.workflow.settle_lesson import open_session

# The first board drawn tells whether the terminal has the characters for it.
_SAMPLE = board_text("rnbqkbnr/pppppppp/8/8/8/8/PPPPPPPP/RNBQKBNR w KQkq - 0 1")


def settle_doubts(path: Path, games: GameSource | None, json_lines: bool = False) -> None:
    """Settle the doubtful places of a talk, in the terminal or by JSON lines; each answer is stored at once.

    :raises UnusableInput: when the talk or its answers can't be read, or the answers can't be written.
    """
    lesson = load_lesson(path)
    for words in lesson.notes:
        remark(words)
    session = open_session(path, lesson, games)
    for words in lesson.kept.unfit(session.walk):
        remark(words)
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
