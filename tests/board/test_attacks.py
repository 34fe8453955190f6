"""Attacked, loose, hanging, pinned, skewered, against the rules library and known positions."""

from __future__ import annotations

import chess
import pytest
from hypothesis import given, settings

from linewright.board.tactics.attacks import attacked, defenders, hanging, loose, pins, skewers
from linewright.board.tactics.exchange import loss
from tests.board.positions import line, played

laws = settings(deadline=None, max_examples=300)

#: Well-known openings; common practice. Moves, whose man is pinned, where, to what, by what, absolutely?
PINS = [
    ("d4 Nf6 c4 e6 Nc3 d5 Bg5 Be7", False, "f6", None, None, None),  # the bishop on e7 has broken the pin
    ("d4 Nf6 c4 e6 Nc3 d5 Bg5 Nbd7", False, "f6", "d8", "g5", False),
    ("e4 e5 Nf3 d6 d4 Bg4", True, "f3", "d1", "g4", False),
    ("d4 Nf6 c4 e6 Nc3 Bb4", True, "c3", "e1", "b4", True),
    ("e4 e6 d4 d5 Nc3 Bb4", True, "c3", "e1", "b4", True),
    ("e4 e5 Nf3 d6 Bb5 Nc6", False, "c6", "e8", "b5", True),
    ("e4 e5 Nf3 Nc6 Bb5", False, "c6", None, None, None),  # the d7 pawn stands between
]


@pytest.mark.parametrize(("moves", "color", "front", "behind", "by", "absolute"), PINS)
def test_pins_of_the_openings(
    moves: str, color: bool, front: str, behind: str | None, by: str | None, absolute: bool | None
) -> None:
    found = [p for p in pins(line(moves), color) if p.front == chess.parse_square(front)]
    told = [(chess.square_name(p.behind), chess.square_name(p.attacker), p.absolute) for p in found]
    assert told == ([] if behind is None else [(behind, by, absolute)])


#: Textbook skewers; common practice. FEN, sufferer, front, behind, attacker.
SKEWERS = [
    ("3k4/8/8/8/3q4/8/8/R2K4 w - - 0 1", True, "", "", ""),  # one man on the line is a check, no skewer
    ("7k/8/8/8/8/2K5/1R6/b7 w - - 0 1", True, "", "", ""),  # the cheaper rook stands before the king: a pin
    ("7b/8/8/4k3/8/2K5/1R6/8 b - - 0 1", False, "", "", ""),
    ("8/8/1k4q1/8/8/8/1R6/1K6 b - - 0 1", False, "", "", ""),
    ("6q1/8/4k3/8/8/1B6/8/6K1 b - - 0 1", False, "e6", "g8", "b3"),  # king before queen on the diagonal
    ("4r2k/8/8/4q3/8/8/8/4R1K1 w - - 0 1", False, "", "", ""),  # the rook behind guards the queen, and is guarded
    ("3r3k/8/5q2/8/7B/6P1/8/6K1 b - - 0 1", False, "f6", "d8", "h4"),  # queen before rook, by a guarded bishop
    ("3r3k/8/5q2/8/7B/8/8/6K1 b - - 0 1", False, "", "", ""),  # the queen simply takes it
]


@pytest.mark.parametrize(("fen", "color", "front", "behind", "by"), SKEWERS)
def test_textbook_skewers(fen: str, color: bool, front: str, behind: str, by: str) -> None:
    found = [(s.front, s.behind, s.attacker) for s in skewers(chess.Board(fen), color)]
    assert [" ".join(map(chess.square_name, three)) for three in found] == ([f"{front} {behind} {by}"] if front else [])


def test_a_man_that_hangs_is_named_with_what_it_costs() -> None:
    """Philidor's 3...Bg4 and other beginners' moves; common practice."""
    board = line("e4 e5 Nf3 f6 Nxe5 fxe5")
    assert hanging(board, chess.BLACK) == ()  # e5 is loose, but only the queen's check gets at it
    board = line("e4 d5 Nf3")
    assert [(chess.square_name(h.square), h.points) for h in hanging(board, chess.WHITE)] == [("e4", 1)]
    board = line("e4 e5 Qh5 g6")
    assert [(chess.square_name(h.square), h.points) for h in hanging(board, chess.WHITE)] == [("h5", 9)]


@laws
@given(played())
def test_absolute_pins_are_those_of_the_rules_library(board: chess.Board) -> None:
    for color in (True, False):
        ours = {pin.front for pin in pins(board, color) if pin.absolute}
        assert ours == {s for s in chess.SquareSet(board.occupied_co[color]) if board.is_pinned(color, s)}


@laws
@given(played())
def test_attacked_and_loose_are_those_of_the_rules_library(board: chess.Board) -> None:
    for color in (True, False):
        own = chess.SquareSet(board.occupied_co[color])
        assert set(attacked(board, color)) == {s for s in own if board.attackers(not color, s)}
        kings = board.pieces(chess.KING, color)
        assert set(loose(board, color)) == {s for s in own if not board.attackers(color, s)} - set(kings)
        for square in own:
            assert set(defenders(board, square)) == set(board.attackers(color, square))


@laws
@given(played())
def test_hanging_men_are_attacked_and_cost_at_most_themselves(board: chess.Board) -> None:
    for color in (True, False):
        for found in hanging(board, color):
            assert found.square in attacked(board, color)
            assert found.points == loss(board, found.square) > 0


@laws
@given(played())
def test_mirroring_the_colours_mirrors_pins_and_skewers(board: chess.Board) -> None:
    mirrored = board.mirror()
    for color in (True, False):
        for find in (pins, skewers):
            ours = {(f.front, f.behind, f.attacker) for f in find(board, color)}
            theirs = {
                tuple(chess.square_mirror(s) for s in (f.front, f.behind, f.attacker))
                for f in find(mirrored, not color)
            }
            assert ours == theirs
