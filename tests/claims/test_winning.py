"""That something wins or loses material, or is threatened."""

from __future__ import annotations

import chess
import pytest

from linewright.claims.claim_kind import Facts
from linewright.claims.kinds.tactics.winning import ENOUGH, POINTS, WinClaim, decide
from linewright.engine.model import EngineVerdict, Line, Score
from linewright.lesson.finding import Kind
from tests.claims.support import assert_verdict

#: Line, words, verdict; None where nothing is claimed of the board.
SENTENCES = [
    ("trap", "Black threatens to take on g2.", "holds"),
    ("trap", "The threat is to take the knight.", "holds"),
    ("trap", "White wants to win a pawn.", None),
    ("trap", "Black would win a piece.", None),
    ("trap", "Black drops the knight back to e6.", None),
    ("trap", "Black threatens to take on g2 with the queen.", "holds"),
    ("trap", "Black threatens to take on g2 with the knight.", "undecided"),
    ("trap", "Black threatens the king.", None),
    ("four captures", "White wins a pawn.", "holds"),
]


@pytest.mark.parametrize("timed", [False, True], ids=["typed", "captions"])
@pytest.mark.parametrize(("line", "words", "wanted"), SENTENCES)
def test_gains_and_threats_are_decided(line: str, words: str, wanted: str | None, timed: bool) -> None:
    assert_verdict(Kind.TACTIC, line, words, wanted, timed=timed)


def verdict(board: chess.Board, score: Score) -> EngineVerdict:
    return EngineVerdict(board.epd(), (Line(score, None, (next(iter(board.legal_moves)).uci(),)),), "an engine", 1, 1)


# White is a knight down, three points; the score says what it gets for it.
PIECE_DOWN = "rnbqkb1r/ppp2ppp/3p1n2/4p3/4P3/5N2/PPPP1PPP/R1BQKB1R w KQkq - 0 4"


@pytest.mark.parametrize(
    ("unit", "color", "centipawns", "wanted"),
    [
        ("piece", chess.WHITE, 20, "holds"),
        ("piece", chess.WHITE, -100, "holds"),  # two points more than the material
        ("piece", chess.WHITE, -110, "undecided"),
        ("piece", chess.WHITE, -250, "undecided"),
        ("piece", chess.WHITE, -270, "fails"),  # less than 0.4 more
        ("pawn", chess.WHITE, -240, "holds"),
        ("pawn", chess.WHITE, -250, "undecided"),
        ("pawn", chess.WHITE, -350, "undecided"),  # a pawn may give nothing …
        ("pawn", chess.WHITE, -360, "fails"),  # … but not cost half of one
        ("material", chess.WHITE, -240, "holds"),
        ("material", chess.WHITE, -250, "undecided"),
        ("exchange", chess.WHITE, -180, "holds"),
        ("exchange", chess.WHITE, -190, "undecided"),
        ("rook", chess.WHITE, 0, "holds"),
        ("rook", chess.WHITE, -10, "undecided"),
        ("queen", chess.WHITE, 100, "holds"),
        ("queen", chess.WHITE, 90, "undecided"),
        ("queen", chess.BLACK, 450, "fails"),
    ],
)
def test_what_is_won_is_measured_against_the_material(unit: str, color: bool, centipawns: int, wanted: str) -> None:
    board = chess.Board(PIECE_DOWN)
    facts = Facts(board, assessed=verdict(board, Score(centipawns)))
    assert decide(WinClaim(unit, color), facts).verdict.value == wanted


def test_without_an_engine_what_is_not_won_at_once_stays_open() -> None:
    assert decide(WinClaim("piece", chess.WHITE), Facts(chess.Board(PIECE_DOWN))).verdict.value == "undecided"


@pytest.mark.parametrize(
    ("hanging", "wins"),
    [("p", {"pawn", "material"}), ("n", {"pawn", "material", "exchange", "piece"}), ("r", set(POINTS) - {"queen"}),
     ("q", set(POINTS))],
)  # fmt: skip
def test_a_capture_wins_what_stands_there(hanging: str, wins: set[str]) -> None:
    """A rook takes an unguarded man on d5; the usual points."""
    facts = Facts(chess.Board(f"7k/8/8/3{hanging}4/8/8/8/3RK3 w - - 0 1"))
    assert {unit for unit in ENOUGH if decide(WinClaim(unit, chess.WHITE), facts).verdict == "holds"} == wins
