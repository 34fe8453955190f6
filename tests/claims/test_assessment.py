"""Claims about who stands better: what the words mean, typed and as captions, and given engine verdicts."""

from __future__ import annotations

import chess
import pytest

from linewright.claims.check import check_walk
from linewright.claims.claim_kind import Facts
from linewright.claims.engine_questions import one_by_one
from linewright.claims.kinds.assessment.assessment import AssessmentClaim, decide, find
from linewright.claims.kinds.assessment.score_bands import BANDS
from linewright.claims.rulings import UNCLEAR, Side
from linewright.claims.sentence.talk_scene import Scene
from linewright.engine.model import EngineVerdict, Line, Score
from linewright.lesson.finding import Verdict
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


@pytest.mark.parametrize(
    ("words", "wanted"),
    [
        ("I'm a good deal better here.", ["undecided"]),
        ("White is a lot worse here.", ["undecided"]),
        ("Is white a touch better? My books say yes.", ["undecided"]),
        ("Is white a touch better?", []),
    ],
)
def test_questions_claim_something_only_with_their_answer(words: str, wanted: list[str]) -> None:
    found = check_walk(walk_of(words, "open", "black"))
    assert [f.verdict.value for f in found if f.kind == "assessment"] == wanted


#: Words, whom they speak of as better (or of whom the degree is said), the degree; "doubted" where nothing is claimed
#: for sure.
MEANT = [
    ("White is better.", "white", "better"),
    ("White stands better here.", "white", "better"),
    ("White's better here already.", "white", "better"),
    ("Black has the upper hand.", "black", "better"),
    ("White is on top.", "white", "better"),
    ("The position favours white.", "white", "better"),
    ("White has an edge.", "white", "better"),
    ("We have an advantage here.", "white", "better"),
    ("Black is worse.", "white", "better"),
    ("Black is in trouble.", "white", "better"),
    ("This is bad for black.", "white", "better"),
    ("This is good for black.", "black", "better"),
    ("White is slightly better.", "white", "slight"),
    ("White's a bit better.", "white", "slight"),
    ("White is a shade better.", "white", "slight"),
    ("A shade better for white.", "white", "slight"),
    ("White has a slight edge.", "white", "slight"),
    ("White keeps a small advantage.", "white", "slight"),
    ("It's slightly in white's favour.", "white", "slight"),
    ("White, I think, by a little.", "white", "slight"),
    ("Black is a bit worse.", "white", "slight"),
    ("And who is better? White, I think, by a little.", "white", "slight"),
    ("White is clearly better.", "white", "clear"),
    ("White, I submit, is clearly better.", "white", "clear"),
    ("He is much better.", "black", "clear"),
    ("White has a clear advantage.", "white", "clear"),
    ("A clear advantage for black.", "black", "clear"),
    ("Black is in big trouble.", "white", "clear"),
    ("White is winning.", "white", "winning"),
    ("White is completely winning, it's over.", "white", "winning"),
    ("White is simply winning because of the pawn.", "white", "winning"),
    ("White has a decisive advantage.", "white", "winning"),
    ("Black is lost.", "white", "winning"),
    ("Black is dead lost.", "white", "winning"),
    ("Black can resign.", "white", "winning"),
    ("The ending is winning for white.", "white", "winning"),
    ("Black is fine.", "black", "fine"),
    ("Black is perfectly OK.", "black", "fine"),
    ("Black has no problems at all.", "black", "fine"),
    ("Black is comfortable.", "black", "fine"),
    ("Black's position is fine.", "black", "fine"),
    ("Fine for black.", "black", "fine"),
    ("Black has equalised.", "black", "equalised"),
    ("Black has solved all his problems.", "black", "equalised"),
    ("Black holds easily.", "black", "holding"),
    ("White has full compensation for the pawn.", "white", "compensation"),
    ("White has no advantage.", "white", "nothing"),
    ("There's nothing for white here.", "white", "nothing"),
    ("I'd rather be white here.", "white", "preferred"),
    ("White's advantage is beyond doubt.", "white", "clear"),
    ("White should be better.", "white", "better"),
    ("Black has a difficult position.", "white", "better"),
    ("This is crushing for white.", "white", "winning"),
    ("The engine says zero zero.", "", "level"),
    ("This is equal.", "", "level"),
    ("It is dead level.", "", "level"),
    ("Perfectly equal.", "", "level"),
    ("Nobody is better.", "", "level"),
    ("The position is balanced.", "", "level"),
    ("It's a dead draw.", "", "drawn"),
    ("The position is unclear.", "", "unclear"),
    ("Chances for both sides.", "", "balanced"),
    # Said in doubt, of which an engine's figure is all that can be told.
    ("White's a little better than in the last line.", "white", "doubted"),
    ("A shade better for white, but good players argue about it.", "white", "doubted"),
    ("I used to teach that white is better.", "white", "doubted"),
    ("Who is better, the engine says nobody.", "", "doubted"),
    ("And who is better? White, I think, by a little, but I keep losing it.", "", "doubted"),
    ("Is white better? I think a tiny bit.", "", "doubted"),
]
#: Nothing is claimed of who stands better now.
SILENT = [
    "Is white better?", "Who stands better and why?", "White is better developed.", "White has a better bishop.",
    "White is winning a pawn.", "Black has lost time.", "He lost the game.", "We're the exchange up.",
    "The better move is knight f3.", "White has the advantage of the move.", "It's equal material.",
    "He is fine with that.", "You'd better castle.", "It's better to castle first.", "White's better bishop is on d3.",
    "The pawns are level with the knight.", "I feel better now.", "White's lost knight on a8.",
]  # fmt: skip


