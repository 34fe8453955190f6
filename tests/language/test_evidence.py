"""Evidence: typed values said as a sentence."""

from __future__ import annotations

import pytest

from linewright.language.evidence import (
    NOTHING,
    Count,
    Evidence,
    ManOn,
    Men,
    Number,
    Options,
    Ordinal,
    Percent,
    Row,
    Term,
    Value,
    plain,
    together,
    why,
)


@pytest.mark.parametrize(
    ("value", "said"),
    [
        ("12…Qb6", "12…Qb6"),
        (1234, "1234"),
        (Term("nothing"), "nothing"),
        (ManOn("knight", "c3"), "knight c3"),
        (ManOn("", "c3"), "c3"),
        (Men(()), "nothing"),
        (Men((ManOn("knight", "c3"),)), "the knight c3"),
        (
            Men((ManOn("rook", "a1"), ManOn("knight", "c3"), ManOn("pawn", "d4"))),
            "the rook a1, the knight c3 and the pawn d4",
        ),
        (Row(("c3", "d4")), "c3 d4"),
        (Row(("c3", "d4", "e5"), word="or"), "c3 or d4 or e5"),
        (Row((Count(1, "pawn"), Term("nothing")), ", "), "1 pawn, nothing"),
        (Row(()), "none"),
        (Count(0, "pawn"), "no pawns"),
        (Count(3, "pawn"), "3 pawns"),
        (Count(1, "game"), "1 game"),
        (Count(1200, "game"), "1,200 games"),
        (Ordinal(3), "third"),
        (Ordinal(24), "24th"),
        (Percent(0.257), "26 %"),
        (Percent(0.257, 1), "25.7 %"),
        (Percent(0.004), "0 %"),
        (Percent(0.004, strict=True), "under 1 %"),
        (Percent(0.0, strict=True), "0 %"),
        (Percent(0.996, strict=True), "over 99 %"),
        (Percent(1.0, strict=True), "100 %"),
        (Options(("Nf6",)), "Nf6"),
        (Options(("Nf6", "Bc5"), more=True), "Nf6 or Bc5 …"),
        (Number(0.5, "+.1f"), "+0.5"),
        (plain("as it is"), "as it is"),
    ],
)
def test_values_are_said(value: Value, said: str) -> None:
    assert str(why("terms.plain", text=value)) == said


def test_pieces_stand_beside_each_other_once() -> None:
    one, two = plain("one"), plain("two")
    assert str(together([one, two, one, NOTHING])) == "one; two"
    assert together([one]) == one
    assert not together([]) and not NOTHING and one


def test_a_language_without_the_sentence_says_it_in_english() -> None:
    hedged = why("terms.hedged", evidence=plain("so"))
    assert hedged.say("xx") == hedged.say() == "so; the speaker hedges"


def test_evidence_is_a_value() -> None:
    assert why("terms.the", man=ManOn("knight", "c3")) == Evidence("terms.the", (("man", ManOn("knight", "c3")),))
