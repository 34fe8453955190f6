"""Announced returns that no move has followed yet."""

from __future__ import annotations

import chess
import pytest

from linewright.reading.reader import read_talk
from linewright.settle.word_candidates import TalkScan
from linewright.stage.going_back import announced_return
from linewright.talk.load import TalkFormat, load_text

TOLD = "We start with e4, e5, knight f3, knight c6, bishop b5, a6."
LINE = ("e4", "e5", "Nf3", "Nc6", "Bb5", "a6")


def after(count: int) -> str:
    board = chess.Board()
    for san in LINE[:count]:
        board.push_san(san)
    return board.fen()


@pytest.mark.parametrize(
    ("words", "count"),
    [
        ("Back to e5.", 2),
        ("Okay, let's go back to knight c6.", 4),
        ("Now back to bishop b5", 5),
        ("Back to the start.", 0),
        ("Once more from the beginning.", 0),
        ("And that gives White a good game.", None),
        ("The bishop goes back one day.", None),
        ("", None),
    ],
)
def test_back_to_a_move_told(words: str, count: int | None) -> None:
    talk = load_text(f"{TOLD} {words}", TalkFormat.TYPED, "a talk")
    walk = read_talk(talk)
    assert [move.san for move in walk.moves] == list(LINE)
    found = announced_return(walk, TalkScan(talk))
    assert (found.to if found else None) == (after(count) if count is not None else None)
    if found is not None:
        assert found.said.words.strip(".") in words
