"""That a piece is trapped, or a man overloaded."""

from __future__ import annotations

import chess
import pytest

from linewright.claims.claim_kind import Facts
from linewright.claims.kinds.tactics.trapped import ROOMY, TrappedClaim, decide
from linewright.claims.sentence.men import Man
from linewright.lesson.finding import Kind
from tests.claims.support import assert_verdict

#: Line, words, verdict; None where nothing is claimed of the board.
SENTENCES = [
    ("ark", "The bishop is trapped.", "holds"),
    ("ark", "The bishop on b3 has no squares.", "holds"),
    ("ark", "The bishop has run out of squares.", "holds"),
    ("ark", "The queen is trapped.", "fails"),
    ("ark", "The knight on b1 is trapped.", "fails"),
    ("ark", "The bishop can't get out.", "holds"),
    ("open", "The king has no squares.", None),
    ("open", "The rook on a1 is overloaded.", "fails"),
]


@pytest.mark.parametrize("timed", [False, True], ids=["typed", "captions"])
@pytest.mark.parametrize(("line", "words", "wanted"), SENTENCES)
def test_nets_and_duties_are_decided(line: str, words: str, wanted: str | None, timed: bool) -> None:
    assert_verdict(Kind.TACTIC, line, words, wanted, timed=timed)


@pytest.mark.parametrize(
    ("fen", "safe", "wanted"),
    [
        ("4k3/8/8/8/8/8/8/N3K3 w - - 0 1", 2, "undecided"),  # b3 and c2
        ("4k3/8/8/8/8/8/8/1N2K3 w - - 0 1", 3, "fails"),  # a3, c3 and d2
    ],
)
def test_a_roomy_piece_is_not_trapped(fen: str, safe: int, wanted: str) -> None:
    assert (safe >= ROOMY) == (wanted == "fails")
    assert decide(TrappedClaim(Man(chess.KNIGHT)), Facts(chess.Board(fen))).verdict == wanted
