"""The summary of a position: its sentences, and laws on random positions."""

from __future__ import annotations

import re

import chess
import pytest
from hypothesis import given, settings

from linewright.board import Feature, Topic, show
from linewright.board.feature import WEIGHTS
from tests.board.positions import line, played

laws = settings(deadline=None, max_examples=120)
ITALIAN = "e4 e5 Nf3 Nc6 Bc4 Bc5 c3 Nf6 d4 exd4 cxd4"
ISOLANI = f"{ITALIAN} Bb4+ Bd2 Bxd2+ Nbxd2 d5 exd5 Nxd5 Qb3 Nce7"
NAJDORF = "e4 c5 Nf3 d6 d4 cxd4 Nxd4 Nf6 Nc3"

#: Sentences that the position must tell. Common practice; the Italian ones are the issue's own check values.
TOLD = [
    (ITALIAN, "white has the classical centre, pawns on d4 and e4"),
    (ITALIAN, "the c file is half-open for white"),
    (ITALIAN, "white threatens dxc5, winning 3 points on c5"),
    (ISOLANI, "the white pawn on d4 is isolated"),
    (ISOLANI, "the white pawn on d4 is an isolated queen's pawn"),
    (ISOLANI, "the white pawn on d4 is blockaded by the black knight on d5"),
    (ISOLANI, "the e file is open"),
    (ISOLANI, "the c file is half-open for white"),
    (f"{NAJDORF} g6", "the pawns stand in the Dragon structure, black's"),
    (f"{NAJDORF} a6 Be2 e5", "d5 is a hole in black's camp"),
    (f"{NAJDORF} a6 Be2 e5", "the black pawn on d6 is backward"),
    ("e4 e5 Nf3 Nc6 Bb5 a6 Bxc6 dxc6", "the black pawns on c6 and c7 are doubled"),
    ("e4 e5 Nf3 Nc6 Bb5 a6 Bxc6 dxc6", "black has the bishop pair"),
    ("e4 e6 d4 d5 e5", "the centre is closed"),
    ("e4 e6 d4 d5 e5", "black's pawn chain on d5, e6 and f7 has its base on f7 and its head on d5"),
    ("e4 e6 d4 d5 e5", "black has the break c7-c5, against d4"),
    ("e4 e5 Nf3 d6 d4 Bg4", "the white knight on f3 is pinned to the queen on d1 by the black bishop on g4"),
    ("d4 Nf6 c4 e6 Nc3 Bb4", "the white knight on c3 is pinned to the king on e1 by the black bishop on b4"),
    ("e4 e5 Nf3 f6 Nxe5", "black can play fxe5, winning 3 points on e5"),
    ("e4 e5 f4 exf4", "black has a pawn more"),
    ("e4 e5 Nf3 Nf6 Nxe5 d6 Nxf7 Kxf7", "black has a knight for 2 pawns"),
    ("e4 e5 Ke2", "white can't castle any more"),
    ("e4 e5 Nf3 Nc6 Bc4 Bc5 O-O", "white has castled"),
    ("e4 e5 Nf3 Nc6 Bc4 Nf6 Ng5 Bc5 Nxf7",
     "the white knight on f7 forks the black queen on d8 and the black rook on h8"),
    ("f3 e5 g4", "black can play Qh4#, mate"),
]  # fmt: skip


@pytest.mark.parametrize(("moves", "said"), TOLD)
def test_what_a_position_tells(moves: str, said: str) -> None:
    assert said in [feature.words for feature in show(line(moves)).all]


def test_the_start_shows_little() -> None:
    said = [feature.words for feature in show(chess.Board()).all]
    assert said == [
        "white may still castle kingside and queenside",
        "black may still castle kingside and queenside",
    ]


def test_what_is_worth_most_comes_first() -> None:
    features = show(line(ISOLANI))
    assert "isolated" in features.top(2)[0].words
    assert {f.topic for f in features.of(Topic.PAWNS, chess.BLACK)} == {Topic.PAWNS}
    assert all(f.color is chess.BLACK for f in features.of(Topic.PAWNS, chess.BLACK))
    mate = show(line("f3 e5 g4"), mate=1).top(1)[0]
    assert mate.words == "black mates in 1: 2...Qh4#"


@laws
@given(played())
def test_every_feature_is_a_clause_with_a_weight(board: chess.Board) -> None:
    features = show(board)
    assert features.fen == board.fen()
    for feature in features.all:
        assert feature.weight > 0, feature.name
        assert re.match(r"[a-z]", feature.words) and not feature.words.endswith(".") and "  " not in feature.words
        assert all(0 <= square < 64 for square in feature.squares)
    assert len({f.words for f in features.all}) == len(features.all)
    assert sorted(features.top(99), key=id) == sorted(features.all, key=id)


@laws
@given(played())
def test_both_colours_are_told_alike(board: chess.Board) -> None:
    def key(feature: Feature, mirrored: bool) -> tuple[str, bool | None, list[int]]:
        color = feature.color if not mirrored or feature.color is None else not feature.color
        found = sorted(chess.square_mirror(s) if mirrored else s for s in feature.squares)
        return feature.name, color, found

    timeless = [f for f in show(board).all if f.topic is not Topic.THREATS]  # threats are cut to the first few
    there = [f for f in show(board.mirror()).all if f.topic is not Topic.THREATS]
    assert sorted(map(str, (key(f, False) for f in timeless))) == sorted(map(str, (key(f, True) for f in there)))


@laws
@given(played())
def test_looking_leaves_the_board_alone(board: chess.Board) -> None:
    before = board.fen(), len(board.move_stack)
    show(board, mate=1)
    assert (board.fen(), len(board.move_stack)) == before


def test_every_weight_is_used_in_its_order() -> None:
    assert max(WEIGHTS, key=lambda name: WEIGHTS[name]) == "mate"
    assert all(0 < weight <= 100 for weight in WEIGHTS.values())