def _claims(words: str, timed: bool = False) -> list[AssessmentClaim]:
    scene = Scene(walk_of(words, side="white", timed=timed))
    return [f.about for s in scene.sentences for f in find(s, scene) if not f.mood.unreal]


@pytest.mark.parametrize(("words", "side", "degree"), MEANT)
def test_words_of_standing_are_understood(words: str, side: str, degree: str) -> None:
    claims = _claims(words)
    assert len(claims) == 1
    claim = claims[0]
    color = claim.side.color if claim.side is not None else None
    if degree == "doubted":
        assert claim.doubted
    else:
        assert (claim.degree, claim.doubted) == (degree, False)
        assert ({True: "white", False: "black", None: ""}[color]) == side


@pytest.mark.parametrize(
    ("words", "side", "degree"),
    [row for row in MEANT if row[2] != "doubted" and "," not in row[0] and "?" not in row[0]],
)
def test_captions_are_understood_alike(words: str, side: str, degree: str) -> None:
    assert _claims(words, timed=True) == _claims(words)


@pytest.mark.parametrize("words", SILENT)
def test_nothing_is_heard_where_nothing_is_claimed(words: str) -> None:
    assert _claims(words) == []


@pytest.mark.parametrize(("words", "side", "degree"), [row for row in MEANT if row[1] and row[2] in BANDS])
def test_the_same_words_hold_of_one_score_and_fail_of_its_opposite(words: str, side: str, degree: str) -> None:
    """Law: a score in the middle of the words' band makes them true, one far off on the wrong side makes them false,
    unless they are words of taste."""
    band = BANDS[degree]
    inside = (max(band.low, -8.0) + min(band.high, 8.0)) / 2
    wrong = band.high + band.leeway + 1 if degree == "nothing" else band.low - band.leeway - 1

    def verdicts(pawns: float) -> list[str]:
        score = Score(round(100 * (pawns if side == "white" else -pawns)))
        judge = one_by_one(lambda board: EngineVerdict(board.epd(), (Line(score, None, ("e2e4",)),), "an engine", 1, 1))
        return [
            f.verdict.value for f in check_walk(walk_of(words, side="white"), judge=judge) if f.kind == "assessment"
        ]

    assert verdicts(inside) == ["holds"]
    if band.leeway < 100:
        assert verdicts(wrong) == ["fails"]
