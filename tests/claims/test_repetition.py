"""That the position has stood on the board before (FIDE Laws 9.2)."""

from __future__ import annotations

import pytest

from linewright.lesson.finding import Kind
from tests.claims.support import assert_verdict

#: The knights go out and home again.
ROUND = "[Nf3|Out] [Nf6|out] [Ng1|in] [Ng8|in]"
BACK = "[Ng1|Back], [Nb8|back], [Nf3|out], [Nc6|out]"
#: Line, words, verdict; None where nothing is claimed of the board.
SENTENCES = [
    ("open", "That's a threefold repetition.", "fails"),
    ("open", f"{BACK}, now it's the second time we have this position", "holds"),
    (
        "open",
        f"{BACK}, now it's the second time, and that with the same moves as before in this position",
        None,
    ),
    (
        "start",
        f"{ROUND} {ROUND}, and that's a draw by repetition",
        "holds",
    ),
    ("start", f"{ROUND}, and that's a draw by repetition", "fails"),
    ("start", f"{ROUND}. The position has occurred twice", "holds"),
    ("start", f"{ROUND}, the same position three times", "fails"),
    ("italian repeated", "We have the same position for the second time.", "holds"),
    ("open", "he could force a draw by repetition", None),
    ("open", "I told you for the third time", None),
]


@pytest.mark.parametrize("timed", [False, True], ids=["typed", "captions"])
@pytest.mark.parametrize(("line", "words", "wanted"), SENTENCES)
def test_repetitions_are_counted(line: str, words: str, wanted: str | None, timed: bool) -> None:
    assert_verdict(Kind.REPETITION, line, words, wanted, timed=timed)
