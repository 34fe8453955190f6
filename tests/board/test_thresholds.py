"""Each threshold of ``board``: what lies on it, and what lies just short of it."""

from __future__ import annotations

import chess
import pytest

from linewright.board import show
from linewright.board.structure import centre
from linewright.board.tactics.mates import MateSearch, mate_in
from tests.board.positions import line

#: A position by its moves or FEN, a clause that stands in its summary or doesn't, whether it does.
ROWS = [
    # TEMPI_LEAD: three tempi are a lead, two are none.
    ("e4 Nf6 Nf3 Ng8", "white is 3 tempi ahead in development", True),
    ("e4 Nf6 Nf3 Ng8 Bc4", "white is 2 tempi ahead in development", False),
    ("e4 Nf6 Nf3 Ng8 Bc4 Nf6 O-O Ng8", "white is 5 tempi ahead in development", True),
    # LEAST_CHAIN: three pawns are a chain worth a word, two are not.
    ("4k3/8/8/8/4P3/3P4/2P5/4K3 w - - 0 1", "white's pawn chain", True),
    ("4k3/8/8/8/4P3/3P4/8/4K3 w - - 0 1", "white's pawn chain", False),
    # SPACE_LEAD: four counted squares are more space, three are not.
    ("d4 a6", "white has more space", True),
    ("e4 e6 Nf3", "white has more space", False),
    ("b4 a6 g4", "white has more space", True),
]


@pytest.mark.parametrize(("position", "words", "seen"), ROWS)
def test_what_lies_on_a_threshold_and_what_falls_short(position: str, words: str, seen: bool) -> None:
    board = chess.Board(position) if "/" in position else line(position)
    assert any(feature.words.startswith(words) for feature in show(board).all) is seen


def test_space_is_counted_up_to_the_lead() -> None:
    for moves, lead in (("d4 a6", 4), ("e4 e6 Nf3", 3), ("b4 a6 g4", 4)):
        board = line(moves)
        assert centre.space(board, chess.WHITE) - centre.space(board, chess.BLACK) == lead
        assert (centre.more_space(board) is chess.WHITE) is (lead >= 4)


def test_three_threats_and_three_chances_are_named() -> None:
    board = chess.Board("4k3/8/8/1n1n1n1n/P1P1P1P1/8/8/4K3 w - - 0 1")
    assert sum(feature.name == "chance" for feature in show(board).all) == 3
    board.turn = chess.BLACK
    assert sum(feature.name == "threat" for feature in show(board).all) == 3


def test_quiet_moves_are_tried_up_to_mate_in_two() -> None:
    """King and rook against king in the corner: both mates begin with a quiet move (found by exact search)."""
    two = mate_in(chess.Board("7k/8/5K2/8/8/8/8/6R1 w - - 0 1"), 2).mate
    assert two is not None and (two.moves, two.line[0].uci()) == (2, "f6f7")
    three = chess.Board("8/8/8/8/8/R7/8/4K2k w - - 0 1")  # Rg3 Kh2, Kf2 Kh1, Rh3 mate
    assert mate_in(three, 3) == MateSearch(None, whole=False), "from three moves on only checks are tried"


def test_a_long_mate_by_checks_is_found_within_the_positions_allowed() -> None:
    board = chess.Board("7k/8/8/5r2/5B2/7K/4N3/2Q1Q3 w - - 0 1")
    found = mate_in(board, 5).mate
    assert found is not None and found.moves == 5, "10,762 positions, fewer than are allowed"
    assert mate_in(board, 5, positions=10_000) == MateSearch(None, whole=False)
