"""Centre, space, tempi, outposts, holes, bishops, kings: known positions, and laws."""

from __future__ import annotations

import chess
import pytest
from hypothesis import example, given, settings

from linewright.board import bishops as bishop_rules
from linewright.board.bishops import Quality, bishops
from linewright.board.development import has_castled, lead, tempi
from linewright.board.king_safety import in_centre, king_safety, stuck_in_centre
from linewright.board.structure.centre import (
    Centre,
    centre,
    classical_centre,
    holders,
    mobile_centre,
    more_space,
    space,
)
from linewright.board.structure.open_files import held_by
from linewright.board.structure.squares import blockades, can_guard, holes, outposts, weak_squares
from tests.board.positions import line, played, squares

laws = settings(deadline=None, max_examples=150)
ITALIAN = "e4 e5 Nf3 Nc6 Bc4 Bc5 c3 Nf6 d4 exd4 cxd4"
ISOLANI = f"{ITALIAN} Bb4+ Bd2 Bxd2+ Nbxd2 d5 exd5 Nxd5 Qb3 Nce7"
KINGS_INDIAN = "d4 Nf6 c4 g6 Nc3 Bg7 e4 d6 Nf3 O-O Be2 e5 d5"

#: Common practice.
CENTRES = [
    ("", Centre.UNSETTLED),
    (ITALIAN, Centre.MOBILE),
    ("e4 e5 Nf3 Nc6 d4", Centre.TENSION),
    ("e4 e6 d4 d5 e5", Centre.CLOSED),
    ("e4 e6 d4 d5 e5 c5", Centre.CLOSED),
    (KINGS_INDIAN, Centre.CLOSED),
    ("d4 d5 c4 e6 Nc3 Nf6 cxd5 exd5 Bg5 c6 e3", Centre.FIXED),
    ("e4 e6 d4 d5 exd5 exd5", Centre.FIXED),
    ("e4 d5 exd5 Qxd5 d4 e5 dxe5 Qxe5+", Centre.OPEN),
    ("d4 Nf6 c4 e6", Centre.UNSETTLED),
]


@pytest.mark.parametrize(("moves", "kind"), CENTRES)
def test_kinds_of_centre(moves: str, kind: Centre) -> None:
    assert centre(line(moves)) is kind


def test_the_classical_centre() -> None:
    """Common practice: after 6.cxd4 of the Italian White has it; the issue's own check value."""
    board = line(ITALIAN)
    assert classical_centre(board, chess.WHITE) and not classical_centre(board, chess.BLACK)
    assert holders(board, chess.WHITE) == squares("d4 e4")
    assert not classical_centre(line("e4 e5 d4"), chess.WHITE)  # challenged by e5
    assert mobile_centre(board, chess.WHITE)
    assert not mobile_centre(line("e4 d5 d4"), chess.WHITE)


@laws
@given(played())
def test_centre_and_space_don_t_depend_on_the_colours(board: chess.Board) -> None:
    mirrored = board.mirror()
    assert centre(board) is centre(mirrored)
    for color in (True, False):
        assert space(board, color) == space(mirrored, not color)
        assert classical_centre(board, color) == classical_centre(mirrored, not color)
        if classical_centre(board, color):
            assert set(holders(board, color)) >= set(squares("d4 e4" if color else "d5 e5"))
    wider, mirrored_wider = more_space(board), more_space(mirrored)
    assert (wider is None and mirrored_wider is None) or wider == (not mirrored_wider)


#: moves, White's tempi, Black's. Counted by hand by the rule's own words.
TEMPI = [
    ("", 0, 0),
    ("e4", 1, 0),
    ("e4 e5 Nf3 Nc6 Bc4 Bc5", 3, 3),
    ("e4 e5 Nf3 Nc6 Bb5 a6 Ba4", 4, 3),  # the bishop needs two moves to a4
    ("e4 e5 Nf3 Nc6 Bb5 a6 Ba4 Nf6 O-O", 5, 4),  # castling is one
    ("e4 e5 Nf3 Nc6 Bb5 a6 Ba4 Nf6 O-O Be7 Re1", 6, 5),
    ("d4 d5 c4 dxc4 e4", 2, 2),  # the c pawn took its tempo along; Black's took two steps
    ("Nf3 Nf6 Ng1 Ng8", 0, 0),  # to and fro doesn't show
    ("e4 d5 exd5 Qxd5 Nc3 Qa5", 1, 1),  # the queen could have come to a5 in one
    ("e4 e5 Ke2 Ke7 Ke3", 3, 2),
    (ISOLANI, 5, 4),  # d4, Nf3, Bc4, Nd2, Qb3; two knight moves each way for d5 and e7
]


