"""How many legal moves a side has (FIDE Laws 3.10)."""

from __future__ import annotations

import chess
import pytest

from linewright.claims.claim_kind import Facts
from linewright.claims.kinds.moves.legal_moves import LegalMovesClaim, decide
from linewright.lesson.finding import Kind
from tests.claims.support import assert_verdict

#: Line, words, verdict; None where nothing is claimed of the board.
SENTENCES = [
    ("start", "White has exactly two legal moves.", "fails"),
    ("gambit check", "White has only two legal moves.", "holds"),
    ("gambit check", "There is only one legal move.", "fails"),
]


@pytest.mark.parametrize("timed", [False, True], ids=["typed", "captions"])
@pytest.mark.parametrize(("line", "words", "wanted"), SENTENCES)
def test_legal_moves_are_counted(line: str, words: str, wanted: str | None, timed: bool) -> None:
    assert_verdict(Kind.TACTIC, line, words, wanted, timed=timed)


@pytest.mark.parametrize(
    ("fen", "shown"),
    [
        ("7k/8/8/8/8/8/8/K7 w - - 0 1", "white to move has 3 legal moves: Kb2, Ka2, Kb1"),
        ("7k/8/8/8/8/8/P7/K7 w - - 0 1", "white to move has 4 legal moves: Kb2, Kb1, a3, a4"),
        ("7k/8/8/8/8/8/8/1K6 w - - 0 1", "white to move has 5 legal moves: Kc2, Kb2, Ka2, Kc1 …"),
    ],
)
def test_four_of_the_moves_are_named(fen: str, shown: str) -> None:
    assert str(decide(LegalMovesClaim(1), Facts(chess.Board(fen))).evidence) == shown
