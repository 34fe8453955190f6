"""The real engine: answers repeat, known endings and published mates are scored right."""

from __future__ import annotations

import random
from collections.abc import Iterator

import chess
import chess.engine
import pytest

from linewright.board.tactics.mates import mate_in
from linewright.engine import Engine, EngineSettings, EngineVerdict
from linewright.engine.settings import find
from linewright.engine.signs import CLEAR, SLIGHT, WINNING, Sign, sign
from linewright.engine.verdict_evidence import show_score
from linewright.support.errors import UnusableInput
from tests.board.positions import line

try:
    ENGINE = find()
except UnusableInput:
    ENGINE = None
pytestmark = pytest.mark.skipif(
    ENGINE is None or ENGINE.name != "stockfish", reason="needs the engine stockfish on PATH or in /usr/games"
)


@pytest.fixture(scope="module")
def engine() -> Iterator[Engine]:
    with Engine.open(EngineSettings(ENGINE)) as opened:
        yield opened


def verdict(engine: Engine, position: str, nodes: int, lines: int = 1) -> EngineVerdict:
    board = chess.Board(position) if "/" in position else line(position)
    (found,) = engine.verdicts([board], nodes, lines)
    assert isinstance(found, EngineVerdict)
    return found


def test_the_same_question_gets_the_same_answer(engine: Engine) -> None:
    """Also in another session, and after other questions."""
    positions = [line("e4 e5 Nf3 Nc6 Bb5"), line("d4 d5 c4"), chess.Board()]
    first = engine.verdicts(positions, 30_000)
    with Engine.open(EngineSettings(ENGINE)) as other:
        assert other.verdicts(positions[::-1], 30_000)[::-1] == first
    assert all(isinstance(v, EngineVerdict) and len(v.lines) == 3 for v in first)


def test_lines_are_legal_and_in_order(engine: Engine) -> None:
    found = verdict(engine, "e4 c5 Nf3 d6 d4", 60_000, 4)  # Black to move
    scores = [found_line.score.order() for found_line in found.lines]
    assert len(scores) == 4 and scores == sorted(scores)  # best for Black first
    for found_line in found.lines:
        board = chess.Board(f"{found.fen} 0 1")
        for move in found_line.moves:
            board.push_uci(move)  # raises for an illegal one
        assert found_line.expectation is not None


#: Endings whose outcome is known from tablebases and every handbook of endings (FENs set up from memory).
WON, DRAWN = "won", "drawn"
ENDINGS = [
    ("queen against king", "7k/8/8/8/8/8/8/KQ6 w - - 0 1", WON),
    ("rook against king", "7k/8/8/8/8/8/8/KR6 w - - 0 1", WON),
    ("bishop and knight against king", "7k/8/8/8/8/8/8/KBN5 w - - 0 1", WON),
    ("king on a key square of its pawn", "4k3/8/4K3/4P3/8/8/8/8 w - - 0 1", WON),
    ("the same with Black to move", "4k3/8/4K3/4P3/8/8/8/8 b - - 0 1", WON),
    ("White to move has lost the opposition", "8/8/4k3/8/4K3/4P3/8/8 w - - 0 1", DRAWN),
    ("Black to move has lost it", "8/8/4k3/8/4K3/4P3/8/8 b - - 0 1", WON),
    ("rook's pawn with the king in the corner", "k7/8/1K6/P7/8/8/8/8 w - - 0 1", DRAWN),
    ("rook's pawn with the bishop of the corner's colour", "7k/8/8/6KP/8/8/8/2B5 w - - 0 1", WON),
    ("rook's pawn with the wrong bishop", "7k/8/8/6KP/8/8/8/5B2 w - - 0 1", DRAWN),
    ("Lucena", "1K1k4/1P6/8/8/8/8/r7/2R5 w - - 0 1", WON),
    ("Philidor's defence", "3k4/R7/1r6/3KP3/8/8/8/8 b - - 0 1", DRAWN),
    ("Réti's study, 1921", "7K/8/k1P5/7p/8/8/8/8 w - - 0 1", DRAWN),
    ("Saavedra's win, 1895", "8/8/1KP5/3r4/8/8/8/k7 w - - 0 1", WON),
    ("queen against a rook's pawn, king far off", "Q7/8/8/8/3K4/8/pk6/8 b - - 0 1", DRAWN),
]


@pytest.mark.parametrize(("name", "fen", "outcome"), ENDINGS, ids=[row[0] for row in ENDINGS])
def test_known_endings(engine: Engine, name: str, fen: str, outcome: str) -> None:
    found = verdict(engine, fen, 200_000)
    assert found.best is not None
    if outcome == WON:
        assert sign(found) is Sign.WHITE_WINNING
    else:
        assert found.best.score.pawns is not None and abs(found.best.score.pawns) < CLEAR


