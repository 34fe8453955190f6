"""Counts of developed pieces as trainers word them."""

from __future__ import annotations

import pytest

from linewright.claims.check import check_walk
from linewright.lesson.finding import Kind
from tests.claims.support import verdicts_of, walk_of

# line, words, verdict
CLAIMS = [
    ("sicilian", "White has two pieces out.", "holds"),
    ("sicilian", "we've got two pieces developed and black has only one", "holds"),
    ("sicilian", "we've got two pieces developed against a single one", "holds"),
    ("sicilian", "White has two pieces out while black has one piece out", "holds"),
    ("scandinavian", "Black has one minor piece out.", "fails"),
    ("sicilian", "Both sides on his board have one piece out.", "fails"),
    ("sicilian", "each side has two pieces out", "fails"),
    ("sicilian", "White has two minor pieces out.", "holds"),
    ("sicilian", "White has two knights out.", "holds"),
    ("sicilian", "White has one bishop out.", "fails"),
    ("sicilian", "Three pieces out for each side.", "fails"),
    ("italian break", "White has four pieces developed.", "holds"),
    ("open", "both sides have one piece developed", "holds"),
    ("open", "black has developed two minor pieces", "fails"),
    ("open", "One minor piece out each.", "holds"),
    ("open", "Two minor pieces out each.", "fails"),
    ("open", "white has three pieces out against one", "fails"),
    ("french", "Black hasn't developed a single piece", "holds"),
]


@pytest.mark.parametrize("timed", [False, True], ids=["typed", "captions"])
@pytest.mark.parametrize(("line", "words", "verdict"), CLAIMS, ids=[row[1] for row in CLAIMS])
def test_claims_are_found_and_decided(line: str, words: str, verdict: str, timed: bool) -> None:
    assert verdicts_of(words, line, Kind.DEVELOPMENT, timed=timed) == [verdict]


@pytest.mark.parametrize(("count", "verdict"), [("One", "holds"), ("Two", "fails")])
def test_either_side_means_both(count: str, verdict: str) -> None:
    assert verdicts_of(f"{count} minor piece out on either side.", "open", Kind.DEVELOPMENT) == [verdict]


def test_whose_pieces_are_meant_may_stay_open() -> None:
    assert verdicts_of("He has two pieces out.", "sicilian", Kind.DEVELOPMENT, side="") == ["undecided"]


@pytest.mark.parametrize(
    ("line", "words", "evidence"),
    [
        ("sicilian", "White has two minor pieces out.", "knights and bishops out: white 2 (c3 d4), black 1 (f6)"),
        ("scandinavian", "Black has one piece out.", "black 0, queen out too; counted with the queen"),
        ("sicilian", "White has two knights out.", "black 1 (f6); counted knights alone"),
    ],
)
def test_evidence_says_how_it_counts(line: str, words: str, evidence: str) -> None:
    (found,) = check_walk(walk_of(words, line, "white"))
    assert evidence in found.evidence
