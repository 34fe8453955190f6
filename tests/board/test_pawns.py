"""Pawn structure: named structures of the trade, and laws on random positions."""

from __future__ import annotations

from itertools import pairwise

import chess
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linewright.board.structure import pawns
from linewright.board.structure.pawns import Wing

#: Structures that handbooks name, reached by well-known lines. All "common practice": no edition at hand.
#: name, moves, colour, trait, squares
NAMED = [
    ("isolated queen's pawn, Tarrasch", "d4 d5 c4 e6 Nc3 c5 cxd5 exd5 Nf3 Nc6 g3 Nf6 Bg2 Be7 O-O O-O dxc5 Bxc5",
     "black", "isolated", "d5"),
    ("isolated queen's pawn, Panov", "e4 c6 d4 d5 exd5 cxd5 c4 Nf6 Nc3 e6 Nf3 Be7 cxd5 Nxd5",
     "white", "isolated", "d4"),
    ("isolated queen's pawn, Queen's Gambit accepted", "d4 d5 c4 dxc4 Nf3 Nf6 e3 e6 Bxc4 c5 O-O a6 Nc3 cxd4 exd4",
     "white", "isolated", "d4"),
    ("Carlsbad has no isolated pawn", "d4 d5 c4 e6 Nc3 Nf6 cxd5 exd5 Bg5 c6 e3", "black", "isolated", ""),
    ("doubled c pawns, Spanish exchange", "e4 e5 Nf3 Nc6 Bb5 a6 Bxc6 dxc6", "black", "doubled", "c6 c7"),
    ("doubled c pawns, French Winawer", "e4 e6 d4 d5 Nc3 Bb4 e5 c5 a3 Bxc3+ bxc3", "white", "doubled", "c2 c3"),
    ("isolated a pawn, French Winawer", "e4 e6 d4 d5 Nc3 Bb4 e5 c5 a3 Bxc3+ bxc3", "white", "isolated", "a3"),
    ("doubled f pawns, Caro-Kann with gxf6", "e4 c6 d4 d5 Nc3 dxe4 Nxe4 Nf6 Nxf6+ gxf6", "black", "doubled", "f6 f7"),
    ("isolated h pawn, the same", "e4 c6 d4 d5 Nc3 dxe4 Nxe4 Nf6 Nxf6+ gxf6", "black", "isolated", "h7"),
    ("backward d pawn, Sveshnikov", "e4 c5 Nf3 Nc6 d4 cxd4 Nxd4 Nf6 Nc3 e5 Ndb5 d6", "black", "backward", "d6"),
    ("backward d pawn, Najdorf with e5", "e4 c5 Nf3 d6 d4 cxd4 Nxd4 Nf6 Nc3 a6 Be2 e5", "black", "backward", "d6"),
    ("no backward pawn at the start", "", "white", "backward", ""),
    ("no passed pawn at the start", "", "black", "passed", ""),
    ("no passed pawn yet, Czech Benoni", "d4 Nf6 c4 c5 d5 e5 e4 d6", "white", "passed", ""),
]  # fmt: skip


@pytest.mark.parametrize(("name", "moves", "side", "trait", "squares"), NAMED, ids=[row[0] for row in NAMED])
def test_named_structures(name: str, moves: str, side: str, trait: str, squares: str) -> None:
    board = chess.Board()
    for san in moves.split():
        board.push_san(san)
    found = getattr(pawns, trait)(board, side == "white")
    assert [chess.square_name(s) for s in found] == squares.split()


#: Definitions put as pawn skeletons (kings added): FEN, colour, trait, squares.
SKELETONS = [
    ("4k3/5ppp/8/2pp4/8/4P3/PP3PPP/4K3 w - - 0 1", "black", "hanging_pawns", "c5 d5"),
    ("4k3/pp3ppp/4p3/8/2PP4/8/P4PPP/4K3 w - - 0 1", "white", "hanging_pawns", "c4 d4"),
    # One of the pair has advanced: no longer side by side.
    ("4k3/p4ppp/8/3p4/2p5/4P3/PP3PPP/4K3 w - - 0 1", "black", "hanging_pawns", ""),
    # A b pawn beside them: they are not alone.
    ("4k3/1p3ppp/8/2pp4/8/4P3/PP3PPP/4K3 w - - 0 1", "black", "hanging_pawns", ""),
    # The d file is not half-open.
    ("4k3/p4ppp/8/2pp4/3P4/4P3/PP3PPP/4K3 w - - 0 1", "black", "hanging_pawns", ""),
    ("4k3/8/8/3P4/4P3/8/8/4K3 w - - 0 1", "white", "protected_passed", "d5"),
    ("4k3/2p5/8/3P4/4P3/8/8/4K3 w - - 0 1", "white", "passed", "e4"),
    # An enemy pawn beside or behind stops nothing.
    ("4k3/8/8/2pP4/8/8/8/4K3 w - - 0 1", "white", "passed", "d5"),
    ("4k3/8/3P4/3P4/8/3P4/8/4K3 w - - 0 1", "white", "tripled", "d3 d5 d6"),
    ("4k3/8/3P4/3P4/8/3P4/8/4K3 w - - 0 1", "white", "doubled", "d3 d5 d6"),
    # The stop square d5 is guarded by e6: d4 is backward; without that guard it is only left behind.
    ("4k3/8/4p3/2P1P3/3P4/8/8/4K3 w - - 0 1", "white", "backward", "d4"),
    ("4k3/8/8/2P1P3/3P4/8/8/4K3 w - - 0 1", "white", "backward", ""),
    ("4k3/8/8/2P1P3/3P4/8/8/4K3 w - - 0 1", "white", "unsupported", "d4"),
]


