"""That something can't be taken, or is punished when taken."""

from __future__ import annotations

import chess
import pytest

from linewright.claims.claim_kind import Facts
from linewright.claims.kinds.tactics.untakeable import UntakeableClaim, decide, find
from linewright.claims.sentence.talk_scene import Scene
from linewright.engine.model import EngineVerdict, Line, Score
from linewright.lesson.finding import Kind
from tests.claims.support import assert_verdict, walk_of

#: Line, words, verdict; None where nothing is claimed of the board.
SENTENCES = [
    ("legal", "If black takes the queen, it's mate.", "holds"),
    ("legal", "If he takes the queen, he gets mated.", "holds"),
    ("legal", "Black can't take the queen because of mate.", "undecided"),
    ("four captures", "White can't take.", "undecided"),
    ("five captures", "White can't take.", None),
    ("four captures", "The d6 pawn is poisoned.", "undecided"),
    ("open", "He can't take part.", None),
]


@pytest.mark.parametrize("timed", [False, True], ids=["typed", "captions"])
@pytest.mark.parametrize(("line", "words", "wanted"), SENTENCES)
def test_captures_are_tried(line: str, words: str, wanted: str | None, timed: bool) -> None:
    assert_verdict(Kind.TACTIC, line, words, wanted, timed=timed)


def verdict(board: chess.Board, score: Score) -> EngineVerdict:
    return EngineVerdict(board.epd(), (Line(score, None, (next(iter(board.legal_moves)).uci(),)),), "an engine", 1, 1)


@pytest.mark.parametrize(
    ("before", "after", "wanted"),
    [
        (20, 250, "holds"),
        (0, 100, "holds"),
        (0, 99, "undecided"),
        (20, 60, "undecided"),
        (0, 30, "undecided"),
        (0, 29, "fails"),
        (20, 10, "fails"),
    ],
)
def test_a_capture_is_judged_by_what_it_costs(before: int, after: int, wanted: str) -> None:
    """1.e4 d5: black is said not to be able to take; scores from White's side, black to move."""
    board = chess.Board("rnbqkb1r/ppp1pppp/5n2/3p4/4P3/3P4/PPP2PPP/RNBQKBNR b KQkq - 0 3")
    played = board.copy()
    played.push_san("dxe4")
    facts = Facts(
        board,
        assessed=verdict(board, Score(before)),
        judged=lambda asked: verdict(played, Score(after)) if asked.epd() == played.epd() else None,
    )
    assert decide(UntakeableClaim(("d5e4",)), facts).verdict.value == wanted


@pytest.mark.parametrize(
    ("words", "moves"),
    [
        ("White can't take on d6.", ["d4d6"]),
        ("White can't take because of d6.", ["d4a4", "d4b6", "d4d6", "d4g7"]),
        ("White can't take the b pawn.", ["d4b6"]),
        ("He can't take this b pawn.", ["d4b6"]),
    ],
)
def test_what_is_taken_may_be_named_by_the_words_that_follow(words: str, moves: list[str]) -> None:
    scene = Scene(walk_of(words, "four captures"))
    (found,) = find(scene.sentences[0], scene)
    assert sorted(found.about.moves) == moves
