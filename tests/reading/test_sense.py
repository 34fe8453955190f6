"""The sense of moves, where no game tells."""

from __future__ import annotations

import chess
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linewright.reading.search.legal import gives_check
from linewright.reading.search.move_prior import Glance
from linewright.reading.search.positions import Atlas, Position


def after(*sans: str, fen: str = chess.STARTING_FEN) -> Position:
    position = Atlas(None).start(chess.Board(fen))
    for san in sans:
        move = position.board.parse_san(san)
        position = position.after(next(m for m in position.legal if m.move == move))
    return position


def seen(position: Position, san: str) -> set[str]:
    move = position.board.parse_san(san)
    glance = Glance(position.board, position.last)
    return set(glance.seen(next(m for m in position.legal if m.move == move)))


SEEN = [  # moves, move, what a player sees of it at a glance
    (("e4", "e5", "Nf3", "Nc6", "Bb5", "a6", "Bxc6"), "dxc6", {"takes back", "P to c3", "wins B"}),
    (("e4", "d5"), "exd5", {"takes what just moved", "exchanges P"}),
    (("e4", "e5", "Qh5"), "Nc6", {"N from b1", "N to c3"}),
    (("e4", "e5", "Qh5"), "Nf6", {"N hits Q"}),
    (("e4", "e5", "Qh5", "Nc6"), "Qxf7+", {"capture loses 5"}),
    (("d4", "d5", "c4", "e6", "Nc3", "Nf6", "Bg5", "h6"), "Bh4", {"leaves danger 3"}),  # nothing guards the bishop
    (("e4", "e5", "Nf3", "Nf6", "Nxe5", "Nc6", "Nxc6"), "dxc6", {"takes back", "wins N"}),
    (("e4", "e5", "Nf3", "Nc6", "Bc4", "Bc5"), "O-O", {"castles K"}),
    (("e4", "d5", "e5", "f5"), "Qh5+", {"Q hits K"}),
]


@pytest.mark.parametrize(("line", "san", "wanted"), SEEN, ids=[f"{' '.join(m[-1:])} {s}" for m, s, _ in SEEN])
def test_a_glance_sees(line: tuple[str, ...], san: str, wanted: set[str]) -> None:
    assert wanted <= seen(after(*line), san)


LIKELIER = [  # common practice: the first move is far likelier than the second
    (("e4", "e5", "Nf3", "Nc6", "Bb5", "a6", "Bxc6"), "dxc6", "h6"),  # take back
    (("d4", "d5", "c4", "e6", "Nc3", "Nf6", "Bg5", "h6"), "Bh4", "Bxh6"),  # don't lose the bishop for a pawn
    (("e4", "e5", "Nf3", "Nc6", "Bc4", "Bc5", "c3", "Nf6"), "O-O", "Kf1"),
    (("e4", "e5"), "Nf3", "Nh3"),  # knights to the centre
    (("e4", "d5", "exd5", "Qxd5"), "Nc3", "a4"),  # hit the queen
]


@pytest.mark.parametrize(("line", "more", "less"), LIKELIER, ids=[m for _, m, _ in LIKELIER])
def test_sensible_moves_are_likelier(line: tuple[str, ...], more: str, less: str) -> None:
    position = after(*line)
    chances = {position.board.san(m.move): position.sense[m.uci] for m in position.legal}
    assert chances[more] > 5 * chances[less]


def walked(choices: list[int]) -> chess.Board:
    board = chess.Board()
    for choice in choices:
        moves = list(board.legal_moves)
        if not moves:
            break
        board.push(moves[choice % len(moves)])
    return board


@settings(deadline=None, max_examples=60)
@given(st.lists(st.integers(0, 200), max_size=60))
def test_chances_are_a_distribution_and_the_same_for_both_colours(choices: list[int]) -> None:
    board = walked(choices)
    board.clear_stack()
    one, two = Atlas(None).start(board).sense, Atlas(None).start(board.mirror()).sense
    assert len(one) == board.legal_moves.count()
    assert not one or sum(one.values()) == pytest.approx(1.0)
    for uci, chance in one.items():
        move = chess.Move.from_uci(uci)
        mirrored = chess.Move(
            chess.square_mirror(move.from_square), chess.square_mirror(move.to_square), move.promotion
        )
        assert two[mirrored.uci()] == pytest.approx(chance)


@given(st.data())
@settings(max_examples=25, deadline=None)
def test_checks_are_seen_without_playing_them(data: st.DataObject) -> None:
    position = after(fen=data.draw(st.sampled_from(FULL_OF_CHECKS)))
    for _ in range(data.draw(st.integers(0, 30))):
        if not position.legal:
            break
        for legal in position.legal:
            assert gives_check(position.board, legal) == position.board.gives_check(legal.move), legal.uci
        position = position.after(data.draw(st.sampled_from(position.legal)))


#: The start; and positions made for this: castling, promotions, captures in passing and uncovered lines give check.
FULL_OF_CHECKS = (
    chess.STARTING_FEN,
    "8/P2P1P2/8/K2pPr1k/8/8/1p3p2/R3N1B1 w - d6 0 1",
    "5k2/8/8/8/8/8/8/4K2R w K - 0 1",
    "3k4/1P6/8/2PpP3/8/B2RN3/8/3K4 w - d6 0 1",
)
