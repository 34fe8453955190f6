"""That a position is one known by another road."""

from __future__ import annotations

import pytest

from linewright.lesson.finding import Kind
from tests.claims.support import assert_verdict

#: 1.Nf3 d5 2.d4, then 1.d4 d5 and at last 2.Nf3.
TWO_ROADS = "[Nf3|Knight f3] [d5|d5] [d4|d4]. [<3|Or] [d4|d4] [d5|d5]"
GRUENFELD = "[Nf3|So] [Nf6|so] [c4|so] [g6|so] [Nc3|so] [d5|so] [d4|so] [Bg7|so]"
#: Line, words, verdict; None where nothing is claimed of the board.
SENTENCES = [
    (
        "start",
        f"{TWO_ROADS} [Nf3|knight f3], and we have exactly the same position as before",
        "holds",
    ),
    (
        "start",
        f"{TWO_ROADS} [Nf3|knight f3], we're back in what we had a moment ago",
        "holds",
    ),
    (
        "start",
        f"{TWO_ROADS}, and it's the same position as earlier",
        "undecided",
    ),
    (
        "start",
        f"{GRUENFELD}, and we have transposed into the Grunfeld",
        "holds",
    ),
    ("open", "we have transposed to the French Defence", "undecided"),
    ("open", "we have transposed into a QGD", "undecided"),
    ("open", "we have transposed into a QG", None),
    ("open", "he turns into a lion", None),
]


@pytest.mark.parametrize("timed", [False, True], ids=["typed", "captions"])
@pytest.mark.parametrize(("line", "words", "wanted"), SENTENCES)
def test_transpositions_are_decided(line: str, words: str, wanted: str | None, timed: bool) -> None:
    assert_verdict(Kind.TRANSPOSITION, line, words, wanted, timed=timed)
