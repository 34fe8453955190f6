"""Laws of the claims of tactics on random positions, against python-chess and exhaustive search; published mates."""

from __future__ import annotations

import random

import chess
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linewright.claims.claim_kind import Facts
from linewright.claims.kinds.king.mating import MateClaim
from linewright.claims.kinds.king.mating import decide as decide_mate
from linewright.claims.kinds.tactics.attacked_defended import LooseClaim
from linewright.claims.kinds.tactics.attacked_defended import decide as decide_loose
from linewright.claims.kinds.tactics.untakeable import UntakeableClaim
from linewright.claims.kinds.tactics.untakeable import decide as decide_untakeable
from linewright.claims.sentence.men import Man


@st.composite
def boards(draw: st.DrawFn) -> chess.Board:
    """Positions reached by random moves from the start."""
    rng = random.Random(draw(st.integers(0, 2**32)))
    board = chess.Board()
    for _ in range(draw(st.integers(0, 70))):
        moves = list(board.legal_moves)
        if not moves:
            break
        board.push(rng.choice(moves))
    return board.copy(stack=False)


def mates_within(board: chess.Board, moves: int) -> bool:
    """Plain exhaustive search for a forced mate of the side to move: no order, no cuts."""
    for move in list(board.legal_moves):
        board.push(move)
        forced = board.is_checkmate() or (
            moves > 1
            and bool(list(board.legal_moves))
            and all(_mated_after(board, reply, moves - 1) for reply in board.legal_moves)
        )
        board.pop()
        if forced:
            return True
    return False


def _mated_after(board: chess.Board, reply: chess.Move, moves: int) -> bool:
    board.push(reply)
    mated = mates_within(board, moves)
    board.pop()
    return mated


def takes_with_profit(board: chess.Board, square: chess.Square) -> bool:
    """Plain exhaustive exchange on one square by legal captures, with the side to move: whether it gains."""
    values = {1: 1, 2: 3, 3: 3, 4: 5, 5: 9, 6: 0}

    def best(position: chess.Board) -> int:
        gains = [0]
        for move in list(position.legal_moves):
            if move.to_square == square and position.is_capture(move) and not position.is_en_passant(move):
                worth = values[position.piece_type_at(square) or 6]
                if move.promotion:
                    worth += values[move.promotion] - 1
                position.push(move)
                gains.append(worth - best(position))
                position.pop()
        return max(gains)

    return best(board.copy(stack=False)) > 0


@given(boards())
@settings(max_examples=60, deadline=None)
def test_check_and_mate_are_the_rules_own(board: chess.Board) -> None:
    facts = Facts(board)
    assert (decide_mate(MateClaim("check"), facts).verdict == "holds") == board.is_check()
    assert (decide_mate(MateClaim("check"), facts).verdict == "fails") == (not board.is_check())
    if board.is_checkmate():
        assert decide_mate(MateClaim("mate"), facts).verdict == "holds"
        assert decide_mate(MateClaim("mate", color=board.turn), facts).verdict == "fails"


@given(boards())
@settings(max_examples=40, deadline=None)
def test_a_mate_in_one_is_found_exactly(board: chess.Board) -> None:
    verdict = decide_mate(MateClaim("in", moves=1, color=board.turn), Facts(board)).verdict
    if not board.is_game_over():
        assert verdict == ("holds" if mates_within(board.copy(), 1) else "fails")


@given(boards(), st.integers(0, 63))
@settings(max_examples=150, deadline=None)
def test_a_man_hangs_when_taking_it_gains_by_exhaustive_exchange(board: chess.Board, square: int) -> None:
    piece = board.piece_at(square)
    if piece is None or piece.piece_type == chess.KING or piece.color == board.turn:
        return
    man = Man(piece.piece_type, square)
    verdict = decide_loose(LooseClaim(man, "hangs"), Facts(board)).verdict
    assert (verdict == "holds") == takes_with_profit(board, square)
    if verdict == "fails":
        assert not board.attackers(not piece.color, square)


