"""Comparisons of development as trainers word them."""

from __future__ import annotations

import pytest

from linewright.lesson.finding import Kind
from tests.claims.support import verdicts_of

# line, side of the lesson, words, verdict; "" for no claim
CLAIMS = [
    ("sicilian", "white", "White is ahead in development", "holds"),
    ("sicilian", "white", "we've got more pieces out than he has", "holds"),
    ("sicilian", "white", "black has more pieces developed", "fails"),
    ("sicilian", "white", "Black isn't ahead in development", "holds"),
    ("sicilian", "white", "Black is lagging behind in development", "holds"),
    ("sicilian", "black", "he has fewer pieces in play", "fails"),
    ("open", "white", "both sides have developed equally many pieces", "holds"),
    ("open", "white", "White is ahead in development", "undecided"),  # by a tempo, which no count of pieces shows
    ("open", "white", "White has more pieces out", "fails"),
    ("sicilian", "white", "the two sides have the same number of pieces out", "fails"),
    ("open", "white", "we want to get more pieces out", ""),
]


@pytest.mark.parametrize("timed", [False, True], ids=["typed", "captions"])
@pytest.mark.parametrize(("line", "side", "words", "verdict"), CLAIMS, ids=[row[2] for row in CLAIMS])
def test_claims_are_found_and_decided(line: str, side: str, words: str, verdict: str, timed: bool) -> None:
    assert verdicts_of(words, line, Kind.DEVELOPMENT, side, timed) == ([verdict] if verdict else [])