#: Published mates: name, position, moves. The games are well known; the WAC numbers are Reinfeld's Win at Chess (1958)
#: in the test suite of that name, from memory.
MATES = [
    ("Morphy, Paris 1858",
     "e4 e5 Nf3 d6 d4 Bg4 dxe5 Bxf3 Qxf3 dxe5 Bc4 Nf6 Qb3 Qe7 Nc3 c6 Bg5 b5 Nxb5 cxb5 Bxb5+ Nbd7 O-O-O Rd8 Rxd7 Rxd7 "
     "Rd1 Qe6 Bxd7+ Nxd7", "Qb8+", 2),
    ("Réti, Vienna 1910", "e4 c6 d4 d5 Nc3 dxe4 Nxe4 Nf6 Qd3 e5 dxe5 Qa5+ Bd2 Qxe5 O-O-O Nxe4", "Qd8+", 3),
    ("Légal's mate", "e4 e5 Nf3 d6 Bc4 Bg4 Nc3 g6 Nxe5 Bxd1", "Bxf7+", 2),
    ("WAC.001", "2rr3k/pp3pp1/1nnqbN1p/3pN3/2pP4/2P3Q1/PPB4P/R4RK1 w - - 0 1", "Qg6", 2),
    ("WAC.004", "r1bq2rk/pp3pbp/2p1p1pQ/7P/3P4/2PB1N2/PP3PPR/2KR4 w - - 0 1", "Qxh7+", 2),
    ("WAC.005", "5k2/6pp/p1qN4/1p1p4/3P4/2PKP2Q/PP3r2/3R4 b - - 0 1", "Qc4+", -2),
    ("Lasker against Thomas, London 1912",
     "rn3rk1/pbppq1pp/1p2pb2/4N2Q/3PN3/3B4/PPP2PPP/R3K2R w KQ - 0 11", "Qxh7+", 8),
]  # fmt: skip


@pytest.mark.parametrize(("name", "position", "key", "moves"), MATES, ids=[row[0] for row in MATES])
def test_published_mates(engine: Engine, name: str, position: str, key: str, moves: int) -> None:
    found = verdict(engine, position, 300_000)
    assert found.best is not None
    board = chess.Board(f"{found.fen} 0 1")
    assert board.san(chess.Move.from_uci(found.best.moves[0])) == key
    mate = found.best.score.mate
    assert mate is not None and (mate > 0) == (moves > 0)
    assert mate == moves or (abs(moves) > 3 and abs(mate) < abs(moves))  # a longer one may have been improved on
    assert str(show_score(found.best.score)) == f"mate in {abs(mate)} for {'white' if moves > 0 else 'black'}"
    if abs(moves) == 2:  # the board's own exact search agrees
        ours = mate_in(board, 2).mate
        assert ours is not None and ours.moves == 2


#: Best moves of Win at Chess, as above.
TACTICS = [
    ("WAC.003", "5rk1/1ppb3p/p1pb4/6q1/3P1p1r/2P1R2P/PP1BQ1P1/5RKN w - - 0 1", "Rg3"),
    ("WAC.006", "7k/p7/1R5K/6r1/6p1/6P1/8/8 w - - 0 1", "Rb7"),
    ("WAC.007", "rnbqkb1r/pppp1ppp/8/4P3/6n1/7P/PPPNPPP1/R1BQKBNR b KQkq - 0 1", "Ne3"),
    ("WAC.008", "r4q1k/p2bR1rp/2p2Q1N/5p2/5p2/2P5/PP3PPP/R5K1 w - - 0 1", "Rf7"),
    ("WAC.009", "3q1rk1/p4pp1/2pb3p/3p4/6Pr/1PNQ4/P1PB1PP1/4RRK1 b - - 0 1", "Bh2+"),
    ("WAC.010", "2br2k1/2q3rn/p2NppQ1/2p1P3/Pp5R/4P3/1P3PPP/3R2K1 w - - 0 1", "Rxh7"),
]


@pytest.mark.parametrize(("name", "fen", "best"), TACTICS, ids=[row[0] for row in TACTICS])
def test_published_tactics(engine: Engine, name: str, fen: str, best: str) -> None:
    found = verdict(engine, fen, 200_000)
    assert found.best is not None
    assert chess.Board(fen).san(chess.Move.from_uci(found.best.moves[0])) == best
    assert sign(found) is (Sign.WHITE_WINNING if found.turn else Sign.BLACK_WINNING)


def test_the_thresholds_mean_what_their_reason_says() -> None:
    """The engine's own chances at move 32, on random openings, against the steps from level to winning."""
    chance = random.Random(5)
    wins: dict[float, list[float]] = {}
    with chess.engine.SimpleEngine.popen_uci(str(ENGINE)) as raw:
        raw.configure({"UCI_ShowWDL": True, "Threads": 1})
        for _ in range(250):
            board = chess.Board()
            while not board.is_game_over() and board.ply() < 12:
                board.push(chance.choice(list(board.legal_moves)))
            board.fullmove_number = 32
            info = raw.analyse(board, chess.engine.Limit(depth=5))
            score = info["score"].relative.score()
            if score is not None:
                wins.setdefault(score / 100, []).append(info["wdl"].relative.winning_chance())

    def mean(low: float, high: float) -> float:
        found = [win for pawns, all_wins in wins.items() if low <= pawns <= high for win in all_wins]
        assert len(found) >= 3
        return sum(found) / len(found)

    assert mean(0.0, SLIGHT) < 0.06
    assert 0.15 < mean(CLEAR - 0.1, CLEAR + 0.1) < 0.5
    assert mean(WINNING, WINNING + 0.5) > 0.95
