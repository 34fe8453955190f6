"""More ways in which trainers say plain things: who guards a square, castling as "going long", a pawn "light"."""

from __future__ import annotations

import pytest

from linewright.claims.check import check_walk
from tests.claims.support import walk_of

#: Words, line, kind, verdict; the lesson is told for Black.
SAID = [
    ("I'm a good deal better here.", "open", "assessment", "undecided"),
    ("White is a lot worse here.", "open", "assessment", "undecided"),
    ("Is white a touch better? My books say yes.", "open", "assessment", "undecided"),
    ("Is white a touch better?", "open", "assessment", None),
]


@pytest.mark.parametrize(("words", "line", "kind", "verdict"), SAID)
def test_plain_words(words: str, line: str, kind: str, verdict: str | None) -> None:
    found = [f.verdict.value for f in check_walk(walk_of(words, line, side="black")) if f.kind.value == kind]
    assert found == ([verdict] if verdict else [])
