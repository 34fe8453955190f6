"""Claims that no pawn can come to guard a square any more. The Sveshnikov gives White d5 for good: common practice."""

from __future__ import annotations

import pytest

from linewright.claims.check import check_walk
from linewright.lesson.finding import Kind
from tests.claims.support import verdicts_of, walk_of

# line, side of the lesson, words, verdict; "" for no claim
CLAIMS = [
    ("sveshnikov", "white", "No black pawn can ever guard d5.", "holds"),
    ("sveshnikov", "white", "No white pawn can ever guard the square d5.", "fails"),
    ("sveshnikov", "white", "He can never drive our knight from d5 with a pawn.", "holds"),
    ("sveshnikov", "white", "Black can never chase a knight away from d4 with a pawn.", "fails"),
    ("open", "white", "No black pawn is able to challenge e4.", "fails"),
    ("open", "white", "No black pawn can do it.", ""),
    ("open", "white", "He can never drive our knight from d5.", ""),
]


@pytest.mark.parametrize("timed", [False, True], ids=["typed", "captions"])
@pytest.mark.parametrize(("line", "side", "words", "verdict"), CLAIMS, ids=[row[2] for row in CLAIMS])
def test_claims_are_found_and_decided(line: str, side: str, words: str, verdict: str, timed: bool) -> None:
    assert verdicts_of(words, line, Kind.STRUCTURE, side, timed) == ([verdict] if verdict else [])


def test_whose_pawns_are_meant_may_stay_open() -> None:
    (found,) = check_walk(walk_of("He can never drive the knight from d5 with a pawn.", "sveshnikov"))
    assert found.verdict.value == "undecided"
    assert found.evidence == "the words don't say whose pawns can't reach d5"
