"""Moves in words and figurines."""

from __future__ import annotations

import chess
import pytest

from linewright.lesson.spoken import NAGS, figurine, in_words, nag_sign, numbered

MOVES = [
    # FIDE Laws of Chess, Appendix C: the forms of its examples (piece, pawn, capture, two pieces, castling).
    ("Be5", "♗e5", "bishop e5"),
    ("d5", "d5", "d5"),
    ("Bxe5", "♗xe5", "bishop takes e5"),
    ("dxe5", "dxe5", "d takes e5"),
    ("Rgf1", "♖gf1", "rook g f1"),
    ("R5f3", "♖5f3", "rook 5 f3"),
    ("Nge2", "♘ge2", "knight g e2"),
    ("N5xf3", "♘5xf3", "knight 5 takes f3"),
    ("O-O", "O-O", "castles kingside"),
    ("O-O-O+", "O-O-O+", "castles queenside, check"),
    # PGN standard (1994), 8.2.3: shortest "d4", longest "Qa6xb7#" and "fxg1=Q+".
    ("d4", "d4", "d4"),
    ("Qa6xb7#", "♕a6xb7#", "queen a 6 takes b7, checkmate"),
    ("fxg1=Q+", "fxg1=♕+", "f takes g1, promotes to a queen, check"),
    ("e8=N", "e8=♘", "e8, promotes to a knight"),
    ("Qxh7+", "♕xh7+", "queen takes h7, check"),
    ("Kf1", "♔f1", "king f1"),
]


@pytest.mark.parametrize(("san", "figures", "words"), MOVES, ids=[row[0] for row in MOVES])
def test_move_in_words_and_figurines(san: str, figures: str, words: str) -> None:
    assert (figurine(san), in_words(san)) == (figures, words)


def test_every_legal_move_has_words() -> None:
    """All SAN that the chess library writes in a position with castling, promotion and capture both ways."""
    board = chess.Board("r3k2r/1P4pp/8/3pP3/8/2N1N3/6p1/R3K2R w KQkq d6 0 1")
    for side in (True, False):
        board.turn = side
        for move in board.legal_moves:
            words = in_words(board.san(move))
            assert words != board.san(move) or board.piece_type_at(move.from_square) == chess.PAWN
            assert not set(words) & set("KQRBNx=+#O-")


def test_what_is_no_move_is_spelt() -> None:
    assert in_words("hello") == "hello"


def test_move_numbers_follow_the_fen() -> None:
    board = chess.Board()
    assert numbered(board.fen(), "e4") == "1.e4"
    board.push_san("e4")
    assert numbered(board.fen(), "e5") == "1...e5"  # PGN standard 8.2.2.2: three periods for Black


@pytest.mark.parametrize(
    ("nag", "sign", "words"),
    # PGN standard (1994), section 10, numeric annotation glyphs; 8.2.3.8 maps the six suffixes.
    [
        (1, "!", "good move"),
        (2, "?", "poor move"),
        (3, "!!", "very good move"),
        (4, "??", "very poor move"),
        (5, "!?", "speculative move"),
        (6, "?!", "questionable move"),
        (13, "∞", "unclear position"),
        (18, "+−", "White has a decisive advantage"),
    ],
)
def test_symbols(nag: int, sign: str, words: str) -> None:
    assert NAGS[nag] == (sign, words)
    assert nag_sign(nag) == sign


def test_no_sign_without_symbol() -> None:
    assert nag_sign(None) == nag_sign(999) == ""