@given(boards(), st.integers(0, 63))
@settings(max_examples=100, deadline=None)
def test_undefended_and_protected_never_both_hold(board: chess.Board, square: int) -> None:
    piece = board.piece_at(square)
    if piece is None or piece.piece_type == chess.KING:
        return
    man, facts = Man(piece.piece_type, square), Facts(board)
    loose = decide_loose(LooseClaim(man, "loose"), facts).verdict
    safe = decide_loose(LooseClaim(man, "safe"), facts).verdict
    assert {loose, safe} in ({"holds", "fails"}, {"undecided"})
    assert (loose == "holds") == (not board.attackers(piece.color, square))
    denied = decide_loose(LooseClaim(man, "safe", denied=True), facts).verdict
    assert denied == loose


@given(boards())
@settings(max_examples=30, deadline=None)
def test_a_capture_said_to_be_mated_is_really_mated(board: chess.Board) -> None:
    """When "if he takes, it's mate" holds, exhaustive search finds the mate within two moves."""
    captures = [move for move in board.legal_moves if board.is_capture(move)]
    for move in captures[:2]:
        if decide_untakeable(UntakeableClaim((move.uci(),), mate=True), Facts(board)).verdict == "holds":
            after = board.copy(stack=False)
            after.push(move)
            assert mates_within(after, 2)


#: Mates that every handbook prints: name, moves, and in how many more moves the side to move mates.
#: The games: Legal-Saint Brie, Paris about 1750; Morphy-Duke of Brunswick and Count Isouard, Paris 1858; the smothered
#: mate is Lucena's, 1497. From memory.
PUBLISHED = [
    ("fool's mate", "f3 e5 g4", 1),
    ("scholar's mate", "e4 e5 Bc4 Nc6 Qh5 Nf6", 1),
    ("Legal's mate", "e4 e5 Nf3 d6 Bc4 Bg4 Nc3 g6 Nxe5 Bxd1", 2),
    (
        "Morphy's game at the opera",
        "e4 e5 Nf3 d6 d4 Bg4 dxe5 Bxf3 Qxf3 dxe5 Bc4 Nf6 Qb3 Qe7 Nc3 c6 Bg5 b5 Nxb5 cxb5 Bxb5+ Nbd7 O-O-O Rd8 Rxd7 "
        "Rxd7 Rd1 Qe6 Bxd7+ Nxd7",
        2,
    ),
]


@pytest.mark.parametrize(("name", "line", "moves"), PUBLISHED)
def test_published_mates_are_found(name: str, line: str, moves: int) -> None:
    board = chess.Board()
    for san in line.split():
        board.push_san(san)
    assert decide_mate(MateClaim("in", moves=moves), Facts(board)).verdict == "holds"
    if moves == 2:
        assert decide_mate(MateClaim("in", moves=1, color=board.turn), Facts(board)).verdict == "fails"


def test_a_published_capture_that_cant_be_played() -> None:
    """Win at Chess (F. Reinfeld, 1945), the seventh position as its public EPD gives it (from memory): 1…Ne3, and if
    White takes, …Qh4+ mates; and Legal's queen."""
    board = chess.Board("rnbqkb1r/pppp1ppp/8/4P3/6n1/7P/PPPNPPP1/R1BQKBNR b KQkq - 0 1")
    board.push_san("Ne3")
    assert decide_untakeable(UntakeableClaim(("f2e3",), mate=True), Facts(board)).verdict == "holds"
    assert decide_untakeable(UntakeableClaim(("f2e3",)), Facts(board)).verdict in ("holds", "undecided")


def test_lucenas_smothered_mate_is_over() -> None:
    board = chess.Board("6rk/5Npp/8/8/8/8/8/K7 b - - 0 1")
    assert board.is_checkmate()
    assert decide_mate(MateClaim("mate", color=chess.WHITE), Facts(board)).verdict == "holds"
    assert decide_mate(MateClaim("unstoppable"), Facts(board)).verdict == "holds"
