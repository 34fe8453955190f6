"""Check, mate and threats of mate."""

from __future__ import annotations

import chess
import pytest

from linewright.claims.claim_kind import Facts
from linewright.claims.kinds.king.mating import MateClaim, decide
from linewright.engine.model import EngineVerdict, Line, Score
from linewright.lesson.finding import Kind
from tests.claims.support import assert_verdict

#: Line, words, verdict; None where nothing is claimed of the board.
SENTENCES = [
    ("mate in three", "It's mate.", "holds"),
    ("mate in three", "It's mate in three.", "holds"),
    ("trap", "Black threatens mate.", "undecided"),
    ("trap", "It's check.", "fails"),
    ("smothered", "It's mate in one.", "holds"),
    ("smothered", "Black mates in one.", "holds"),
    ("smothered", "White mates in one.", "fails"),
    ("smothered", "There's a threat of mate.", "holds"),
    ("smothered mate", "And that's mate.", "holds"),
    ("smothered mate", "White is checkmated.", "holds"),
    ("smothered mate", "Black is mated.", "fails"),
    ("scholar", "White threatens mate.", "holds"),
    ("scholar", "There is a threat of checkmate on f7.", "holds"),
    ("scholar", "White threatens mate on f7.", "holds"),
    ("scholar", "Black threatens mate.", "undecided"),
    ("scholar", "White threatens mate on b7.", "fails"),
    ("scholar", "The king is in check.", "fails"),
    ("scholar", "Black is not in check.", "holds"),
    ("scholar mate", "It's checkmate.", "holds"),
    ("scholar mate", "There's no way to stop mate.", "holds"),
    ("discovered", "That's check.", "holds"),
    ("discovered", "Black is in check.", "holds"),
    ("discovered", "White is in check.", "fails"),
    ("trap", "He has to avoid mate.", None),
    ("open", "Queen takes f7, knight takes, and it's check.", "undecided"),
]


@pytest.mark.parametrize("timed", [False, True], ids=["typed", "captions"])
@pytest.mark.parametrize(("line", "words", "wanted"), SENTENCES)
def test_mates_are_decided(line: str, words: str, wanted: str | None, timed: bool) -> None:
    assert_verdict(Kind.TACTIC, line, words, wanted, timed=timed)


@pytest.mark.parametrize(("centipawns", "wanted"), [(-70, "undecided"), (-90, "fails")])
def test_who_is_clearly_worse_threatens_no_mate(centipawns: int, wanted: str) -> None:
    board = chess.Board()
    verdict = EngineVerdict(board.epd(), (Line(Score(centipawns), None, ("e2e4",)),), "an engine", 1, 1)
    claim = MateClaim("threat", color=chess.WHITE)
    assert decide(claim, Facts(board, assessed=verdict)).verdict == wanted
