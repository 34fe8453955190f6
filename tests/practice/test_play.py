"""Playing on: what the board decides, and a real engine at a chosen strength."""

from __future__ import annotations

import chess
import chess.engine
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linewright.engine.settings import find
from linewright.practice.drills.drill import Drill, Goal, Task
from linewright.practice.playing_on import GoalState, Partner, decided, own_moves, points, replayed, won_man
from linewright.support.errors import UnusableInput

ISOLATED = "r1bq1rk1/pp2bppp/2n2n2/3p4/3N4/2N3P1/PP2PPBP/R1BQ1RK1 w - - 1 11"


def drill(fen: str, side: str = "white", moves: int = 3, square: str = "", least: float = 0.4) -> Drill:
    return Drill("0" * 16, Task.PLAY, fen, side, "Play on.", goal=Goal(moves, square, least))


def played(fen: str, moves: str) -> chess.Board:
    board = chess.Board(fen)
    for uci in moves.split():
        board.push_uci(uci)
    return board


WON = [
    # FEN, moves, square of the man, whether White has won it
    (ISOLATED, "d4f5 c8f5 c3d5", "d5", True, "taken where it stood"),
    ("4k3/8/8/3p4/8/4B3/8/4K3 w - - 0 1", "e1d1 d5d4 d1c2", "d5", False, "it went on"),
    ("4k3/8/8/3p4/8/4B3/8/4K3 w - - 0 1", "e1d1 d5d4 e3d4", "d5", True, "taken where it had gone"),
    ("4k3/3p4/8/4P3/8/8/8/4K3 b - - 0 1", "d7d5 e5d6", "d7", True, "taken in passing (FIDE Laws 3.7.3.1)"),
    ("4k3/8/8/3p4/2P5/8/8/4K3 b - - 0 1", "d5c4", "d5", False, "it took itself"),
    ("4k3/8/8/3p4/8/8/8/3QK3 w - - 0 1", "d1d5", "", False, "no man was named"),
]


@pytest.mark.parametrize(("fen", "moves", "square", "won", "why"), WON, ids=[w[4] for w in WON])
def test_a_man_is_won_wherever_it_has_gone(fen: str, moves: str, square: str, won: bool, why: str) -> None:
    assert won_man(played(fen, moves), Goal(9, square, 0.4), chess.WHITE) is won, why


ENDS = [
    ("7k/5Q2/6K1/8/8/8/8/8 w - - 0 1", "f7g7", GoalState.REACHED, "mate"),
    ("7K/5q2/6k1/8/8/8/8/8 b - - 0 1", "f7g7", GoalState.MISSED, "mated"),
    ("7k/5K2/8/6Q1/8/8/8/8 w - - 0 1", "g5g6", GoalState.REACHED, "stalemate is half a point (FIDE Laws 5.2.1)"),
    (chess.STARTING_FEN, "e2e4", GoalState.ON, "nothing yet"),
]


@pytest.mark.parametrize(("fen", "moves", "state", "why"), ENDS, ids=[e[3] for e in ENDS])
def test_what_the_board_decides(fen: str, moves: str, state: GoalState, why: str) -> None:
    assert decided(played(fen, moves), Goal(9, "", 0.4), chess.WHITE)[0] is state, why


def test_a_draw_does_not_do_where_more_was_asked() -> None:
    board = played("7k/5K2/8/6Q1/8/8/8/8 w - - 0 1", "g5g6")
    assert decided(board, Goal(9, "", 0.9), chess.WHITE)[0] is GoalState.MISSED


@given(st.lists(st.integers(0, 200), max_size=12))
@settings(deadline=None)
def test_moves_are_counted_for_each_side(choices: list[int]) -> None:
    board = chess.Board()
    for choice in choices:
        moves = list(board.legal_moves)
        if not moves:
            break
        board.push(moves[choice % len(moves)])
    white, black = own_moves(board, chess.WHITE), own_moves(board, chess.BLACK)
    assert white + black == len(board.move_stack)
    assert white - black in (0, 1)


def test_what_can_not_be_played_is_said() -> None:
    with pytest.raises(UnusableInput, match="e2e5"):
        replayed(drill(chess.STARTING_FEN), ["e2e5"])
    with pytest.raises(UnusableInput, match="0000"):
        replayed(drill(chess.STARTING_FEN), ["0000"])
    with pytest.raises(UnusableInput, match="more than the goal"):
        replayed(drill(chess.STARTING_FEN), ["g1f3", "g8f6", "f3g1", "f6g8"] * 3)
    with pytest.raises(UnusableInput, match="not played on"):
        replayed(Drill("0" * 16, Task.SAID, chess.STARTING_FEN, "white", "?"), [])


def test_points_are_seen_from_the_side_that_asks() -> None:
    score = chess.engine.PovScore(chess.engine.Cp(300), chess.BLACK)
    assert points(score, chess.BLACK) > 0.8
    assert points(score, chess.WHITE) == pytest.approx(1 - points(score, chess.BLACK))
    assert points(chess.engine.PovScore(chess.engine.Mate(-2), chess.WHITE), chess.BLACK) == 1.0


def engine_missing() -> bool:
    try:
        find()
    except UnusableInput:
        return True
    return False


needs_engine = pytest.mark.skipif(engine_missing(), reason="needs a UCI engine (Debian: apt install stockfish)")


@needs_engine
def test_a_real_engine_plays_on_until_the_goal_is_judged() -> None:
    with Partner() as partner:
        moves: list[str] = []
        board = chess.Board(ISOLATED)
        asked = drill(ISOLATED, moves=3)
        state = GoalState.ON
        for _ in range(3):
            own = max(board.legal_moves, key=lambda m: (board.is_capture(m), m.uci()))
            board.push(own)
            moves.append(own.uci())
            answer = partner.go_on(asked, moves, 1500)
            state = answer.state
            if not answer.reply:
                break
            assert board.is_legal(chess.Move.from_uci(answer.reply))
            board.push_uci(answer.reply)
            moves.append(answer.reply)
        assert state in (GoalState.REACHED, GoalState.MISSED)


@needs_engine
def test_a_won_position_reaches_and_a_lost_one_misses() -> None:
    won, lost = "4k3/8/8/8/8/8/4P3/Q3K3 w - - 0 1", "q3k3/4p3/8/8/8/8/8/4K3 w - - 0 1"
    with Partner() as partner:
        assert partner.go_on(drill(won, moves=1), ["e1d2"], 1500).state is GoalState.REACHED
        assert partner.go_on(drill(lost, moves=1), ["e1d2"], 1500).state is GoalState.MISSED


@needs_engine
def test_the_engine_begins_where_it_is_its_turn_and_comes_back_when_it_died() -> None:
    with Partner() as partner:
        asked = drill(chess.STARTING_FEN, "black")
        assert partner.go_on(asked, [], 1500).reply
        assert partner._engine is not None
        partner._engine.transport.kill()  # type: ignore[attr-defined]
        assert partner.go_on(asked, [], 1500).reply
