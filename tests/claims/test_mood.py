"""Mood: what is denied, hedged, told of another time or position is never called false of the board as it is."""

from __future__ import annotations

import pytest

from linewright.claims.check import check_walk
from linewright.claims.sentence.mood import mood
from linewright.claims.sentence.talk_scene import Scene
from tests.claims.support import walk_of

#: Nothing of this may be called false: it speaks of what may come, was, or is elsewhere.
NOT_OF_THIS_BOARD = [
    ("tarrasch", "The d5 pawn is not necessarily weak."),
    ("tarrasch", "The d5 pawn will be isolated."),
    ("tarrasch", "The d5 pawn was isolated."),
    ("open", "The d5 pawn is going to be isolated."),
    ("open", "After the exchange black has an isolated pawn."),
    ("open", "Once he takes, the d pawn is isolated."),
    ("open", "If black plays d5 then white has an isolated pawn."),
    ("open", "If black plays d5 the e file is open."),
    ("open", "The e file is about to open."),
    ("open", "The e file will soon be open."),
    ("open", "Usually the d file is open."),
    ("open", "Some would say black is worse."),
    ("open", "Probably the e file is open."),
    ("open", "Perhaps white has more space."),
    ("open", "White is two tempi ahead."),
    ("open", "White is two tempi ahead of the main line."),
    ("open", "White has more space than black."),
    ("open", "White has more space than in the last line."),
    ("open", "Black is better developed than before."),
    ("open", "White has three pieces out more than usual."),
    ("open", "Before that, black could castle."),
    ("open", "Black had two bishops."),
    ("open", "We would be a pawn up."),
    ("open", "We could be a pawn up."),
    ("open", "That would leave him with doubled pawns."),
    ("open", "The knight isn't pinned yet."),
    ("open", "The knight is almost pinned."),
    ("open", "If the knight moves, the bishop hangs."),
    ("open", "Then the bishop hangs."),
    ("open", "And later the bishop on c4 hangs."),
    ("open", "The bishop no longer hangs."),
    ("open", "The knight was pinned."),
    ("open", "Is the knight pinned?"),
    ("open", "Why is the knight pinned?"),
    ("open", "In the other line black is a pawn down."),
    ("open", "In the last game black was a pawn up."),
    ("open", "The king would be in check."),
    ("open", "Black has to be careful, otherwise it's mate."),
    ("open", "One slip and it's mate."),
    ("open", "If he does that, it's mate in two."),
    ("open", "He dreams of doubled rooks and mate."),
    ("open", "White wants to win a pawn."),
    ("open", "White has won a pawn in many games like this."),
    ("open", "When the d file is open the rooks belong there."),
    ("open", "Suppose the d file is open."),
    ("open", "Let's say the d file is open."),
    ("open", "Without the knight, the e5 pawn hangs."),
    ("open", "You could say the e5 pawn is isolated."),
    ("open", "Not yet a fork."),
    ("open", "There's no fork on c7."),
    ("open", "The knight doesn't hang"),
    ("open", "The knight never hangs"),
    ("open", "Neither side can castle"),
    ("open", "Black could have castled"),
    ("open", "Black should be fine"),
    ("open", "Kasparov said white is winning"),
    ("open", "As if the e file were open"),
    ("open", "As soon as the e file is open"),
    ("open", "Before the e file is open"),
    ("open", "Provided the e file is open"),
    ("open", "Otherwise the e file is open"),
    ("open", "Or else the e file is open"),
    ("open", "In which case the e file is open"),
    ("open", "Then the e file is open"),
    ("open", "Eventually the e file is open"),
    ("open", "In the endgame the e file is open"),
    ("open", "In the final position the e file is open"),
    ("open", "A few moves later the e file is open"),
    ("open", "At the end of the line the e file is open"),
    ("open", "Last time the e file was open"),
    ("open", "Earlier the e file was open"),
    ("open", "Compared with before the e file is open"),
    ("open", "Instead of an open e file"),
    ("open", "The e file is nearly open"),
]  # fmt: skip
#: Denied, and decided: line, words, verdict.
DENIED = [
    ("tarrasch", "The d5 pawn is no longer isolated.", "fails"),
    ("tarrasch", "The d5 pawn is not isolated.", "fails"),
    ("tarrasch", "The a7 pawn is not isolated.", "holds"),
    ("tarrasch", "White doesn't have an isolated pawn.", "holds"),
    ("open", "It doesn't leave him with doubled pawns.", "holds"),
    ("open", "The e file isn't open yet.", "holds"),
    ("open", "The e file is not open.", "holds"),
    ("open", "We're not a pawn up.", "holds"),
    ("open", "Black hasn't lost the right to castle.", "holds"),
    ("open", "The knight on c6 isn't pinned.", "holds"),
    ("open", "The e5 pawn isn't attacked.", "fails"),
    ("open", "No, the e file is open.", "fails"),
    ("open", "My coach said the e file is open.", "fails"),
    ("open", "In this line black is a pawn down.", "fails"),
    ("king walk", "Black has no right to castle.", "holds"),
    ("king walk", "White hasn't castled.", "holds"),
    ("spanish exchange", "White has given up the bishop pair.", "holds"),
    ("spanish exchange", "Black has given up the bishop pair.", "fails"),
    ("spanish exchange", "White no longer has the bishop pair.", "holds"),
]


@pytest.mark.parametrize("timed", [False, True], ids=["typed", "captions"])
@pytest.mark.parametrize(("line", "words"), NOT_OF_THIS_BOARD)
def test_nothing_is_called_false_of_another_board(line: str, words: str, timed: bool) -> None:
    if timed and words.endswith("?"):
        pytest.skip("captions don't show that it is asked")
    found = check_walk(walk_of(words, line, "white", timed))
    assert [f for f in found if f.verdict == "fails"] == []


@pytest.mark.parametrize("timed", [False, True], ids=["typed", "captions"])
@pytest.mark.parametrize(("line", "words", "wanted"), DENIED)
def test_what_is_denied_is_decided(line: str, words: str, wanted: str, timed: bool) -> None:
    found = check_walk(walk_of(words, line, "white", timed))
    assert {f.verdict.value for f in found} == {wanted}


@pytest.mark.parametrize(
    ("words", "negated"),
    [
        ("not {isolated}", True),
        ("not the weak {isolated}", True),
        ("not the old weak {isolated}", False),  # one word that owns nothing, not two
        (f"not {'the ' * 6}{{isolated}}", True),
        (f"not {'the ' * 7}{{isolated}}", False),  # seven words back, not eight
        ("no, the {isolated}", False),
        ("no he has the {isolated}", False),
        ("no doubt {isolated}", False),
    ],
)
def test_a_not_reaches_what_it_denies(words: str, negated: bool) -> None:
    before, _, own = words.partition("{")
    scene = Scene(walk_of(before + own.replace("}", "")))
    (sentence,) = scene.sentences
    first = len(before.split())
    assert mood(scene, sentence, (0, len(sentence.tokens)), (first, len(sentence.tokens))).negated == negated


@pytest.mark.parametrize(("words", "unreal"), [(13, True), (14, False)])
def test_a_condition_governs_the_next_fourteen_words(words: int, unreal: bool) -> None:
    text = f"If {'slowly ' * words}, the e file is open."
    found = check_walk(walk_of(text, "open", "white"))
    assert [f.verdict.value for f in found if f.kind == "files" and not f.remark] == ([] if unreal else ["fails"])
