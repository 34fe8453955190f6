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
    ("carlsbad", "structure", "This is the Carlsbad structure.", "holds"),
    ("open", "structure", "We have a Carlsbad structure.", "undecided"),
    ("winawer", "structure", "That's a Stonewall formation.", "undecided"),
    ("tarrasch", "structure", "d5 is isolated.", "holds"),
    ("tarrasch", "structure", "d5 is not isolated.", "fails"),
    ("tarrasch", "structure", "a7 is isolated.", "fails"),
    ("sveshnikov", "structure", "d6 is backward.", "holds"),
    ("sveshnikov", "structure", "There's a hole on d5.", "holds"),
    ("sveshnikov", "structure", "d5 is a weak square.", "holds"),
    ("sveshnikov", "structure", "White has an outpost on d5.", "holds"),
    ("sveshnikov", "structure", "d5 is a wonderful outpost for white.", "holds"),
    ("open", "structure", "d5 is an outpost.", "undecided"),
    ("passed", "structure", "d5 is passed.", "holds"),
    ("passed", "structure", "e4 is passed.", "fails"),
    ("passed", "structure", "The d pawn's a passed pawn.", "holds"),
    ("tarrasch", "structure", "His d pawn's isolated.", "holds"),
    ("tarrasch", "structure", "The d pawn's not isolated.", "fails"),
    ("petroff", "structure", "The position is completely symmetrical.", "holds"),
    ("winawer", "structure", "The position is symmetrical.", "fails"),
    ("spanish ending", "files", "The d file's open.", "holds"),
    ("open", "files", "The d file's wide open now.", "fails"),
    ("spanish ending", "structure", "White has an extra pawn on the kingside.", "holds"),
    ("spanish ending", "structure", "Black has an extra pawn on the kingside.", "fails"),
    ("french", "centre", "White has two pawns in the centre.", "undecided"),
    ("french", "centre", "Black has a pawn in the middle.", "holds"),
    ("start", "centre", "We've got a pawn in the centre.", "fails"),
    ("french", "centre", "White has no pawns in the centre.", "undecided"),
    ("king walk", "material", "Black has won a piece.", "holds"),
    ("open", "material", "White has won a pawn.", "fails"),
    ("open", "material", "Black has lost a pawn.", "fails"),
    ("king walk", "material", "White has won a pawn.", "undecided"),
    ("open", "development", "One minor piece out each.", "holds"),
    ("open", "development", "Two minor pieces out each.", "fails"),
    ("sicilian", "development", "White has two minor pieces out.", "holds"),
    ("sicilian", "development", "Three pieces out for each side.", "fails"),
    ("spanish ending", "material", "The queens are off.", "holds"),
    ("open", "material", "The queens have been exchanged.", "fails"),
    ("spanish ending", "material", "The queens are still on the board.", "fails"),
    ("open", "material", "There are no queens on the board.", "fails"),
    ("spanish ending", "material", "It's a queenless middlegame.", "holds"),
    ("start", "material", "Eight pawns each.", "holds"),
    ("petroff", "material", "Each side has seven pawns.", "holds"),
    ("open", "material", "Both sides have seven pawns.", "fails"),
    ("tarrasch", "king", "They have castled on opposite sides.", "fails"),
    ("carlsbad", "king", "With opposite-side castling.", "undecided"),
    ("opposite", "material", "It's an opposite-coloured bishop ending.", "holds"),
    ("spanish exchange", "structure", "Black's pawn structure is damaged.", "holds"),
    ("open", "structure", "Black's queenside is ruined.", "undecided"),
    ("open", "transposition", "This can also come from the Italian game.", "undecided"),
    ("open", "transposition", "We could also reach this from the Vienna.", None),
]


@pytest.mark.parametrize("timed", [False, True], ids=["typed", "captions"])
@pytest.mark.parametrize(("line", "kind", "words", "wanted"), SENTENCES)
def test_sentences_are_found_and_decided(line: str, kind: str, words: str, wanted: str | None, timed: bool) -> None:
    found = check_walk(walk_of(words, line, "white", timed))
    assert {f.verdict.value for f in found if f.kind == kind} == ({wanted} if wanted else set())
