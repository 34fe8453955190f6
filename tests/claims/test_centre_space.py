"""Claims about the centre as trainers word them, on lines whose centre the handbooks name."""

from __future__ import annotations

import chess
import pytest

from linewright.claims.claim_kind import Facts
from linewright.claims.kinds.pawns.centre_space import CentreClaim, CentreTopic, decide
from linewright.claims.rulings import ANY, Side
from linewright.lesson.finding import Kind, Verdict
from tests.claims.support import verdicts_of

FRENCH = "rnbqkbnr/ppp2ppp/4p3/3pP3/3P4/8/PPP2PPP/RNBQKBNR w KQkq - 0 4"
CLASSICAL = "rnbqkbnr/ppp2ppp/8/8/3PP3/8/PP3PPP/RNBQKBNR b KQkq - 0 4"
OPEN = "rnbqkbnr/ppp2ppp/8/8/8/8/PPP2PPP/RNBQKBNR w KQkq - 0 4"

DECIDED = [
    # words' meaning, whose, denied, position, verdict
    (CentreTopic.CLASSICAL, Side.of(chess.WHITE), False, CLASSICAL, Verdict.HOLDS),
    (CentreTopic.CLASSICAL, Side.of(chess.BLACK), False, CLASSICAL, Verdict.FAILS),
    (CentreTopic.CLASSICAL, Side.of(chess.WHITE), False, FRENCH, Verdict.UNDECIDED),  # one of the pair: a stretch
    (CentreTopic.CLASSICAL, Side.of(chess.WHITE), True, CLASSICAL, Verdict.FAILS),
    (CentreTopic.CLOSED, ANY, False, FRENCH, Verdict.HOLDS),
    (CentreTopic.CLOSED, ANY, False, OPEN, Verdict.FAILS),
    (CentreTopic.OPEN, ANY, False, OPEN, Verdict.HOLDS),
    (CentreTopic.OPEN, ANY, False, FRENCH, Verdict.FAILS),
    (CentreTopic.OPEN, ANY, False, CLASSICAL, Verdict.UNDECIDED),
    (CentreTopic.SPACE, Side.of(chess.WHITE), False, FRENCH, Verdict.HOLDS),
    (CentreTopic.SPACE, Side.of(chess.BLACK), False, FRENCH, Verdict.UNDECIDED),
]


@pytest.mark.parametrize(("what", "side", "denied", "fen", "verdict"), DECIDED)
def test_centre_is_ruled_on_the_board(what: CentreTopic, side: Side, denied: bool, fen: str, verdict: Verdict) -> None:
    assert decide(CentreClaim(what, side, denied), Facts(chess.Board(fen))).verdict is verdict


#: line, side of the lesson, words, verdict; "" for no claim
SAID = [
    ("start", "white", "White has a classical centre.", "fails"),
    ("start", "white", "the centre is closed now", "undecided"),
    ("start", "white", "If he takes, the centre is open.", ""),
    ("start", "white", "White wants more space", ""),
    ("italian", "white", "White has the classical centre.", "holds"),
    ("french", "white", "White has two pawns in the centre.", "undecided"),
    ("french", "white", "Black has a pawn in the middle.", "holds"),
    ("french", "white", "He puts a pawn in the middle.", ""),
    ("start", "white", "We've got a pawn in the centre.", "fails"),
    ("french", "white", "White has no pawns in the centre.", "undecided"),
    ("start", "white", "[c4|C4]. White has a pawn in the centre.", "undecided"),  # loosely said of a c pawn
    ("french", "black", "One of my pawns guards d5.", "holds"),
    ("french", "black", "Two of my pawns guard d5.", "fails"),
    ("french", "black", "One of White's pawns attacks d5.", "holds"),
    ("french", "black", "No black pawn guards e4.", "fails"),
    ("french", "black", "None the less, his pawns are fine.", ""),
]


@pytest.mark.parametrize(("line", "side", "words", "verdict"), SAID, ids=[row[2] for row in SAID])
def test_centre_claims_are_found_in_words(line: str, side: str, words: str, verdict: str) -> None:
    assert verdicts_of(words, line, Kind.CENTRE, side) == ([verdict] if verdict else [])
