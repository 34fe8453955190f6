"""That a side has castled, or that its king stands in the centre."""

from __future__ import annotations

import pytest

from linewright.lesson.finding import Kind
from tests.claims.support import assert_verdict

#: Line, words, verdict; None where nothing is claimed of the board.
SENTENCES = [
    ("tarrasch", "Kings on opposite wings.", "fails"),
    ("tarrasch", "White has castled.", "holds"),
    ("tarrasch", "White has castled queenside.", "fails"),
    ("tarrasch", "Neither side has castled.", "fails"),
    ("open", "He hasn't castled.", "holds"),
    ("open", "White's king is still in the centre.", "holds"),
    ("tarrasch", "White's king is in the centre.", "fails"),
    ("open", "He has castled into it.", None),
]


@pytest.mark.parametrize("timed", [False, True], ids=["typed", "captions"])
@pytest.mark.parametrize(("line", "words", "wanted"), SENTENCES)
def test_castling_played_is_decided(line: str, words: str, wanted: str | None, timed: bool) -> None:
    assert_verdict(Kind.KING, line, words, wanted, timed=timed)
