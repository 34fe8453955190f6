"""More wordings, as another trainer might have them: written after the finders, kept as a check on them."""

from __future__ import annotations

import pytest

from linewright.claims.check import check_walk
from linewright.claims.model import Kind
from tests.claims.support import walk_of
from tests.claims.test_frequency import BASE

# kind, line, side of the lesson, words with moves marked, verdicts of the findings of that kind
CLAIMS = [
    (
        "structure",
        "tarrasch",
        "white",
        "and that pawn on d5, it's isolated, it'll need defending all game long",
        "holds",
    ),
    ("structure", "tarrasch", "white", "What do we get for it? An isolated black pawn on d5.", "holds"),
    ("structure", "tarrasch", "white", "the d-pawn stands isolated in the middle of the board", "holds"),
    ("structure", "tarrasch", "white", "his d5 pawn has no neighbours, it's an isolani", "holds"),
    ("structure", "tarrasch", "white", "so he is the one with the isolated pawn", "holds"),
    ("structure", "tarrasch", "white", "our blockade of the isolated d5-pawn starts now", "holds"),
    ("structure", "tarrasch", "black", "It's true that we've an isolated pawn here", "holds"),
    ("structure", "tarrasch", "black", "I've taken on an isolated d-pawn, I know, I know", "holds"),
    ("structure", "tarrasch", "white", "neither side has an isolated pawn", "fails"),
    ("structure", "tarrasch", "white", "the pawn has become isolated", "holds"),
    ("structure", "tarrasch", "white", "Black's centre pawn is isolated", "holds"),
    ("structure", "spanish exchange", "white", "and now black's queenside pawns are doubled", "holds"),
    ("structure", "spanish exchange", "white", "Notice the doubled c-pawns", "holds"),
    ("structure", "spanish exchange", "white", "we've damaged his structure: doubled pawns on c6 and c7", "holds"),
    (
        "structure",
        "spanish exchange",
        "white",
        "black's structure has been damaged, the c pawns are doubled for good",
        "holds",
    ),
    ("structure", "spanish exchange", "black", "okay so our pawns on the c file are doubled", "holds"),
    ("structure", "spanish exchange", "white", "there are doubled pawns on the c file", "holds"),
    ("structure", "passed", "white", "That pawn on d5 is passed and it's protected too", "holds"),
    ("structure", "passed", "white", "White's trump is the protected passed pawn on d5", "holds"),
    ("structure", "passed", "white", "the passed d-pawn is worth a rook", "holds"),
    ("structure", "passed", "white", "neither side has a passed pawn", "fails"),
    ("structure", "sveshnikov", "white", "that leaves a backward pawn on d6 and a hole on d5", "holds"),
    ("structure", "sveshnikov", "black", "Our backward d6-pawn looks ugly, but it's fine", "holds"),
    ("structure", "hanging", "white", "The c and d pawns are hanging pawns", "holds"),
    ("structure", "hanging", "white", "black now has the famous hanging pawns", "holds"),
    ("structure", "hanging", "white", "he's got a pair of hanging pawns in the centre", "holds"),
    ("structure", "hanging", "black", "our hanging pawns control the centre", "holds"),
    ("structure", "slav exchange", "white", "a perfectly symmetrical position", "holds"),
    ("structure", "slav exchange", "white", "As for the pawns, they're completely symmetrical", "holds"),
    ("structure", "slav exchange", "white", "both sides have the same pawn structure", "holds"),
    ("structure", "slav exchange", "white", "the structure is a mirror image", "holds"),
    (
        "structure",
        "carlsbad",
        "white",
        "white has an extra pawn in the centre and black has an extra pawn on the queenside",
        "holds",
    ),
    ("structure", "carlsbad", "white", "Black's got a three to two majority on the queenside", "holds"),
    ("structure", "carlsbad", "white", "on the queenside it's two against three", "holds"),
    ("structure", "carlsbad", "white", "it's our two against his three on the queenside", "holds"),
    ("files", "carlsbad", "white", "Our rook will love c1 because the c-file is half open", "holds"),
    ("files", "carlsbad", "white", "black's counterplay comes down the half-open e-file", "holds"),
    ("files", "carlsbad", "white", "With the c file half open, the rook goes to c1", "holds"),
    ("files", "carlsbad", "white", "there's a half-open c file for us to use", "holds"),
    ("files", "carlsbad", "white", "we double on the semi-open c-file", "holds"),
    ("files", "slav exchange", "white", "Only one file is open, the c-file", "holds"),
    ("files", "slav exchange", "white", "The only open file on the board is the c-file", "holds"),
    ("files", "slav exchange", "white", "Everything happens on the open c-file", "holds"),
    ("files", "slav exchange", "white", "with an open c-file the rooks will be swapped", "holds"),
    ("files", "slav exchange", "white", "the c-file has been opened", "holds"),
    ("files", "slav exchange", "white", "the d file is blocked", "holds"),
    ("files", "slav exchange", "white", "the c- and d-files are open", "fails"),
    (
        "files",
        "sicilian",
        "black",
        "black has the half-open c-file, white has the half-open d-file, that's the Sicilian in one sentence",
        "holds holds",
    ),
    ("files", "petroff", "white", "notice that the e-file is now fully open", "holds"),
    ("files", "french", "white", "no files are open yet", "holds"),
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
