"""Pawn claims as trainers word them: what is found, and how it is decided.

The rows' sentences are our own; the positions are named lines of ``support.LINES``. Structures called by name are
common practice: the Tarrasch gives Black an isolated queen's pawn, the exchange variation of the Queen's Gambit the
Carlsbad structure, the exchange variation of the Spanish doubled c pawns, the Sveshnikov a backward d pawn.
"""

from __future__ import annotations

import chess
import pytest

from linewright.board.structure import pawns
from linewright.claims.check import check_walk
from linewright.claims.claim_kind import Facts
from linewright.claims.kinds.pawns.pawn_traits import PawnClaim, Trait, decide
from linewright.claims.rulings import Side
from linewright.lesson.finding import Kind, Verdict
from tests.claims.support import verdicts_of, walk_of

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
    ("italian break", "white", "White has an isolated pawn on d4.", "holds"),
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
    # a sentence about it
    ("tarrasch", "white", "and that pawn on d5, it's isolated, it'll need defending all game long", "holds"),
    ("tarrasch", "white", "the d-pawn stands isolated in the middle of the board", "holds"),
    ("tarrasch", "white", "the pawn has become isolated", "holds"),
    ("tarrasch", "white", "Black's centre pawn is isolated", "holds"),
    ("spanish exchange", "white", "and now black's queenside pawns are doubled", "holds"),
    ("spanish exchange", "white", "black's structure has been damaged, the c pawns are doubled for good", "holds"),
    ("spanish exchange", "black", "okay so our pawns on the c file are doubled", "holds"),
    ("passed", "white", "That pawn on d5 is passed and it's protected too", "holds"),
    ("hanging", "white", "The c and d pawns are hanging pawns", "holds"),
    ("tarrasch", "white", "The pawn on d five is isolated.", "holds"),
    ("tarrasch", "white", "His d-pawn's all alone.", "holds"),
    ("tarrasch", "white", "His d pawn's isolated.", "holds"),
    ("tarrasch", "white", "The d pawn's not isolated.", "fails"),
    ("spanish exchange", "white", "The pawn on c6 is anything but isolated.", "holds"),
    ("passed", "white", "The d pawn's a passed pawn.", "holds"),
    # a noun with its traits
    ("tarrasch", "white", "What do we get for it? An isolated black pawn on d5.", "holds"),
    ("tarrasch", "white", "his d5 pawn has no neighbours, it's an isolani", "holds"),
    ("tarrasch", "white", "so he is the one with the isolated pawn", "holds"),
    ("tarrasch", "white", "our blockade of the isolated d5-pawn starts now", "holds"),
    ("tarrasch", "black", "It's true that we've an isolated pawn here", "holds"),
    ("tarrasch", "black", "I've taken on an isolated d-pawn, I know, I know", "holds"),
    ("tarrasch", "white", "neither side has an isolated pawn", "fails"),
    ("spanish exchange", "white", "Notice the doubled c-pawns", "holds"),
    ("spanish exchange", "white", "we've damaged his structure: doubled pawns on c6 and c7", "holds"),
    ("spanish exchange", "white", "there are doubled pawns on the c file", "holds"),
    ("passed", "white", "White's trump is the protected passed pawn on d5", "holds"),
    ("passed", "white", "the passed d-pawn is worth a rook", "holds"),
    ("passed", "white", "neither side has a passed pawn", "fails"),
    ("sveshnikov", "white", "that leaves a backward pawn on d6 and a hole on d5", "holds"),
    ("sveshnikov", "black", "Our backward d6-pawn looks ugly, but it's fine", "holds"),
    ("hanging", "white", "black now has the famous hanging pawns", "holds"),
    ("hanging", "white", "he's got a pair of hanging pawns in the centre", "holds"),
    ("hanging", "black", "our hanging pawns control the centre", "holds"),
    # each of several squares, one of which has no pawn
    ("winawer", "black", "White's pawns on c3 and e3 are isolated", "fails"),
    ("winawer", "black", "White has isolated pawns on a3 and e3", "fails"),
    ("winawer", "black", "White's pawns on d4 and e3 are isolated", "fails"),
    ("winawer", "black", "White has an isolated pawn on a3 or e3", "holds"),
    ("winawer", "black", "White's pawns on a3 and d4 are isolated", "fails"),
    ("spanish exchange", "white", "which doubles our c-pawns", "fails"),
    ("spanish exchange", "white", "the pawns on c6 and c7 are doubled", "holds"),
    # each side's own: White's d4 is isolated, Black's d5 is not
    ("panov", "white", "the pawn on d4 is isolated", "holds"),
    ("one isolated", "white", "the pawns on d4 and d5 are isolated", "fails"),
    ("one isolated", "white", "the pawns on d4 and a3 are isolated", "fails"),
    # both sides
    ("slav exchange", "black", "Both sides have an isolated pawn", "fails"),
]


