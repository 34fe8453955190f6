"""Files, material, development and castling rights."""

from __future__ import annotations

import chess
import pytest
from hypothesis import given, settings

from linewright.board.castling import Castling, looks_castled, may_still_castle
from linewright.board.development import MINORS, pieces_out
from linewright.board.material import balance, bishop_pair, material, opposite_bishops
from linewright.board.structure.open_files import FileState, file_state, half_open_files, open_files
from tests.board.test_pawns import skeletons


def after(moves: str) -> chess.Board:
    board = chess.Board()
    for san in moves.split():
        board.push_san(san)
    return board


# Known files of known openings; common practice.
FILES = [
    ("e4 c5 Nf3 d6 d4 cxd4 Nxd4", "", "d", "c"),  # open Sicilian
    ("e4 e6 d4 d5 exd5 exd5", "e", "", ""),  # French exchange
    ("d4 d5 c4 e6 Nc3 Nf6 cxd5 exd5", "", "c", "e"),  # Queen's Gambit exchange
    ("e4 d5 exd5 Qxd5", "", "e", "d"),  # Scandinavian
    ("", "", "", ""),
]


@pytest.mark.parametrize(("moves", "both", "white", "black"), FILES)
def test_known_files(moves: str, both: str, white: str, black: str) -> None:
    board = after(moves)
    letters = lambda files: "".join("abcdefgh"[f] for f in files)  # noqa: E731
    assert letters(open_files(board)) == both
    assert letters(half_open_files(board, chess.WHITE)) == white
    assert letters(half_open_files(board, chess.BLACK)) == black


@settings(deadline=None, max_examples=100)
@given(skeletons())
def test_every_file_is_in_one_state_and_mirrors(board: chess.Board) -> None:
    mirrored = board.mirror()
    swapped = {
        FileState.HALF_OPEN_FOR_WHITE: FileState.HALF_OPEN_FOR_BLACK,
        FileState.HALF_OPEN_FOR_BLACK: FileState.HALF_OPEN_FOR_WHITE,
    }
    for file in range(8):
        state = file_state(board, file)
        assert file_state(mirrored, file) is swapped.get(state, state)
        listed = [file in open_files(board), *(file in half_open_files(board, c) for c in (True, False))]
        assert sum(listed) == (state is not FileState.CLOSED)


def test_material_of_the_start_position() -> None:
    """FIDE Laws 2.2: king, queen, two rooks, two bishops, two knights and eight pawns each."""
    has = material(chess.Board(), chess.WHITE)
    assert (has.queens, has.rooks, has.bishops, has.knights, has.pawns) == (1, 2, 2, 2, 8)
    assert has.points == 39
    assert balance(chess.Board(), chess.BLACK).points == 0


@settings(deadline=None, max_examples=50)
@given(skeletons())
def test_one_side_is_ahead_by_what_the_other_is_behind(board: chess.Board) -> None:
    assert balance(board, chess.WHITE).pawns == -balance(board, chess.BLACK).pawns


def test_bishops() -> None:
    same = chess.Board("4k3/8/8/8/8/8/8/B3K1B1 w - - 0 1")  # both run on dark squares
    assert not bishop_pair(same, chess.WHITE)
    assert bishop_pair(chess.Board(), chess.BLACK)
    assert opposite_bishops(chess.Board("4kb2/8/8/8/8/8/8/4KB2 w - - 0 1"))
    assert not opposite_bishops(chess.Board("2b1k3/8/8/8/8/8/8/4KB2 w - - 0 1"))
    assert not opposite_bishops(chess.Board())


def test_development_counts_pieces_off_their_first_squares() -> None:
    board = after("e4 e5 Nf3 Nc6 Bc4 Nf6 Qe2 Nd4")
    assert set(map(chess.square_name, pieces_out(board, chess.WHITE))) == {"c4", "f3"}
    assert len(pieces_out(board, chess.WHITE, (*MINORS, chess.QUEEN))) == 3
    assert set(map(chess.square_name, pieces_out(board, chess.BLACK))) == {"d4", "f6"}
    board = after("Nf3 Nf6 Ng1 Ng8")
    assert pieces_out(board, chess.WHITE) == pieces_out(board, chess.BLACK) == ()


def test_castling_rights_follow_king_and_rook() -> None:
    board = after("e4 e5 Nf3 Nc6 Bc4 Bc5 Rg1")
    assert not may_still_castle(board, chess.WHITE, Castling.KINGSIDE)
    assert may_still_castle(board, chess.WHITE, Castling.QUEENSIDE)
    assert may_still_castle(board, chess.WHITE)
    board = after("e4 e5 Ke2")
    assert not may_still_castle(board, chess.WHITE)
    assert not looks_castled(board, chess.WHITE)
    assert looks_castled(after("e4 e5 Nf3 Nc6 Bc4 Bc5 O-O"), chess.WHITE)
