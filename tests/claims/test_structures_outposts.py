"""Claims of named structures, outposts, holes, damage, and pawns named by their square alone."""

from __future__ import annotations

import pytest

from linewright.claims.model import Kind
from tests.claims.support import verdicts_of

# line, words, verdict
CLAIMS = [
    ("carlsbad", "This is the Carlsbad structure.", "holds"),
    ("open", "We have a Carlsbad structure.", "undecided"),
    ("winawer", "That's a Stonewall formation.", "undecided"),
    ("tarrasch", "d5 is isolated.", "holds"),
    ("tarrasch", "d5 is not isolated.", "fails"),
    ("tarrasch", "a7 is isolated.", "fails"),
    ("tarrasch", "e5 is isolated.", "undecided"),
    ("sveshnikov", "d6 is backward.", "holds"),
    ("sveshnikov", "There's a hole on d5.", "holds"),
    ("sveshnikov", "d5 is a weak square.", "holds"),
    ("sveshnikov", "d5 is not a weak square.", "undecided"),
    ("sveshnikov", "White has an outpost on d5.", "holds"),
    ("sveshnikov", "d5 is a wonderful outpost for white.", "holds"),
    ("open", "d5 is an outpost.", "undecided"),
    ("passed", "d5 is passed.", "holds"),
    ("passed", "e4 is passed.", "fails"),
    ("spanish exchange", "Black's pawn structure is damaged.", "holds"),
    ("open", "Black's queenside is ruined.", "undecided"),
]


@pytest.mark.parametrize("timed", [False, True], ids=["typed", "captions"])
@pytest.mark.parametrize(("line", "words", "verdict"), CLAIMS, ids=[row[1] for row in CLAIMS])
def test_claims_are_found_and_decided(line: str, words: str, verdict: str, timed: bool) -> None:
    assert verdicts_of(words, line, Kind.STRUCTURE, timed=timed) == [verdict]
