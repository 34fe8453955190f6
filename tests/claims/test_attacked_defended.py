"""That a man is attacked, hangs, is undefended or protected."""

from __future__ import annotations

import pytest

from linewright.lesson.finding import Kind
from tests.claims.support import assert_verdict

#: Line, words, verdict; None where nothing is claimed of the board.
SENTENCES = [
    ("open", "The knight on c6 is undefended.", "fails"),
    ("open", "The knight on c6 is protected.", "holds"),
    ("open", "The e4 pawn is undefended.", "holds"),
    ("open", "The pawn on e4 isn't protected.", "holds"),
    ("open", "The e5 pawn is attacked.", "holds"),
    ("open", "The e4 pawn is under attack.", "fails"),
    ("open", "The bishop on f8 is hanging.", "fails"),
    ("open", "The bishop on f8 isn't hanging.", "holds"),
    ("open", "The rook on h1 is en prise.", "fails"),
    ("open", "The knight on f3 attacks the pawn on e5.", "holds"),
    ("petroff", "Nothing defends the knight on e4.", "holds"),
    ("petroff", "The e5 knight is loose.", "holds"),
    ("petroff", "The knight on e5 is hanging.", "fails"),
    ("trap", "The knight on e5 is hanging.", "holds"),
    ("trap", "The e5 knight hangs.", "holds"),
    ("trap", "The queen hits the knight.", "holds"),
    ("trap", "He attacks the rook on h1.", "fails"),
    ("trap", "If the knight moves, the bishop hangs.", None),
    ("trap", "Is the knight hanging?", None),
    ("hanging", "The pawns are hanging in the air.", None),
    ("open", "The bishop on f8 is almost hanging.", None),
    ("open", "In the other line the bishop on f8 hangs.", "undecided"),
    ("open", "After rook takes, the bishop on f8 hangs.", None),
    ("open", "No, the e4 pawn is undefended.", "holds"),
    ("open", "Both his knights are undefended.", "undecided"),
    ("open", "The knight on c6 has no defender.", "fails"),
    ("open", "He gains a tempo on the queen.", "undecided"),
    ("open", "White attacks on the queen side.", None),
]


@pytest.mark.parametrize("timed", [False, True], ids=["typed", "captions"])
@pytest.mark.parametrize(("line", "words", "wanted"), SENTENCES)
def test_the_safety_of_men_is_decided(line: str, words: str, wanted: str | None, timed: bool) -> None:
    assert_verdict(Kind.TACTIC, line, words, wanted, timed=timed)
