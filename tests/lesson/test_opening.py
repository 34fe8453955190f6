"""Opening names against ECO codes as the trade uses them."""

from __future__ import annotations

import chess
import pytest

from linewright.lesson.opening import name_opening, opening_at
from linewright.lesson.walk import Opening, Walk
from tests.support import needs_shared, plain_talk, walk_from_ref

# ECO codes of openings as game collections head them (common practice; A00-E99 after the Encyclopaedia).
CODES = [
    ("e4 c5", "B20", "Sicilian"),
    ("e4 c5 Nf3 d6 d4 cxd4 Nxd4 Nf6 Nc3 a6", "B90", "Najdorf"),
    ("e4 e5 Nf3 Nc6 Bb5", "C60", "Ruy"),
    ("e4 e5 Nf3 Nc6 d4 exd4 Nxd4", "C45", "Scotch"),
    ("e4 e5 f4", "C30", "King's Gambit"),
    ("e4 e6", "C00", "French"),
    ("e4 c6", "B10", "Caro-Kann"),
    ("e4 c6 d4 d5 exd5 cxd5 c4", "B13", "Panov"),
    ("d4 d5 c4 c6", "D10", "Slav"),
    ("d4 Nf6 c4 e6 Nc3 Bb4", "E20", "Nimzo"),
    ("d4 f5", "A80", "Dutch"),
    ("c4", "A10", "English"),
    ("e4 e5 Nf3 Nc6 Bc4", "C50", "Italian"),
    ("e4 e5 Nf3 Nf6", "C42", "Petro"),
    ("d4 d5 c4 e6", "D30", "Queen's Gambit"),
    ("d4 Nf6 c4 g6 Nc3 Bg7 e4 d6", "E70", "King's Indian"),
    # The catalogue lists D70-D99 for this one; D80 is where 3.Nc3 d5 begins.
    ("d4 Nf6 c4 g6 Nc3 d5", "D80", "Grünfeld"),
]


@pytest.mark.parametrize(("line", "eco", "part"), CODES, ids=[row[2] for row in CODES])
def test_eco_code_of_position(line: str, eco: str, part: str) -> None:
    board = chess.Board()
    for san in line.split():
        board.push_san(san)
    found = opening_at(board.fen())
    assert found is not None
    assert found.eco == eco
    assert part in found.name


def test_move_order_does_not_matter() -> None:
    fens = set()
    for line in ("d4 Nf6 c4 e6 Nf3 d5", "Nf3 d5 d4 Nf6 c4 e6"):
        board = chess.Board()
        for san in line.split():
            board.push_san(san)
        fens.add(opening_at(board.fen(en_passant="fen")))
    assert len(fens) == 1
    assert None not in fens


def test_unknown_positions_have_no_name() -> None:
    assert opening_at("8/8/4k3/8/8/3QK3/8/8 w - - 0 1") is None
    assert opening_at("not a position") is None
    assert name_opening(Walk(plain_talk("nothing"), ())) is None


@needs_shared
@pytest.mark.parametrize(
    ("name", "eco", "part"),
    [
        ("panov", "B1", "Panov"),
        ("scotch", "C45", "Scotch"),
        ("slav", "D1", "Slav"),
        ("benoni", "A7", "Benoni"),
    ],
)
def test_open_talks(name: str, eco: str, part: str) -> None:
    found = name_opening(walk_from_ref(name)[0])
    assert isinstance(found, Opening)
    assert found.eco.startswith(eco)
    assert part in found.name