@pytest.mark.parametrize(("moves", "white", "black"), TEMPI)
def test_tempi(moves: str, white: int, black: int) -> None:
    board = line(moves)
    assert (tempi(board, chess.WHITE), tempi(board, chess.BLACK)) == (white, black)


def test_the_move_counts_in_the_lead() -> None:
    assert lead(chess.Board(), chess.WHITE) == 1
    assert lead(line("e4"), chess.WHITE) == 0
    assert lead(line("e4 e5"), chess.WHITE) == 1


@laws
@given(played())
@example(chess.Board("r2qk3/1B2ppbr/3p1n1p/6p1/p7/P4P1P/1PP2K2/R1bQ2NR b q - 0 16"))  # a promoted second dark bishop
def test_no_more_tempi_show_than_moves_were_made(board: chess.Board) -> None:
    made = {chess.BLACK: board.fullmove_number - 1, chess.WHITE: board.fullmove_number - (board.turn == chess.WHITE)}
    for color in (True, False):
        assert 0 <= tempi(board, color) <= made[color]
        assert lead(board, color) == -lead(board, not color) == lead(board.mirror(), not color)


def test_castled_or_walked() -> None:
    castled = line("e4 e5 Nf3 Nc6 Bc4 Bc5 O-O Nf6")
    assert has_castled(castled, chess.WHITE) and not has_castled(castled, chess.BLACK)
    walked = chess.Board("4k3/8/8/8/8/8/5PPP/6KR w - - 0 1")  # the rook is shut in: the king went on foot
    assert not has_castled(walked, chess.WHITE)
    assert has_castled(line("d4 d5 Nc3 Nc6 Bf4 Bf5 Qd2 Qd7 O-O-O O-O-O"), chess.BLACK)


def test_who_holds_a_file() -> None:
    """FENs made for the rule."""
    board = chess.Board("3r2k1/ppp2ppp/8/8/8/8/PPP2PPP/3RR1K1 w - - 0 1")
    assert held_by(board, 3) is None  # contested
    assert held_by(board, 4) is chess.WHITE
    assert held_by(chess.Board("4r1k1/5ppp/4p3/8/8/8/5PPP/6K1 w - - 0 1"), 4) is None  # half-open, but not for Black
    assert held_by(chess.Board("6k1/5ppp/4p3/8/8/8/5PPP/4R1K1 w - - 0 1"), 4) is chess.WHITE


#: moves, whose camp, holes among the c to f files that matter. The hole on d5 of the Boleslavsky and Sveshnikov,
#: the square d4 in the Maroczy bind, e5 in the Dutch Stonewall; common practice.
HOLES = [
    ("e4 c5 Nf3 Nc6 d4 cxd4 Nxd4 Nf6 Nc3 e5 Ndb5 d6", "black", "d5"),
    ("e4 c5 Nf3 Nc6 d4 cxd4 Nxd4 g6 c4 Bg7", "white", "d4"),
    ("d4 f5 c4 Nf6 g3 e6 Bg2 d5 Nf3 c6", "black", "e5"),
    ("", "white", ""),
]


@pytest.mark.parametrize(("moves", "side", "names"), HOLES)
def test_known_holes(moves: str, side: str, names: str) -> None:
    found = weak_squares(line(moves), side == "white")
    assert tuple(s for s in found if 2 <= chess.square_file(s) <= 5) == squares(names)


def test_outposts_of_known_structures() -> None:
    board = line("e4 c5 Nf3 Nc6 d4 cxd4 Nxd4 Nf6 Nc3 e5 Ndb5 d6 Bg5 a6 Na3 b5 Nd5")
    assert [(o.square, o.occupied) for o in outposts(board, chess.WHITE)] == [(chess.D5, True)]
    # The c pawn could come to guard d5: no outpost for White (Caro-Kann; common practice).
    assert not outposts(line("e4 c6 d4 d5 e5 Bf5"), chess.WHITE)


