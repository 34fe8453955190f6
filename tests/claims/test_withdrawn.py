"""What is taken back in the same breath is nobody's claim; what is hedged is neither right nor wrong."""

from __future__ import annotations

import pytest

from linewright.claims.check import check_walk
from linewright.claims.sentence.withdrawn import BREATH
from linewright.lesson.finding import Kind
from tests.claims.support import by_rule, walk_of

#: words after 1.e4 e5 2.Nf3 Nc6, kind, verdicts; False claims, so that what is not withdrawn fails
SAID: list[tuple[str, Kind, list[str]]] = [
    ("The e file is open.", Kind.FILES, ["fails"]),
    ("The e file is open, no, wait, there are pawns on it.", Kind.FILES, []),
    ("The e file is open. No, that's wrong.", Kind.FILES, []),
    ("The e file is open. I'm joking, of course.", Kind.FILES, []),
    ("The e file is open, scratch that.", Kind.FILES, []),
    ("No, wait, the e file is open.", Kind.FILES, ["fails"]),  # takes back what came before it
    ("The e file is open, no doubt about that.", Kind.FILES, ["fails"]),
    ("The e file is open. That's right.", Kind.FILES, ["fails"]),
    ("The e file is open, one two three four, no wait.", Kind.FILES, []),
    ("The e file is open, one two three four five, no wait.", Kind.FILES, ["fails"]),  # more than a breath
    ("Black has an isolated pawn. Wait, no, he hasn't.", Kind.STRUCTURE, []),
    ("Black has an isolated pawn.", Kind.STRUCTURE, ["fails"]),
    ("As far as I remember the e file is open.", Kind.FILES, ["undecided"]),
    ("I'd guess the e file is open.", Kind.FILES, ["undecided"]),
    ("The e file is open, or so I wrote.", Kind.FILES, ["undecided"]),
]


@pytest.mark.parametrize(("words", "kind", "wanted"), SAID)
def test_what_is_taken_back_is_no_claim(words: str, kind: Kind, wanted: list[str]) -> None:
    assert [f.verdict.value for f in by_rule(check_walk(walk_of(words, "open", "white")), kind)] == wanted
    assert len("one two three four no wait".split()) == BREATH


@pytest.mark.parametrize(
    ("words", "wanted"),
    [("White has castled.", ["fails"]), ("White castled.", []), ("White already castled.", ["fails"])],
)
def test_a_castling_that_is_told_is_no_claim(words: str, wanted: list[str]) -> None:
    assert [f.verdict.value for f in by_rule(check_walk(walk_of(words, "open", "white")), Kind.KING)] == wanted


@pytest.mark.parametrize("words", ["White won,", "He lost in nineteen moves.", "Black lost here."])
def test_how_a_game_went_is_no_assessment(words: str) -> None:
    assert by_rule(check_walk(walk_of(words, "open", "white")), Kind.ASSESSMENT) == []
