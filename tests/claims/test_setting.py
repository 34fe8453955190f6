"""Claims of castling done, named structures, squares, pawns in the centre and men won, in words."""

from __future__ import annotations

import pytest

from linewright.claims.check import check_walk
from tests.claims.support import walk_of

SENTENCES = [
    ("carlsbad", "king", "Black has castled.", "holds"),
    ("carlsbad", "king", "White has castled.", "fails"),
    ("carlsbad", "king", "White hasn't castled yet.", "holds"),
    ("carlsbad", "king", "Both sides have castled.", "fails"),
    ("carlsbad", "king", "Black has already castled kingside.", "holds"),
    ("carlsbad", "king", "Black has castled queenside.", "fails"),
    ("carlsbad", "king", "He's castled.", "holds"),
    ("tarrasch", "king", "Both sides have castled.", "holds"),
    ("tarrasch", "king", "Both players have now castled.", "holds"),
    ("open", "king", "Neither side has castled.", "holds"),
    ("tarrasch", "king", "Neither side has castled.", "fails"),
    ("open", "king", "Nobody has castled.", "holds"),
    ("king walk", "king", "White hasn't castled.", "holds"),
    ("carlsbad", "king", "White's king is still in the centre.", "holds"),
    ("carlsbad", "king", "Black's king is stuck in the middle.", "fails"),
    ("tarrasch", "king", "They have castled on opposite sides.", "fails"),
    ("carlsbad", "king", "With opposite-side castling.", "undecided"),
    ("open", "transposition", "This can also come from the Italian game.", "undecided"),
    ("open", "transposition", "We could also reach this from the Vienna.", None),
]


@pytest.mark.parametrize("timed", [False, True], ids=["typed", "captions"])
@pytest.mark.parametrize(("line", "kind", "words", "wanted"), SENTENCES)
def test_sentences_are_found_and_decided(line: str, kind: str, words: str, wanted: str | None, timed: bool) -> None:
    found = check_walk(walk_of(words, line, "white", timed))
    assert {f.verdict.value for f in found if f.kind == kind} == ({wanted} if wanted else set())
