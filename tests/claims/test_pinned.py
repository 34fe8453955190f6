"""Claims that a man is pinned, decided on the board and found in words."""

from __future__ import annotations

import chess
import pytest

from linewright.claims.check import check_walk
from linewright.claims.claim_kind import Facts
from linewright.claims.kinds.tactics.pinned import PinClaim, decide
from linewright.claims.sentence.men import Man
from linewright.lesson.finding import Kind, Verdict
from tests.claims.support import assert_verdict, walk_of

# 1.d4 Nf6 2.c4 e6 3.Nc3 Bb4 (the knight stands before its king), and Bg5 against Nf6 before Qd8
KING = "rnbqk2r/pppp1ppp/4pn2/8/1bPP4/2N5/PP2PPPP/R1BQKBNR w KQkq - 2 4"
QUEEN = "rnbqkb1r/ppp2ppp/4pn2/3p2B1/2PP4/2N5/PP2PPPP/R2QKBNR b KQkq - 3 4"

DECIDED = [
    (PinClaim(Man(chess.KNIGHT, chess.C3)), KING, Verdict.HOLDS),
    (PinClaim(Man(chess.KNIGHT, chess.C3), behind=chess.KING), KING, Verdict.HOLDS),
    (PinClaim(Man(chess.KNIGHT, chess.C3), behind=chess.QUEEN), KING, Verdict.UNDECIDED),
    (PinClaim(Man(chess.KNIGHT, chess.C3), denied=True), KING, Verdict.FAILS),
    (PinClaim(Man(chess.KNIGHT, chess.F6)), KING, Verdict.FAILS),
    (PinClaim(Man(chess.KNIGHT, chess.F6), denied=True), KING, Verdict.HOLDS),
    (PinClaim(Man(chess.KNIGHT, chess.F6), behind=chess.QUEEN), QUEEN, Verdict.HOLDS),
    (PinClaim(Man(chess.PAWN, file=2)), KING, Verdict.FAILS),
    (PinClaim(Man(chess.ROOK, chess.E4)), KING, Verdict.UNDECIDED),  # no rook there: the words may mean another moment
]


@pytest.mark.parametrize(("claim", "fen", "verdict"), DECIDED)
def test_a_pin_is_ruled_on_the_board(claim: PinClaim, fen: str, verdict: Verdict) -> None:
    assert decide(claim, Facts(chess.Board(fen))).verdict is verdict


@pytest.mark.parametrize(
    ("words", "wanted"),
    [
        ("The knight on g1 is pinned.", ["fails"]),
        ("The knight on g1 is not pinned.", ["holds"]),
        ("If he goes there, the knight is pinned.", []),
        ("The knight will be pinned", []),
    ],
)
def test_pins_are_found_in_words(words: str, wanted: list[str]) -> None:
    assert [f.verdict.value for f in check_walk(walk_of(words)) if f.kind == "tactic"] == wanted


#: Line, words, verdict; None where nothing is claimed of the board.
SENTENCES = [
    ("nimzo", "The bishop pins the knight on c3.", "holds"),
    ("nimzo", "The knight on c3 is pinned to the king.", "holds"),
    ("nimzo", "The knight on c3 is pinned to the queen.", "undecided"),
    ("nimzo", "The knight on f6 is pinned to the queen.", "fails"),
    ("winawer", "The king is in a pin.", None),
]


@pytest.mark.parametrize("timed", [False, True], ids=["typed", "captions"])
@pytest.mark.parametrize(("line", "words", "wanted"), SENTENCES)
def test_pins_are_decided(line: str, words: str, wanted: str | None, timed: bool) -> None:
    assert_verdict(Kind.TACTIC, line, words, wanted, timed=timed)
