"""Claims about castling, repetition and transposition as trainers word them."""

from __future__ import annotations

import pytest

from linewright.claims.check import check_walk
from linewright.claims.model import Kind
from tests.claims.support import by_rule, walk_of

# kind, line, side of the lesson, words with moves marked, verdict
CLAIMS = [
    # castling
    ("king", "king walk", "white", "Black can never castle.", "holds"),
    ("king", "king walk", "white", "he has lost the right to castle", "holds"),
    ("king", "king walk", "white", "black can no longer castle", "holds"),
    ("king", "king walk", "white", "his castling rights are gone", "holds"),
    ("king", "king walk", "white", "he won't be able to castle any more", "holds"),
    ("king", "king walk", "white", "White can still castle", "holds"),
    ("king", "king walk", "white", "we've lost the right to castle", "fails"),
    ("king", "king walk", "white", "we can't castle any more", "fails"),
    ("king", "open", "white", "black has lost the right to castle", "fails"),
    ("king", "open", "white", "he can't castle now", "undecided"),
    ("king", "open", "white", "if the king moves he can never castle", ""),
    ("king", "open", "white", "he wants to castle queenside", ""),
    ("king", "open", "white", "we castle next move", ""),
    # repetition
    ("repetition", "open", "white", "That's a threefold repetition.", "fails"),
    ("repetition", "open", "white", "[Ng1|Back], [Nb8|back], [Nf3|out], [Nc6|out], now it's the second time we have "
                                    "this position", "holds"),
    ("repetition", "start", "white", "[Nf3|Out] [Nf6|out] [Ng1|in] [Ng8|in] [Nf3|out] [Nf6|out] [Ng1|in] [Ng8|in], "
                                     "and that's a draw by repetition", "holds"),
    ("repetition", "start", "white", "[Nf3|Out] [Nf6|out] [Ng1|in] [Ng8|in], and that's a draw by repetition", "fails"),
    ("repetition", "start", "white", "[Nf3|Out] [Nf6|out] [Ng1|in] [Ng8|in]. The position has occurred twice", "holds"),
    ("repetition", "open", "white", "he could force a draw by repetition", ""),
    ("repetition", "open", "white", "I told you for the third time", ""),
    # transposition
    ("transposition", "start", "white", "[Nf3|Knight f3] [d5|d5] [d4|d4]. [<3|Or] [d4|d4] [d5|d5] [Nf3|knight f3], "
                                        "and we have exactly the same position as before", "holds"),
    ("transposition", "start", "white", "[Nf3|Knight f3] [d5|d5] [d4|d4]. [<3|Or] [d4|d4] [d5|d5] [Nf3|knight f3], "
                                        "we're back in what we had a moment ago", "holds"),
    ("transposition", "start", "white", "[Nf3|Knight f3] [d5|d5] [d4|d4]. [<3|Or] [d4|d4] [d5|d5], and it's the same "
                                        "position as earlier", "undecided"),
    ("transposition", "start", "white", "[Nf3|So] [Nf6|so] [c4|so] [g6|so] [Nc3|so] [d5|so] [d4|so] [Bg7|so], and we "
                                        "have transposed into the Grunfeld", "holds"),
    ("transposition", "open", "white", "we have transposed to the French Defence", "undecided"),
    ("transposition", "open", "white", "he turns into a lion", ""),
    ("repetition", "start", "white", "[Nf3|Out] [Nf6|out] [Ng1|in] [Ng8|in], the same position three times", "fails"),
    ("king", "open", "white", "my friend says black can't castle any more", "fails"),
]  # fmt: skip


@pytest.mark.parametrize(
    ("kind", "line", "side", "words", "verdict"), CLAIMS, ids=[f"{r[0]}: {r[3][-60:]}" for r in CLAIMS]
)
@pytest.mark.parametrize("timed", [False, True], ids=["typed", "captions"])
def test_claims_are_found_and_decided(kind: str, line: str, side: str, words: str, verdict: str, timed: bool) -> None:
    if timed and words.endswith("?"):
        pytest.skip("a question that only its mark tells")
    found = by_rule(check_walk(walk_of(words, line, side, timed)), Kind(kind))
    assert [f.verdict.value for f in found] == ([verdict] if verdict else []), [f.evidence for f in found]
