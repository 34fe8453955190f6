"""More wordings, as another trainer might have them: written after the finders, kept as a check on them."""

from __future__ import annotations

import pytest

from linewright.claims.check import check_walk
from linewright.claims.model import Kind
from tests.claims.support import walk_of
from tests.claims.test_frequency import BASE

# kind, line, side of the lesson, words with moves marked, verdicts of the findings of that kind
CLAIMS = [
    ("frequency", "open", "white", "Ninety percent of players choose bishop b5", "fails"),
    ("frequency", "open", "white", "Bishop b5 is what most people play.", "holds"),
    ("frequency", "open", "white", "By a wide margin the most popular continuation is bishop to b5", "holds"),
    ("frequency", "open", "white", "White's most common try is bishop c4", "fails"),
    ("frequency", "open", "white", "h3 is almost never seen", "holds"),
    ("frequency", "open", "white", "Here you'll mostly see bishop b5", "holds"),
    ("frequency", "open", "white", "What everyone plays is bishop b5", "fails"),
    ("frequency", "open", "white", "the standard move is bishop b5", "holds"),
    ("frequency", "open", "white", "in the vast majority of games white goes bishop b5", "fails"),
    ("frequency", "open", "white", "two thirds of the time it's bishop b5", "holds"),
    ("frequency", "open", "white", "[Bb5|Bishop b5] is by far the most common", "holds"),
    ("frequency", "open", "white", "[Nc3|Knight c3]. You don't see that very often.", "holds"),
    ("frequency", "open", "white", "[d4|d4], and this is a rare guest", "undecided"),
    ("frequency", "open", "white", "[h3|h3], practically nobody plays this", "holds"),
    ("frequency", "open", "white", "[Bb5|bishop b5], as almost everyone does", "fails"),
    ("frequency", "open", "white", "the second choice is bishop c4", "holds"),
    ("frequency", "open", "white", "One in three players goes bishop c4", "holds"),
    ("frequency", "open", "white", "people tend to play bishop b5", "holds"),
    ("frequency", "open", "white", "the move you'll meet most often is bishop b5", "holds"),
    ("frequency", "open", "white", "Most common by far: bishop b5.", "holds"),
]


@pytest.mark.parametrize(
    ("kind", "line", "side", "words", "verdicts"), CLAIMS, ids=[f"{r[0]}: {r[3][-60:]}" for r in CLAIMS]
)
@pytest.mark.parametrize("timed", [False, True], ids=["typed", "captions"])
def test_claims_are_found_and_decided(kind: str, line: str, side: str, words: str, verdicts: str, timed: bool) -> None:
    found = [f for f in check_walk(walk_of(words, line, side, timed), BASE) if f.kind is Kind(kind)]
    assert [f.verdict.value for f in found] == verdicts.split(), [f.evidence for f in found]
