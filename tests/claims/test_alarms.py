"""No wrong alarm: true remarks, and remarks that claim nothing, are never called false.

Every row is told from White's side. Games are counted in the scripted base of ``test_frequency``.
"""

from __future__ import annotations

import pytest

from linewright.claims.check import check_walk
from linewright.lesson.finding import Verdict
from tests.claims.support import walk_of
from tests.claims.test_frequency import BASE

# line, words
TRUE_OR_NO_CLAIM = [
    ("tarrasch", "It is not the isolated pawn on d5 that worries Black, it's the square in front of it"),
    ("tarrasch", "Black doesn't just have an isolated pawn, he also has a bad bishop"),
    ("tarrasch", "White doesn't have an isolated pawn, black does"),
    ("tarrasch", "in return for the isolated pawn black gets free piece play"),
    ("tarrasch", "he can't get rid of the isolated pawn on d5"),
    ("tarrasch", "Nobody likes an isolated pawn"),
    ("tarrasch", "We have no isolated pawns, he has one"),
    ("tarrasch", "unlike in the main line, we don't end up with an isolated pawn"),
    ("tarrasch", "pawns that are isolated need pieces around them"),
    ("tarrasch", "black's pieces are active, the d pawn isn't weak yet"),
    ("tarrasch", "there used to be an isolated pawn on e6 in the old line"),
    ("tarrasch", "White's knight on f3 watches the isolated pawn"),
    ("tarrasch", "White would like to trade knights and attack the isolated pawn on d5"),
    ("tarrasch", "the c and d files are where the action is, the d file is half open for us"),
    ("tarrasch", "the e file is half open for black"),
    ("tarrasch", "his bishop on c5 is strong but the d pawn is isolated"),
    ("spanish exchange", "White has a sound structure and Black has doubled pawns"),
    ("spanish exchange", "we'll see whether doubled pawns matter"),
    ("spanish exchange", "Black has the bishop pair, white has the better pawns"),
    ("spanish exchange", "four pawns against three on the kingside is what white wants to get"),
    ("spanish exchange", "black can't undouble his pawns easily"),
    ("spanish exchange", "the pawns on c7 and c6 are doubled but not isolated"),
    ("spanish exchange", "now if he takes on e5, queen d4, and black's a pawn down"),
    ("spanish exchange", "the d file is half open for black, and later white will open it with d4"),
    ("winawer", "White has the two bishops. His c pawns are doubled"),
    ("open", "the e file isn't open yet"),
    ("open", "No pawns have been traded, no files are open, nobody has a weakness"),
    ("open", "we're not a pawn up, it's a gambit"),
    ("open", "white gives up a pawn for two tempi"),
    ("open", "he still has the right to castle"),
    ("open", "we can castle next move"),
    ("open", "the knight can go to d5 and win the exchange"),
    ("open", "You can play d4 here, that's the Scotch, but most people go bishop b5"),
    ("open", "bishop c4 isn't the main move, bishop b5 is"),
    ("open", "not many people know that bishop b5 is called the Spanish"),
    ("open", "the main idea is knight c3"),
    ("open", "My main weapon is d4"),
    ("open", "the usual plan is castles and rook e1"),
    ("open", "knight c3 usually transposes to the Four Knights"),
    ("open", "The most natural move is bishop c4"),
    ("open", "The most aggressive move is d4"),
    ("open", "the most important move to know is d4"),
    ("open", "one of the most popular moves is bishop c4"),
    ("open", "among the most common moves is bishop c4"),
    ("open", "bishop c4 is almost as popular as bishop b5"),
    ("open", "bishop c4 is less common"),
    ("open", "apart from bishop b5, the most common move is bishop c4"),
    ("open", "after bishop b5 the main move is d4 again"),
    ("open", "after bishop b5 most people play a6"),
    ("open", "the knight nearly always ends up on d5"),
    ("open", "later the bishop nearly always goes to g5"),
    ("open", "most grandmasters no longer play bishop c4"),
    ("open", "the main move used to be bishop c4"),
    ("open", "fifty percent of my games start like this, with knight f3"),
    ("carlsbad", "the minority attack works because black has the majority on the queenside"),
    ("carlsbad", "we don't have a queenside majority, we have the minority"),
    ("carlsbad", "White has one pawn island more? no, two each"),
    ("carlsbad", "it isn't symmetrical any more"),
    ("passed", "we're two pieces... no wait, we're a pawn up"),
    ("passed", "a pawn up and with a passed pawn, white should win"),
    ("king walk", "he's given up castling for a piece"),
    ("king walk", "we've got the same position as in the book"),
    ("sicilian", "we are ahead in development"),
    ("sicilian", "black has the half open c file and an extra centre pawn"),
    ("sicilian", "white has two knights out, black has one"),
]


@pytest.mark.parametrize(("line", "words"), TRUE_OR_NO_CLAIM, ids=[row[1][:70] for row in TRUE_OR_NO_CLAIM])
@pytest.mark.parametrize("timed", [False, True], ids=["typed", "captions"])
def test_nothing_is_called_false(line: str, words: str, timed: bool) -> None:
    if timed and "?" in words:
        pytest.skip("a question that only its mark tells")
    found = check_walk(walk_of(words, line, "white", timed), BASE)
    assert not [(f.said.words, f.evidence) for f in found if f.verdict is Verdict.FAILS]
