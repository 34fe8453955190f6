"""Freer ways of saying it: fragments, asides, squares and years in words, moves pointed at; our own sentences."""

from __future__ import annotations

import pytest

from linewright.claims.check import check_walk
from linewright.claims.model import Kind
from tests.claims.support import ScriptedBase, by_rule, walk_of

BASE = ScriptedBase(
    {
        "e4 e5 Nf3 Nc6": {"Bb5": 70, "Bc4": 25, "d4": 5},
        "e4 e5 Nf3 Nc6 Bb5": {"a6": 80, "Nf6": 20},
    }
)

#: kind, line, side of the lesson, words with moves marked, verdict; "" for none.
CLAIMS = [
    ("frequency", "open", "white", "[Bb5|Bishop b5]. No other move has been played so often.", "holds"),
    ("frequency", "open", "white", "[Bc4|Bishop c4]. No other third move is seen so often.", "fails"),
    (
        "frequency",
        "open",
        "white",
        "[Bc4|Bishop c4], with an eye on f7 and on many a happy evening of our youth. This bishop move remains the "
        "favourite.",
        "fails",
    ),
    ("frequency", "open", "white", "Bishop c4's the one you see the most of.", "fails"),
    ("frequency", "open", "white", "Bishop b5 is more popular than bishop c4.", "holds"),
    ("frequency", "open", "white", "Bishop c4 is played more often here than bishop b5.", "fails"),
    ("frequency", "open", "white", "Bishop c4 is rarer than bishop b5.", "holds"),
    ("frequency", "open", "white", "They go bishop c4 just as often as bishop b5.", "fails"),
    ("frequency", "open", "white", "I like bishop c4 more than bishop b5.", ""),
    ("frequency", "open", "white", "Bishop b five is the main move.", "holds"),
    ("frequency", "open", "white", "All games taken together I had a good year.", ""),
    ("frequency", "open", "white", "Rule number one, look at the whole board.", ""),
]


@pytest.mark.parametrize(("kind", "line", "side", "words", "verdict"), CLAIMS, ids=[c[3][:40] for c in CLAIMS])
def test_freer_words(kind: str, line: str, side: str, words: str, verdict: str) -> None:
    found = by_rule(check_walk(walk_of(words, line, side), BASE), Kind(kind))
    assert [f.verdict.value for f in found] == ([verdict] if verdict else []), [f.evidence for f in found]
