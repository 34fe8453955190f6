"""Forks, double attacks, skewers and discovered attacks."""

from __future__ import annotations

import pytest

from linewright.lesson.finding import Kind
from tests.claims.support import assert_verdict

#: Line, words, verdict; None where nothing is claimed of the board.
SENTENCES = [
    ("trap", "This attacks the knight and the pawn.", "holds"),
    ("trap", "It's a fork.", "holds"),
    ("royal fork", "It's a fork of the queen and the rook.", "holds"),
    ("royal fork", "The knight forks queen and rook.", "holds"),
    ("royal fork", "The knight attacks the king and the bishop.", "fails"),
    ("royal fork", "That's a double attack on the queen and the rook.", "holds"),
    ("discovered", "It's a discovered check.", "holds"),
    ("royal fork", "It's a skewer.", "undecided"),
    ("open", "A fork on c7 is coming.", "undecided"),
]


@pytest.mark.parametrize("timed", [False, True], ids=["typed", "captions"])
@pytest.mark.parametrize(("line", "words", "wanted"), SENTENCES)
def test_double_attacks_are_decided(line: str, words: str, wanted: str | None, timed: bool) -> None:
    assert_verdict(Kind.TACTIC, line, words, wanted, timed=timed)
