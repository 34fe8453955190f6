"""Claims about material as trainers word them. A bishop for a knight is level, the bishop pair is two bishops against
less: common practice."""

from __future__ import annotations

import pytest

from linewright.claims.check import check_walk
from linewright.lesson.finding import Kind
from tests.claims.support import verdicts_of, walk_of

# line, side of the lesson, words, verdict; "" for no claim
CLAIMS = [
    ("open", "white", "Material is level.", "holds"),
    ("open", "white", "the material is still equal", "holds"),
    ("open", "white", "we're a pawn up", "fails"),
    ("passed", "white", "White is a pawn up in this ending", "holds"),
    ("passed", "white", "we've got an extra pawn", "holds"),
    ("passed", "black", "We are a pawn down here", "holds"),
    ("passed", "white", "black is two pawns down", "fails"),
    ("passed", "white", "white is up a pawn", "holds"),
    ("passed", "white", "he's a pawn short", "holds"),
    ("passed", "white", "material is level", "fails"),
    ("exchange up", "white", "White is the exchange up.", "holds"),
    ("exchange up", "white", "we are an exchange ahead", "holds"),
    ("exchange up", "black", "we're the exchange down", "holds"),
    ("exchange up", "white", "black is a piece up", "fails"),
    # as recognisers write "we're the exchange and a pawn up"
    ("exchange up", "white", "and look where the exchange up", "holds"),
    ("king walk", "white", "Black is a piece up for a pawn", "holds"),
    ("king walk", "white", "white has a pawn for the piece", ""),
    ("bishops", "white", "Black has the two bishops.", "holds"),
    ("bishops", "white", "he's got the bishop pair", "holds"),
    ("bishops", "white", "we have the two bishops", "fails"),
    ("bishops", "black", "our pair of bishops", ""),
    ("opposite", "white", "we have opposite coloured bishops", "holds"),
    ("opposite", "white", "the bishops are of opposite colours", "holds"),
    ("bishops", "white", "opposite-coloured bishops, so a draw", "fails"),
    ("open", "white", "we put the second pawn up", ""),
    ("open", "white", "if he takes we're a pawn up", ""),
    ("open", "white", "are we a pawn up?", ""),
    ("open", "white", "he pushes a pawn up the board", ""),
    ("king walk", "white", "Black has won a piece.", "holds"),
    ("open", "white", "White has won a pawn.", "fails"),
    ("open", "white", "Black has lost a pawn.", "fails"),
    ("open", "white", "White won a pawn in another game of mine.", ""),
    ("king walk", "white", "White has won a pawn.", "undecided"),
    ("king walk", "white", "White has a piece for two pawns.", "fails"),
    ("king walk", "white", "Black has a piece for a pawn.", "holds"),
    ("open", "black", "We're a pawn light.", "fails"),
    ("petroff", "black", "He's a pawn light.", "fails"),
    ("passed", "white", "White has an extra pawn on the kingside.", ""),
    ("exchange up", "white", "White is two pawns up", "undecided"),  # in points
    ("rook for two", "white", "Material is level.", "undecided"),  # in points
    # as recognisers write "we're a pawn down"
    ("open", "white", "We're a pawn now", "fails"),
    ("open", "white", "We're a piece now", ""),
    ("petroff", "white", "An extra pawn.", ""),
    # queens and bishops
    ("rook for two", "white", "The queens are off.", "holds"),
    ("one queen", "white", "The queens are off.", "undecided"),
    ("start", "white", "White has the two bishops.", "undecided"),
    ("spanish ending", "white", "The queens are off.", "holds"),
    ("open", "white", "The queens have been exchanged.", "fails"),
    ("spanish ending", "white", "The queens are still on the board.", "fails"),
    ("open", "white", "There are no queens on the board.", "fails"),
    ("spanish ending", "white", "It's a queenless middlegame.", "holds"),
    ("spanish exchange", "white", "The light-squared bishops are gone.", "fails"),
    ("opposite", "white", "It's an opposite-coloured bishop ending.", "holds"),
    ("spanish exchange", "black", "White has given up the bishop pair.", "holds"),
    # pawns
    ("start", "white", "Eight pawns each.", "holds"),
    ("petroff", "white", "Each side has seven pawns.", "holds"),
    ("open", "white", "Both sides have seven pawns.", "fails"),
    ("open", "white", "Both sides have seven pawns only.", "fails"),
]


@pytest.mark.parametrize(("line", "side", "words", "verdict"), CLAIMS, ids=[row[2] for row in CLAIMS])
@pytest.mark.parametrize("timed", [False, True], ids=["typed", "captions"])
def test_claims_are_found_and_decided(line: str, side: str, words: str, verdict: str, timed: bool) -> None:
    if timed and words.endswith("?"):
        pytest.skip("a question that only its mark tells")
    assert verdicts_of(words, line, Kind.MATERIAL, side, timed) == ([verdict] if verdict else [])


#: Said without a verb: the speaker's own side is meant.
FRAGMENTS = [
    ("petroff", "white", "[Qe2|Queen e2]. Pawn up, yep.", "fails"),
    ("exchange up", "white", "Exchange up, no question.", "holds"),
    ("exchange up", "black", "Exchange down, alas.", "holds"),
]


@pytest.mark.parametrize(("line", "side", "words", "verdict"), FRAGMENTS, ids=[row[2] for row in FRAGMENTS])
def test_fragments_are_found_and_decided(line: str, side: str, words: str, verdict: str) -> None:
    assert verdicts_of(words, line, Kind.MATERIAL, side) == [verdict]


@pytest.mark.parametrize(
    ("line", "words", "evidence"),
    [
        ("passed", "White is a pawn up", "white has 1 pawn more (pawns 7 against 6)"),
        ("open", "White is a pawn up", "pieces and pawns are level (8 pawns each)"),
        (
            "bishops",
            "Black has the two bishops.",
            "black has 2 bishops and no knights, white has no bishops and 2 knights",
        ),
        ("spanish ending", "The light-squared bishops are gone.", "light-squared bishops on c8"),
    ],
)
def test_evidence_counts(line: str, words: str, evidence: str) -> None:
    (found,) = check_walk(walk_of(words, line, "white"))
    assert found.evidence == evidence
