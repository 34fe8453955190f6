"""Pawn claims as trainers word them: what is found, and how it is decided.

The rows' sentences are our own; the positions are named lines of ``support.LINES``. Structures called by name are
common practice: the Tarrasch gives Black an isolated queen's pawn, the exchange variation of the Queen's Gambit the
Carlsbad structure, the exchange variation of the Spanish doubled c pawns, the Sveshnikov a backward d pawn.
"""

from __future__ import annotations

import pytest

from linewright.claims.check import check_walk
from linewright.claims.model import Kind
from tests.claims.support import by_rule, walk_of

# line, side of the lesson, words, verdicts of the structure findings in order
CLAIMS = [
    # isolated
    ("tarrasch", "white", "Black has an isolated pawn on d5.", "holds"),
    ("tarrasch", "white", "Black is saddled with an isolated d pawn.", "holds"),
    ("tarrasch", "white", "So black's d5 pawn is isolated", "holds"),
    ("tarrasch", "white", "the d-pawn is now isolated and we blockade it", "holds"),
    ("tarrasch", "white", "the pawn on d5 is isolated", "holds"),
    ("tarrasch", "black", "We've got an IQP, and that's fine.", "holds"),
    ("tarrasch", "black", "We are left with an isolated queen's pawn", "holds"),
    ("tarrasch", "white", "We have an isolated pawn on d5", "fails"),
    ("tarrasch", "white", "White ends up with an isolated d-pawn", "fails"),
    ("tarrasch", "white", "there's an isolated pawn on d5", "holds"),
    ("tarrasch", "white", "his isolated pawn on d5 is a target", "holds"),
    ("tarrasch", "white", "we play against the isolated d5 pawn", "holds"),
    ("tarrasch", "white", "that leaves him with an isolani on d5", "holds"),
    ("tarrasch", "white", "he has given himself an isolated pawn", "holds"),
    ("tarrasch", "white", "Black's d pawn isn't isolated", "fails"),
    ("tarrasch", "white", "White has no isolated pawn", "holds"),
    ("tarrasch", "white", "the d5 pawn is no longer isolated", "fails"),
    ("tarrasch", "white", "Black has an isolated pawn on e6", "fails"),
    ("carlsbad", "white", "the d4 pawn is isolated", "fails"),
    ("carlsbad", "white", "black's d pawn is not isolated", "holds"),
    ("winawer", "black", "his a pawn is isolated", "holds"),
    ("panov", "white", "As you can see we have an isolated pawn, a typical one, in the centre", "holds"),
    ("panov", "white", "i'd say the isolated pawn on d4 gives us a lot of activity", "holds"),
    # doubled
    ("spanish exchange", "white", "Black has doubled pawns on the c file.", "holds"),
    ("spanish exchange", "white", "he's got doubled c pawns", "holds"),
    ("spanish exchange", "white", "his c pawns are doubled", "holds"),
    ("spanish exchange", "white", "we've doubled his pawns", "holds"),
    ("spanish exchange", "white", "which doubles his c-pawns", "holds"),
    ("spanish exchange", "white", "the doubled pawns on c6 and c7 make his majority worthless", "holds"),
    ("spanish exchange", "black", "we have doubled pawns but the bishops", "holds"),
    ("spanish exchange", "white", "White has doubled pawns", "fails"),
    ("spanish exchange", "white", "he's got doubled f pawns", "fails"),
    ("winawer", "black", "White has doubled pawns on the c file", "holds"),
    ("winawer", "black", "White has tripled pawns", "fails"),
    ("winawer", "black", "he's got doubled, isolated c pawns", "fails"),
    ("winawer", "black", "both c pawns are doubled", "holds"),
    # passed
    ("passed", "white", "White has a passed pawn on d5.", "holds"),
    ("passed", "white", "we've got a protected passed pawn", "holds"),
    ("passed", "white", "the d pawn is passed", "holds"),
    ("passed", "white", "our passed pawn on d5 will decide", "holds"),
    ("passed", "white", "white owns a protected passer on d5", "holds"),
    ("passed", "white", "Black has a passed pawn", "fails"),
    ("passed", "white", "the a pawn is a passed pawn", "fails"),
    ("passed", "white", "we have got a past pawn on d5", "holds"),
    # backward
    ("sveshnikov", "white", "Black has a backward pawn on d6.", "holds"),
    ("sveshnikov", "white", "the d6 pawn is backward", "holds"),
    ("sveshnikov", "black", "our d-pawn is backwards", "holds"),
    ("sveshnikov", "black", "we accept a backward d pawn", "holds"),
    ("sveshnikov", "white", "White has a backward pawn", "fails"),
    # hanging
    ("hanging", "white", "Black has hanging pawns.", "holds"),
    ("hanging", "white", "black's got the hanging pawns on c5 and d5", "holds"),
    ("hanging", "white", "those are hanging pawns", "holds"),
    ("hanging", "black", "He has hanging pawns", "fails"),
    ("tarrasch", "white", "Black has hanging pawns on c5 and d5", "fails"),
    # shape
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
    # both sides
    ("slav exchange", "black", "Both sides have an isolated pawn", "fails"),
]


