"""Claims about who stands better, against given engine verdicts."""

from __future__ import annotations

import chess
import pytest

from linewright.claims.check import check_walk
from linewright.claims.claim_kind import Facts
from linewright.claims.engine_questions import one_by_one
from linewright.claims.kinds.assessment.assessment import AssessmentClaim, decide
from linewright.claims.model import Verdict
from linewright.claims.rulings import UNCLEAR, Side
from linewright.engine.model import EngineVerdict, Line, Score
from tests.claims.support import walk_of

WHITE, BLACK = Side.of(chess.WHITE), Side.of(chess.BLACK)


def verdict(score: Score) -> EngineVerdict:
    return EngineVerdict(chess.Board().epd(), (Line(score, None, ("e2e4",)),), "an engine", 1_000_000, 20)


DECIDED = [
    (AssessmentClaim(WHITE, "clear"), Score(105), "holds"),
    (AssessmentClaim(BLACK, "clear"), Score(100), "fails"),
    (AssessmentClaim(BLACK, "clear"), Score(-100), "holds"),
    (AssessmentClaim(WHITE, "winning"), Score(30), "fails"),
    (AssessmentClaim(WHITE, "winning"), Score(150), "undecided"),  # within the leeway
    (AssessmentClaim(WHITE, "winning"), Score(mate=3), "holds"),
    (AssessmentClaim(WHITE, "slight"), Score(50), "holds"),
    (AssessmentClaim(None), Score(0), "holds"),
    (AssessmentClaim(None), Score(-200), "fails"),
    (AssessmentClaim(UNCLEAR, "clear"), Score(-200), "undecided"),
    (AssessmentClaim(WHITE, "clear", denied=True), Score(200), "fails"),
    (AssessmentClaim(WHITE, "clear", denied=True), Score(90), "undecided"),
    (AssessmentClaim(WHITE, "clear", denied=True), Score(10), "holds"),
    (AssessmentClaim(WHITE, "clear", doubted=True), Score(10), "undecided"),
    (AssessmentClaim(BLACK, "fine"), Score(30), "holds"),
    (AssessmentClaim(BLACK, "fine"), Score(150), "fails"),
    (AssessmentClaim(BLACK, "holding"), Score(120), "undecided"),
    (AssessmentClaim(BLACK, "equalised"), Score(0), "holds"),
    (AssessmentClaim(BLACK, "equalised"), Score(110), "fails"),
    (AssessmentClaim(WHITE, "compensation"), Score(-20), "holds"),
    (AssessmentClaim(WHITE, "nothing"), Score(20), "holds"),
    (AssessmentClaim(WHITE, "nothing"), Score(150), "fails"),
    (AssessmentClaim(None, "drawn"), Score(60), "undecided"),
    (AssessmentClaim(None, "unclear"), Score(60), "undecided"),
    (AssessmentClaim(WHITE, "preferred"), Score(-300), "undecided"),
]


@pytest.mark.parametrize(("claim", "score", "wanted"), DECIDED)
def test_words_are_compared_with_the_score(claim: AssessmentClaim, score: Score, wanted: str) -> None:
    assert decide(claim, Facts(chess.Board(), assessed=verdict(score))).verdict.value == wanted


def test_without_an_engine_assessments_stay_open() -> None:
    assert decide(AssessmentClaim(WHITE, "clear"), Facts(chess.Board())).verdict is Verdict.UNDECIDED


@pytest.mark.parametrize(
    ("words", "wanted"),
    [
        ("White is clearly better here.", ["fails"]),
        ("Black is completely lost.", ["fails"]),
        ("This is about equal.", ["holds"]),
        ("He's lost the right to castle.", []),
        ("White is winning a pawn.", []),
        ("If he takes, white is better.", []),
        ("White has a better bishop.", []),
    ],
)
def test_assessments_are_found_and_judged(words: str, wanted: list[str]) -> None:
    found = check_walk(
        walk_of(words, side="white"), judge=one_by_one(lambda board: verdict(Score(10 if board.turn else -10)))
    )
    assert [f.verdict.value for f in found if f.kind == "assessment"] == wanted