@laws
@given(played())
def test_an_outpost_is_out_of_the_reach_of_pawns(board: chess.Board) -> None:
    for color in (True, False):
        for outpost in outposts(board, color):
            assert not can_guard(board, outpost.square, not color)
            assert board.attackers(color, outpost.square) & board.pieces(chess.PAWN, color)
        assert set(weak_squares(board, color)) <= set(holes(board, color))
        mirrored = {chess.square_mirror(s) for s in holes(board.mirror(), not color)}
        assert mirrored == set(holes(board, color))


def test_the_isolated_pawn_is_blockaded() -> None:
    """Nimzowitsch's blockade of the isolated pawn; from memory. The issue's own position."""
    assert blockades(line(ISOLANI), chess.WHITE) == squares("d4")


#: moves, bishop, quality. Textbook bishops of the closed openings; common practice.
BISHOPS = [
    ("e4 e6 d4 d5 e5 c5 c3", "c8", Quality.BAD),
    ("e4 e6 d4 d5 e5 c5 c3", "f1", Quality.GOOD),
    ("e4 e6 d4 d5 e5 c5 c3", "c1", Quality.BAD),
    (KINGS_INDIAN, "g7", Quality.BAD),
    (KINGS_INDIAN, "c8", Quality.GOOD),
    (KINGS_INDIAN, "e2", Quality.BAD),
    ("d4 f5 c4 Nf6 g3 e6 Bg2 d5 Nf3 c6", "c8", Quality.BAD),
    ("e4 c5 Nf3 d6 d4 cxd4 Nxd4 Nf6 Nc3 g6 Be3 Bg7", "g7", Quality.NEITHER),  # nothing is fixed yet
    ("d4 Nf6 c4 c5 d5 e6 Nc3 exd5 cxd5 d6 e4 g6 Nf3 Bg7", "g7", Quality.NEITHER),  # the Benoni bishop: free diagonal
    ("d4 d5 c4 e6 Nc3 Nf6 cxd5 exd5 Bg5 c6 e3", "c8", Quality.BAD),
]


@pytest.mark.parametrize(("moves", "square", "quality"), BISHOPS)
def test_textbook_bishops(moves: str, square: str, quality: Quality) -> None:
    board = line(moves)
    found = [b for color in (True, False) for b in bishops(board, color) if chess.square_name(b.square) == square]
    assert [b.quality for b in found] == [quality]


def test_a_bad_bishop_outside_its_chain() -> None:
    """The Queen's Gambit exchange: White's bishop on g5 is out, Black's on c8 is in. Common practice."""
    board = line("d4 d5 c4 e6 Nc3 Nf6 cxd5 exd5 Bg5 c6 e3")
    out = {chess.square_name(b.square): b.outside for color in (True, False) for b in bishops(board, color)}
    assert out["g5"] and not out["c8"]


@laws
@given(played())
def test_bishops_are_judged_by_pawns_alone(board: chess.Board) -> None:
    bare = board.copy(stack=False)
    for square in chess.scan_forward(board.occupied & ~board.pawns & ~board.kings & ~board.bishops):
        bare.remove_piece_at(square)
    for color in (True, False):
        assert bishop_rules.bishops(bare, color) == bishop_rules.bishops(board, color)


def test_kings() -> None:
    board = line("e4 e5 Nf3 Nc6 Bc4 Bc5 O-O Nf6 h3")
    white = king_safety(board, chess.WHITE)
    assert white is not None
    assert white.shield == squares("f2 g2 h3") and white.bare == () == white.lines and not white.stuck
    board = line("e4 e5 Nf3 Nc6 Bc4 Bc5 O-O Nf6 h4")
    white = king_safety(board, chess.WHITE)
    assert white is not None and white.bare == (7,) and white.lines == ()
    # Half-open for White on the d file, the king has moved, queens are on: stuck.
    board = line("e4 e5 d4 exd4 Qxd4 Nc6 Qe3 Ke7")
    assert stuck_in_centre(board, chess.BLACK) and in_centre(board, chess.BLACK)
    assert not stuck_in_centre(board, chess.WHITE)  # it may still castle
    board.remove_piece_at(chess.E3)
    assert not stuck_in_centre(board, chess.BLACK)  # without queens a king stands well there
