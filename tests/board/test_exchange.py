"""Static exchange: known cases, and an exhaustive search of all captures as the law."""

from __future__ import annotations

import chess
import pytest
from hypothesis import given, settings

from linewright.board.tactics.exchange import VALUES, exchange, loss, value_at
from tests.board.positions import line, played

laws = settings(deadline=None, max_examples=300)

#: FEN, move, points. Positions of the kind that programmers' descriptions of static exchange use; from memory, the
#: values worked out by hand.
CASES = [
    ("a free pawn", "1k1r4/1pp4p/p7/4p3/8/P5P1/1PP4P/2K1R3 w - - 0 1", "e1e5", 1),
    ("a pawn guarded through x-rays costs the knight for it",
     "1k1r3q/1ppn3p/p4b2/4p3/8/P2N2P1/1PP1R1BP/2K1Q3 w - - 0 1", "d3e5", -2),
    ("rook takes a pawn guarded by a pawn", "4k3/8/3p4/4p3/8/8/8/4RK2 w - - 0 1", "e1e5", -4),
    ("the rook behind joins in", "4k3/4r3/8/4p3/8/8/4R3/4RK2 w - - 0 1", "e2e5", 1),
    ("a pinned defender doesn't count", "4k3/4n3/8/3p4/8/8/4R3/3R2K1 w - - 0 1", "d1d5", 1),
    ("a king doesn't take what is guarded", "8/8/3k4/3p4/8/8/3R4/3R2K1 w - - 0 1", "d2d5", 1),
    ("a king takes what isn't", "8/8/3k4/3p4/8/8/3R4/6K1 w - - 0 1", "d2d5", -4),
    ("taking in passing", "4k3/8/8/3pP3/8/8/8/4K3 w - d6 0 1", "e5d6", 1),
    ("promotion by capture", "1n2k3/P7/8/8/8/8/8/4K3 w - - 0 1", "a7b8q", 11),
    ("promotion that is taken back", "rn2k3/P7/8/8/8/8/8/4K3 w - - 0 1", "a7b8q", 2),
    ("a quiet move to a guarded square", "4k3/8/3p4/8/8/8/8/4RK2 w - - 0 1", "e1e5", -5),
    ("castling risks nothing", "4k3/8/8/8/8/8/8/4K2R w K - 0 1", "e1g1", 0),
]  # fmt: skip


@pytest.mark.parametrize(("name", "fen", "move", "points"), CASES, ids=[row[0] for row in CASES])
def test_known_exchanges(name: str, fen: str, move: str, points: int) -> None:
    assert exchange(chess.Board(fen), chess.Move.from_uci(move)) == points


def exhaustive(board: chess.Board, square: chess.Square) -> int:
    """The best of leaving the square alone and of every legal capture there, by the rules library's own moves."""
    best = 0
    for move in board.generate_legal_captures(to_mask=chess.BB_SQUARES[square]):
        if board.is_en_passant(move):
            continue
        best = max(best, _taken(board, move))
    return best


def _taken(board: chess.Board, move: chess.Move) -> int:
    gained = VALUES[chess.PAWN] if board.is_en_passant(move) else value_at(board, move.to_square)
    if move.promotion:
        gained += VALUES[move.promotion] - VALUES[chess.PAWN]
    board.push(move)
    gained -= exhaustive(board, move.to_square)
    board.pop()
    return gained


@laws
@given(played())
def test_every_capture_is_worth_what_an_exhaustive_search_says(board: chess.Board) -> None:
    for move in list(board.generate_legal_captures()):
        assert exchange(board, move) == _taken(board, move), move


@laws
@given(played())
def test_a_quiet_move_risks_what_an_exhaustive_search_says(board: chess.Board) -> None:
    for move in list(board.legal_moves)[:12]:
        if not board.is_capture(move) and not board.is_castling(move):
            assert exchange(board, move) == _taken(board, move), move


@laws
@given(played())
def test_what_the_side_to_move_can_win_is_the_best_capture(board: chess.Board) -> None:
    for square in chess.scan_forward(board.occupied_co[not board.turn] & ~board.kings):
        assert loss(board, square) == exhaustive(board, square), chess.square_name(square)


@laws
@given(played())
def test_colours_make_no_difference(board: chess.Board) -> None:
    mirrored = board.mirror()
    for square in chess.scan_forward(board.occupied):
        assert loss(board, square) == loss(mirrored, chess.square_mirror(square))


@laws
@given(played())
def test_without_a_check_passing_asks_the_same_question(board: chess.Board) -> None:
    if board.is_check():
        return
    passed = board.copy()
    passed.push(chess.Move.null())
    for square in chess.scan_forward(board.occupied_co[board.turn] & ~board.kings):
        assert loss(board, square) == exhaustive(passed, square)


def test_in_the_classical_centre_position_the_bishop_hangs() -> None:
    """Common practice: after 6.cxd4 the bishop on c5 is attacked, so the check on b4 is the main move."""
    board = line("e4 e5 Nf3 Nc6 Bc4 Bc5 c3 Nf6 d4 exd4 cxd4")
    assert loss(board, chess.C5) == 3
    board.push_san("Bb4+")
    assert loss(board, chess.B4) == 0
