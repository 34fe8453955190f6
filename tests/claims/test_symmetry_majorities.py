"""Claims about symmetry, majorities and islands as trainers word them."""

from __future__ import annotations

import chess
import pytest

from linewright.board.structure.pawns import Wing
from linewright.claims.claim_kind import Facts
from linewright.claims.kinds.pawns.symmetry_majorities import Majority, decide
from linewright.claims.rulings import Side
from linewright.lesson.finding import Kind, Verdict
from tests.claims.support import verdicts_of

# line, side of the lesson, words, verdict; "" for no claim
CLAIMS = [
    ("slav exchange", "black", "The structure is symmetrical.", "holds"),
    ("slav exchange", "black", "we have a completely symmetrical pawn structure", "holds"),
    ("slav exchange", "black", "the pawns are perfectly symmetrical", "holds"),
    ("carlsbad", "white", "The pawn structure is symmetrical", "fails"),
    ("carlsbad", "white", "the pawn structure is not symmetrical", "holds"),
    ("carlsbad", "white", "Black has a queenside majority", "holds"),
    ("carlsbad", "white", "black has a pawn majority on the queenside", "holds"),
    ("carlsbad", "white", "White has the majority on the king side", "holds"),
    ("carlsbad", "white", "we've got two pawns against three on the queenside", "holds"),
    ("carlsbad", "white", "White has a queenside majority", "fails"),
    ("spanish ending", "white", "we have a four against three majority on the kingside", "holds"),
    ("tarrasch", "white", "black has three pawn islands against two", "holds"),
    ("tarrasch", "white", "White has three pawn islands", "fails"),
    ("slav exchange", "white", "a perfectly symmetrical position", "holds"),
    ("slav exchange", "white", "As for the pawns, they're completely symmetrical", "holds"),
    ("slav exchange", "white", "both sides have the same pawn structure", "holds"),
    ("slav exchange", "white", "the structure is a mirror image", "holds"),
    ("petroff", "white", "The position is completely symmetrical.", "holds"),
    ("winawer", "white", "The position is symmetrical.", "fails"),
    ("carlsbad", "white", "The structure is almost symmetrical", ""),
    (
        "carlsbad",
        "white",
        "white has an extra pawn in the centre and black has an extra pawn on the queenside",
        "holds",
    ),
    ("carlsbad", "white", "Black's got a three to two majority on the queenside", "holds"),
    ("carlsbad", "white", "on the queenside it's two against three", "holds"),
    ("carlsbad", "white", "it's our two against his three on the queenside", "holds"),
    ("carlsbad", "white", "The majority of players castle here", ""),
    ("spanish ending", "white", "White has an extra pawn on the kingside.", "holds"),
    ("spanish ending", "white", "Black has an extra pawn on the kingside.", "fails"),
    ("tarrasch", "white", "Black has two pawn islands.", "fails"),
    ("tarrasch", "white", "Black has three pawn islands against three.", "fails"),
    ("tarrasch", "white", "Black has one pawn island more.", ""),
    # As many pawns on the queenside without the d file, more with it: trainers count either way.
    ("panov", "white", "White has a queenside majority.", "holds"),
    ("panov", "white", "Black has a queenside majority.", "fails"),
]


@pytest.mark.parametrize(("line", "side", "words", "verdict"), CLAIMS, ids=[row[2][:60] for row in CLAIMS])
@pytest.mark.parametrize("timed", [False, True], ids=["typed", "captions"])
def test_claims_are_found_and_decided(line: str, side: str, words: str, verdict: str, timed: bool) -> None:
    assert verdicts_of(words, line, Kind.STRUCTURE, side, timed) == ([verdict] if verdict else [])


def test_a_majority_that_turns_with_the_centre_file_stays_open() -> None:
    """Three against two on the a to c files, three against four with the d file."""
    board = chess.Board("4k3/pp6/3p4/3p4/8/8/PPP5/4K3 w - - 0 1")
    ruling = decide(Majority(Side.of(chess.WHITE), Wing.QUEENSIDE), Facts(board))
    assert ruling.verdict is Verdict.UNDECIDED
    assert str(ruling.evidence).endswith("it depends on whether the centre file counts")