@pytest.mark.parametrize(("fen", "side", "trait", "squares"), SKELETONS)
def test_definitions_on_skeletons(fen: str, side: str, trait: str, squares: str) -> None:
    found = getattr(pawns, trait)(chess.Board(fen), side == "white")
    assert [chess.square_name(s) for s in found] == squares.split()


def test_islands_and_majorities() -> None:
    board = chess.Board("4k3/pp3ppp/2p5/3p4/3P4/4P3/PP3PPP/4K3 w - - 0 1")  # Carlsbad, common practice
    assert pawns.islands(board, chess.WHITE) == ((0, 1), (3, 4, 5, 6, 7))
    assert pawns.islands(board, chess.BLACK) == ((0, 1, 2, 3), (5, 6, 7))
    narrow, wide = pawns.wing_counts(board, Wing.QUEENSIDE)
    assert (narrow.white, narrow.black, wide.white, wide.black) == (2, 3, 3, 4)
    assert not pawns.symmetric(board)
    assert pawns.symmetric(chess.Board())


def test_isolated_queens_pawn_asks_for_a_half_open_file() -> None:
    lone = chess.Board("4k3/pp3ppp/4p3/8/3P4/8/PP3PPP/4K3 w - - 0 1")
    assert pawns.isolated_queens_pawn(lone, chess.WHITE) == chess.D4
    assert pawns.isolated_queens_pawn(lone, chess.BLACK) is None
    faced = chess.Board("4k3/pp3ppp/8/3p4/3P4/8/PP3PPP/4K3 w - - 0 1")
    assert pawns.isolated_queens_pawn(faced, chess.WHITE) is None


PAWN_SQUARES = [s for s in chess.SQUARES if 1 <= chess.square_rank(s) <= 6]


@st.composite
def skeletons(draw: st.DrawFn) -> chess.Board:
    """Boards with up to eight pawns a side anywhere they may stand, and kings on the back ranks."""
    squares = draw(st.lists(st.sampled_from(PAWN_SQUARES), unique=True, max_size=16))
    cut = draw(st.integers(max(0, len(squares) - 8), min(8, len(squares))))
    board = chess.Board(None)
    for index, square in enumerate(squares):
        board.set_piece_at(square, chess.Piece(chess.PAWN, index < cut))
    board.set_piece_at(chess.E1, chess.Piece(chess.KING, chess.WHITE))
    board.set_piece_at(chess.E8, chess.Piece(chess.KING, chess.BLACK))
    return board


TRAITS = ("isolated", "doubled", "tripled", "passed", "protected_passed", "backward", "unsupported", "hanging_pawns")
laws = settings(deadline=None, max_examples=150)


@laws
@given(skeletons(), st.sampled_from(TRAITS), st.booleans())
def test_mirroring_the_colours_mirrors_the_trait(board: chess.Board, trait: str, color: bool) -> None:
    there = getattr(pawns, trait)(board.mirror(), not color)
    assert sorted(map(chess.square_mirror, there)) == sorted(getattr(pawns, trait)(board, color))


@laws
@given(skeletons(), st.sampled_from(TRAITS), st.booleans())
def test_swapping_the_wings_swaps_the_trait(board: chess.Board, trait: str, color: bool) -> None:
    if trait == "hanging_pawns":
        return  # they are defined on the c and d files
    flipped = board.transform(chess.flip_horizontal)
    there = getattr(pawns, trait)(flipped, color)
    assert sorted(s ^ 7 for s in there) == sorted(getattr(pawns, trait)(board, color))


@laws
@given(skeletons(), st.booleans())
def test_traits_imply_each_other_as_handbooks_say(board: chess.Board, color: bool) -> None:
    isolated, passed = set(pawns.isolated(board, color)), set(pawns.passed(board, color))
    assert not any(pawns.defended_by_pawn(board, square, color) for square in isolated)
    assert not isolated & set(pawns.backward(board, color))
    assert not isolated & set(pawns.hanging_pawns(board, color))
    assert not passed & set(pawns.backward(board, color))
    assert set(pawns.protected_passed(board, color)) <= passed
    assert set(pawns.tripled(board, color)) <= set(pawns.doubled(board, color))
    assert set(pawns.backward(board, color)) <= set(pawns.unsupported(board, color))
    lone = pawns.isolated_queens_pawn(board, color)
    assert lone is None or lone in isolated


@laws
@given(skeletons(), st.booleans())
def test_islands_share_out_the_files_with_pawns(board: chess.Board, color: bool) -> None:
    runs = pawns.islands(board, color)
    files = [file for run in runs for file in run]
    assert files == sorted({chess.square_file(s) for s in board.pieces(chess.PAWN, color)})
    assert all(right[0] - left[-1] > 1 for left, right in pairwise(runs))
    single = {run[0] for run in runs if len(run) == 1}
    assert {chess.square_file(s) for s in pawns.isolated(board, color)} == single


@laws
@given(skeletons())
def test_an_enemy_pawn_faced_on_the_file_leaves_one_of_two_unpassed(board: chess.Board) -> None:
    for file in range(8):
        white, black = pawns.on_file(board, chess.WHITE, file), pawns.on_file(board, chess.BLACK, file)
        if white and black and min(white) < max(black):
            assert min(white) not in pawns.passed(board, chess.WHITE)
            assert max(black) not in pawns.passed(board, chess.BLACK)


@laws
@given(skeletons())
def test_symmetry_is_kept_by_mirroring(board: chess.Board) -> None:
    assert pawns.symmetric(board) == pawns.symmetric(board.mirror())
    if pawns.symmetric(board):
        assert all(count.white == count.black for wing in Wing for count in pawns.wing_counts(board, wing))
