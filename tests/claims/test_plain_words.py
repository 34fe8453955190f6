"""More ways in which trainers say plain things: who guards a square, castling as "going long", a pawn "light"."""

from __future__ import annotations

import pytest

from linewright.claims.check import check_walk
from tests.claims.support import walk_of

#: Words, line, kind, verdict; the lesson is told for Black.
SAID = [
    ("One of my pawns guards d5.", "french", "centre", "holds"),
    ("Two of my pawns guard d5.", "french", "centre", "fails"),
    ("One of White's pawns attacks d5.", "french", "centre", "holds"),
    ("No black pawn guards e4.", "french", "centre", "fails"),
    ("None the less, his pawns are fine.", "french", "centre", None),
    ("He can still go long.", "open", "king", "holds"),
    ("He can still go kingside.", "king walk", "king", "holds"),
    ("We can still go long.", "king walk", "king", "fails"),
    ("We're a pawn light.", "open", "material", "fails"),
    ("He's a pawn light.", "petroff", "material", "fails"),
    ("I'm a good deal better here.", "open", "assessment", "undecided"),
    ("White is a lot worse here.", "open", "assessment", "undecided"),
    ("Is white a touch better? My books say yes.", "open", "assessment", "undecided"),
    ("Is white a touch better?", "open", "assessment", None),
]


@pytest.mark.parametrize(("words", "line", "kind", "verdict"), SAID)
def test_plain_words(words: str, line: str, kind: str, verdict: str | None) -> None:
    found = [f.verdict.value for f in check_walk(walk_of(words, line, side="black")) if f.kind.value == kind]
    assert found == ([verdict] if verdict else [])


def test_a_pawn_that_its_neighbour_supports_is_backward_in_a_wide_sense_only() -> None:
    """Black's d6 beside c6, no e-pawn, d5 under White's guard: handbooks differ, so the claim is left undecided."""
    line = "d4 f5 g3 Nf6 Bg2 g6 Nf3 Bg7 O-O O-O c4 d6 Nc3 c6 d5 e5 dxe6 Bxe6"
    moves = " ".join(f"[{san}|{san}]" for san in line.split())
    found = [f for f in check_walk(walk_of(f"{moves} My d6 pawn is backward.", side="black")) if f.kind == "structure"]
    assert [f.verdict.value for f in found] == ["undecided"]
