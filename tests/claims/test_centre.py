"""Claims about the centre as trainers word them, on lines whose centre the handbooks name."""

from __future__ import annotations

import chess
import pytest

from linewright.claims.check import check_walk
from linewright.claims.claim_kind import Facts
from linewright.claims.kinds.pawns.centre import CentreClaim, What, decide
from linewright.claims.model import Verdict
from linewright.claims.rulings import ANY, Side
from tests.claims.support import walk_of

FRENCH = "rnbqkbnr/ppp2ppp/4p3/3pP3/3P4/8/PPP2PPP/RNBQKBNR w KQkq - 0 4"
CLASSICAL = "rnbqkbnr/ppp2ppp/8/8/3PP3/8/PP3PPP/RNBQKBNR b KQkq - 0 4"
OPEN = "rnbqkbnr/ppp2ppp/8/8/8/8/PPP2PPP/RNBQKBNR w KQkq - 0 4"

DECIDED = [
    # words' meaning, whose, denied, position, verdict
    (What.CLASSICAL, Side.of(chess.WHITE), False, CLASSICAL, Verdict.HOLDS),
    (What.CLASSICAL, Side.of(chess.BLACK), False, CLASSICAL, Verdict.FAILS),
    (What.CLASSICAL, Side.of(chess.WHITE), False, FRENCH, Verdict.UNDECIDED),  # one of the pair: a stretch
    (What.CLASSICAL, Side.of(chess.WHITE), True, CLASSICAL, Verdict.FAILS),
    (What.CLOSED, ANY, False, FRENCH, Verdict.HOLDS),
    (What.CLOSED, ANY, False, OPEN, Verdict.FAILS),
    (What.OPEN, ANY, False, OPEN, Verdict.HOLDS),
    (What.OPEN, ANY, False, FRENCH, Verdict.FAILS),
    (What.OPEN, ANY, False, CLASSICAL, Verdict.UNDECIDED),
    (What.SPACE, Side.of(chess.WHITE), False, FRENCH, Verdict.HOLDS),
    (What.SPACE, Side.of(chess.BLACK), False, FRENCH, Verdict.UNDECIDED),
]


@pytest.mark.parametrize(("what", "side", "denied", "fen", "verdict"), DECIDED)
def test_centre_is_ruled_on_the_board(what: What, side: Side, denied: bool, fen: str, verdict: Verdict) -> None:
    assert decide(CentreClaim(what, side, denied), Facts(chess.Board(fen))).verdict is verdict


@pytest.mark.parametrize(
    ("words", "wanted"),
    [
        ("White has a classical centre.", "fails"),
        ("the centre is closed now", "undecided"),
        ("If he takes, the centre is open.", ""),
        ("White wants more space", ""),
    ],
)
def test_centre_claims_are_found_in_words(words: str, wanted: str) -> None:
    found = [f.verdict.value for f in check_walk(walk_of(words)) if f.kind == "centre"]
    assert found == ([wanted] if wanted else [])
