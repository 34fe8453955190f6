"""The right to castle, lost or kept (FIDE Laws 3.8.2.1)."""

from __future__ import annotations

import pytest

from linewright.lesson.finding import Kind
from tests.claims.support import assert_verdict

#: Line, words, verdict; None where nothing is claimed of the board.
SENTENCES = [
    ("king walk", "Black can never castle.", "holds"),
    ("king walk", "he has lost the right to castle", "holds"),
    ("king walk", "black can no longer castle", "holds"),
    ("king walk", "his castling rights are gone", "holds"),
    ("king walk", "he won't be able to castle any more", "holds"),
    ("king walk", "White can still castle", "holds"),
    ("king walk", "we've lost the right to castle", "fails"),
    ("king walk", "we can't castle any more", "fails"),
    ("open", "black has lost the right to castle", "fails"),
    ("open", "he can't castle now", "undecided"),
    ("open", "he can't castle here, ever", "fails"),
    ("open", "he can't castle, he said, ever", "undecided"),
    ("open", "if the king moves he can never castle", None),
    ("open", "he wants to castle queenside", None),
    ("open", "we castle next move", None),
    ("open", "my friend says black can't castle any more", "fails"),
    ("king walk", "Neither side may castle any more.", "fails"),
    ("open", "He can still go long.", "holds"),
    ("king walk", "We can still go kingside.", "holds"),
    ("king walk", "He can still go long.", "fails"),
    ("open", "He hasn't lost the right to castle.", "holds"),
]


@pytest.mark.parametrize("timed", [False, True], ids=["typed", "captions"])
@pytest.mark.parametrize(("line", "words", "wanted"), SENTENCES)
def test_rights_are_decided(line: str, words: str, wanted: str | None, timed: bool) -> None:
    assert_verdict(Kind.KING, line, words, wanted, timed=timed)