@pytest.mark.parametrize(("line", "side", "words", "verdicts"), CLAIMS, ids=[row[2][:60] for row in CLAIMS])
@pytest.mark.parametrize("timed", [False, True], ids=["typed", "captions"])
def test_claims_are_found_and_decided(line: str, side: str, words: str, verdicts: str, timed: bool) -> None:
    # A square of captions may be misheard, and then no claim of it is called false.
    assert verdicts_of(words, line, Kind.STRUCTURE, side, timed) in (
        [verdicts],
        ["undecided"] if timed and verdicts == "fails" else [verdicts],
    )


#: Asides between commas, which captions lack.
ASIDES = [
    ("The pawn on d5, whatever the old book may say, is by no means isolated.", "fails"),
    ("The pawn on d5, as you see, is isolated.", "holds"),
]


@pytest.mark.parametrize(("words", "verdict"), ASIDES)
def test_asides_are_passed_over(words: str, verdict: str) -> None:
    assert verdicts_of(words, "tarrasch", Kind.STRUCTURE) == [verdict]


# line, side, words, evidence must contain
EVIDENCE = [
    ("tarrasch", "white", "Black has an isolated pawn on d5.", "no black pawn on c or e: d5 is isolated"),
    ("carlsbad", "white", "the d4 pawn is isolated", "white d4 has e3 beside it"),
    ("spanish exchange", "white", "he's got doubled c pawns", "black pawns c6 and c7: doubled"),
    ("tarrasch", "white", "Black has an isolated pawn on e6", "no black pawn stands on e6; isolated: d5"),
]


#: White's pawns on c3 and e3, of which only one stands: the finding says so, and of captions it is undecided.
ABSENT = [
    ("White's pawns on a3 and e3 are isolated.", "fails", "undecided"),
    ("White's pawns on d4 and e3 are not isolated.", "undecided", "undecided"),
    ("White's pawns on a3 and e3 are not isolated.", "fails", "undecided"),
]


@pytest.mark.parametrize(("words", "typed", "captions"), ABSENT, ids=[row[0] for row in ABSENT])
def test_a_square_without_its_pawn_is_not_passed_over(words: str, typed: str, captions: str) -> None:
    for timed, verdict in ((False, typed), (True, captions)):
        (found,) = check_walk(walk_of(words, "winawer", "black", timed))
        assert found.verdict.value == verdict
        assert "no white pawn stands on e3" in found.evidence


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
    assert not verdicts_of(words, "tarrasch", Kind.STRUCTURE, timed=timed)


def test_a_pawn_that_its_neighbour_supports_is_backward_in_a_wide_sense_only() -> None:
    """Black's d6 beside c6, no e-pawn, d5 under White's guard: handbooks differ, so the claim is left undecided."""
    line = "d4 f5 g3 Nf6 Bg2 g6 Nf3 Bg7 O-O O-O c4 d6 Nc3 c6 d5 e5 dxe6 Bxe6"
    moves = " ".join(f"[{san}|{san}]" for san in line.split())
    assert verdicts_of(f"{moves} My d6 pawn is backward.", "start", Kind.STRUCTURE, "black") == ["undecided"]


@pytest.mark.parametrize(
    ("rhyming", "verdict"),
    [((chess.C5,), Verdict.HOLDS), ((chess.C5, chess.E5), Verdict.UNDECIDED), ((chess.B5,), Verdict.UNDECIDED)],
)
def test_a_square_may_be_misheard_where_only_one_that_rhymes_fits(
    rhyming: tuple[chess.Square, ...], verdict: Verdict
) -> None:
    board = chess.Board("4k3/8/8/2p1p3/8/8/P7/4K3 w - - 0 1")
    claim = PawnClaim((Trait.ISOLATED,), Side.of(chess.BLACK), (chess.G5,), rhyming=rhyming)
    assert decide(claim, Facts(board, timed=True)).verdict is verdict


def test_of_many_pawns_four_are_shown() -> None:
    board = chess.Board("4k3/p1p1p1p1/8/8/8/8/P6P/4K3 w - - 0 1")
    claim = PawnClaim((Trait.ISOLATED,), Side.of(chess.BLACK))
    assert str(decide(claim, Facts(board)).evidence).endswith("a7 and c7 and e7 and g7 are isolated")
    board.set_piece_at(chess.H4, chess.Piece(chess.PAWN, chess.BLACK))
    board.remove_piece_at(chess.G7)
    board.set_piece_at(chess.H5, chess.Piece(chess.PAWN, chess.BLACK))
    assert len(pawns.isolated(board, chess.BLACK)) == 5
    assert str(decide(claim, Facts(board)).evidence).count(" and ") == 3