@pytest.mark.parametrize(("line", "side", "words", "verdicts"), CLAIMS, ids=[row[2][:60] for row in CLAIMS])
@pytest.mark.parametrize("timed", [False, True], ids=["typed", "captions"])
def test_claims_are_found_and_decided(line: str, side: str, words: str, verdicts: str, timed: bool) -> None:
    found = [f for f in check_walk(walk_of(words, line, side, timed)) if f.kind is Kind.STRUCTURE]
    assert [f.verdict.value for f in found] in (
        [verdicts],
        ["undecided"] if timed and verdicts == "fails" else [verdicts],
    )
    assert found[0].evidence


# line, side, words, evidence must contain
EVIDENCE = [
    ("tarrasch", "white", "Black has an isolated pawn on d5.", "no black pawn on c or e: d5 is isolated"),
    ("carlsbad", "white", "the d4 pawn is isolated", "white d4 has e3 beside it"),
    ("spanish exchange", "white", "he's got doubled c pawns", "black pawns c6 and c7: doubled"),
    ("tarrasch", "white", "Black has an isolated pawn on e6", "no black pawn stands on e6; isolated: d5"),
]


@pytest.mark.parametrize(("line", "side", "words", "evidence"), EVIDENCE)
def test_evidence_convinces_at_a_glance(line: str, side: str, words: str, evidence: str) -> None:
    (found,) = check_walk(walk_of(words, line, side))
    assert evidence in found.evidence


# Sentences that claim nothing of the position on the board.
NO_CLAIM = [
    "Next week, the endings with the isolated pawn.",
    "You should never be afraid of an isolated pawn.",
    "if he takes we get an isolated pawn",
    "White might end up with doubled pawns one day",
    "I don't want to get an isolated pawn here",
    "we could give him doubled pawns, but not yet",
    "Is the d pawn isolated?",
    "he wants to double our pawns",
    "the idea is to create a passed pawn on the queenside",
    "An isolated pawn is a question of taste.",
    "the knight on d5 is hanging",
    "careful, the pawn is hanging",
    "the time has passed and the pawn is still there",
    "in the old books the isolated pawn was called a weakness",
    "we will have a passed pawn in twenty moves",
    "after the exchange on c6 black would have doubled pawns",
    "black avoids doubled pawns",
    "so he takes with the piece to avoid an isolated pawn",
    "I passed my exam with a pawn ending",
    "he doubled his rooks and pawns started to fall",
    "the position is symmetrical in spirit",
    "how do you play against hanging pawns",
]


@pytest.mark.parametrize("words", NO_CLAIM)
@pytest.mark.parametrize("timed", [False, True], ids=["typed", "captions"])
def test_no_claim_is_heard_where_none_is_made(words: str, timed: bool) -> None:
    found = by_rule(check_walk(walk_of(words, "tarrasch", "white", timed)), Kind.STRUCTURE)
    assert not [f.evidence for f in found]
