"""Claims of named structures, outposts, holes, damage, and pawns named by their square alone."""

from __future__ import annotations

import chess
import pytest

from linewright.claims.claim_kind import Facts
from linewright.claims.kinds.pawns.structures_outposts import SquareClaim, decide
from linewright.lesson.finding import Kind, Verdict
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
    ("sveshnikov", "a7 is backward.", "undecided"),
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


@pytest.mark.parametrize(("knight", "verdict"), [("N", Verdict.HOLDS), ("B", Verdict.UNDECIDED)])
def test_a_hole_is_an_outpost_for_the_pieces_that_hold_it(knight: str, verdict: Verdict) -> None:
    board = chess.Board(f"4k3/pp3ppp/3p4/4p3/8/2{knight}5/PP3PPP/4K3 w - - 0 1")
    assert decide(SquareClaim("outpost", chess.D5, chess.WHITE), Facts(board)).verdict is verdict
