"""Forks, discovered attacks, trapped pieces, overload, threats and mates: known traps and published mates."""

from __future__ import annotations

import os
import random
import shutil

import chess
import chess.engine
import pytest
from hypothesis import given, settings

from linewright.board.tactics.exchange import exchange
from linewright.board.tactics.mates import cannot_stop_mate, mate_in, mates_at_once
from linewright.board.tactics.motifs import discoveries, forks, overloads, trapped
from linewright.board.tactics.threats import Aim, answer_to, threats
from linewright.engine.settings import PLACES
from tests.board.positions import line, played, squares

laws = settings(deadline=None, max_examples=100)
TWO_KNIGHTS = "e4 e5 Nf3 Nc6 Bc4 Nf6"
NOAHS_ARK = "e4 e5 Nf3 Nc6 Bb5 a6 Ba4 d6 d4 b5 Bb3 Nxd4 Nxd4 exd4 Qxd4 c5 Qd5 Be6 Qc6+ Bd7 Qd5 c4"
#: Morphy against the Duke of Brunswick and Count Isouard, Paris 1858, before the finish.
OPERA = (
    "e4 e5 Nf3 d6 d4 Bg4 dxe5 Bxf3 Qxf3 dxe5 Bc4 Nf6 Qb3 Qe7 Nc3 c6 Bg5 b5 Nxb5 cxb5 Bxb5+ Nbd7 O-O-O Rd8 Rxd7 Rxd7 "
    "Rd1 Qe6 Bxd7+ Nxd7"
)
#: Réti against Tartakower, Vienna 1910, before the finish.
RETI = "e4 c6 d4 d5 Nc3 dxe4 Nxe4 Nf6 Qd3 e5 dxe5 Qa5+ Bd2 Qxe5 O-O-O Nxe4"
LEGAL = "e4 e5 Nf3 d6 Bc4 Bg4 Nc3 g6 Nxe5 Bxd1"

#: Position (moves or FEN), who forks, by what, whom. Common practice.
FORKS = [
    (f"{TWO_KNIGHTS} Ng5 Bc5 Nxf7", True, "f7", "d8 h8"),
    (f"{TWO_KNIGHTS} Nc3 Nxe4 Nxe4 d5", False, "d5", "c4 e4"),  # the fork trick
    ("r3k3/2N5/8/8/8/8/8/4K3 b - - 0 1", True, "c7", "a8 e8"),
    ("r3k3/2N5/8/8/5b2/8/8/4K3 b - - 0 1", True, "", ""),  # the knight can be taken
    ("4k3/8/8/3n1b2/4P3/8/8/4K3 b - - 0 1", True, "e4", ""),  # but it can be taken by the bishop
    ("4k3/8/8/3n1n2/4P3/8/8/4K3 b - - 0 1", True, "e4", "d5 f5"),
    ("8/8/8/3k4/2N1N3/8/8/4K3 b - - 0 1", False, "d5", "c4 e4"),  # a king forks what is loose
]


@pytest.mark.parametrize(("position", "color", "by", "targets"), FORKS)
def test_known_forks(position: str, color: bool, by: str, targets: str) -> None:
    board = chess.Board(position) if "/" in position else line(position)
    found = [(chess.square_name(f.by), f.targets) for f in forks(board, color)]
    assert found == ([(by, squares(targets))] if targets else [])


@laws
@given(played())
def test_forks_mirror_and_hit_two(board: chess.Board) -> None:
    for color in (True, False):
        found = forks(board, color)
        mirrored = forks(board.mirror(), not color)
        assert {(chess.square_mirror(f.by), frozenset(map(chess.square_mirror, f.targets))) for f in mirrored} == {
            (f.by, frozenset(f.targets)) for f in found
        }
        for fork in found:
            assert len(fork.targets) >= 2
            assert all(t in board.attacks(fork.by) and board.color_at(t) != color for t in fork.targets)


def test_discovered_checks_and_attacks() -> None:
    board = chess.Board("4k3/8/8/8/8/8/4N3/4RK2 w - - 0 1")
    assert [(d.front, d.slider, d.target, d.check) for d in discoveries(board, True)] == [
        (chess.E2, chess.E1, chess.E8, True)
    ]
    # Légal's pin is none for the knight's own side to use, but the French trap 7...Nxd4 8.Bb5+ is: common practice.
    board = line("e4 e6 d4 d5 e5 c5 c3 Nc6 Nf3 Qb6 Bd3 cxd4 cxd4 Bd7 O-O Nxd4 Nxd4 Qxd4")
    assert (chess.D3, chess.D1, chess.D4) in {(d.front, d.slider, d.target) for d in discoveries(board, True)}
    # A pawn that can only go along the file opens nothing.
    assert discoveries(chess.Board("4q1k1/8/8/8/8/4P3/8/4RK2 w - - 0 1"), True) == ()


def test_trapped_bishops() -> None:
    """Noah's Ark trap, and the bishop on a7 behind b6; common practice."""
    assert [t.square for t in trapped(line(NOAHS_ARK), True)] == [chess.B3]
    board = chess.Board("8/Bk3ppp/1p6/8/8/8/5PPP/6K1 w - - 0 1")
    assert [(t.square, t.points) for t in trapped(board, True)] == [(chess.A7, 3)]
    assert trapped(chess.Board(), True) == ()  # shut in at home is not trapped
    # The queen has no move, but what attacks it can be taken.
    assert trapped(line("e4 e5 Nf3 Nc6 d4 exd4 Nxd4 Nf6 Nxc6"), False) == ()


@laws
@given(played())
def test_a_trapped_piece_has_no_safe_move(board: chess.Board) -> None:
    for found in trapped(board, board.turn):
        moves = [m for m in board.legal_moves if m.from_square == found.square]
        assert all(exchange(board, m) < 0 for m in moves)
        assert moves or found.points


def test_an_overloaded_rook() -> None:
    """Made for the rule: the rook on d8 alone holds both the bishop on a8 and the knight on d6."""
    board = chess.Board("b2r2k1/5ppp/3n4/8/8/8/5PPP/R2R2K1 w - - 0 1")
    assert [(o.defender, o.duties) for o in overloads(board, False)] == [(chess.D8, squares("d6 a8"))]
    board.set_piece_at(chess.C7, chess.Piece.from_symbol("p"))
    board.remove_piece_at(chess.C7)
    board.set_piece_at(chess.E7, chess.Piece.from_symbol("b"))  # the bishop holds d6 too
    assert overloads(board, False) == ()


@laws
@given(played())
def test_overload_mirrors(board: chess.Board) -> None:
    for color in (True, False):
        ours = {(o.defender, frozenset(o.duties)) for o in overloads(board, color)}
        theirs = {
            (chess.square_mirror(o.defender), frozenset(map(chess.square_mirror, o.duties)))
            for o in overloads(board.mirror(), not color)
        }
        assert ours == theirs


#: moves, whose threat, move, aim. Common practice.
THREATS = [
    ("e4 e5 Bc4 Nc6 Qh5", True, "Qxf7#", Aim.MATE),
    ("f3 e5 g4", False, "Qh4#", Aim.MATE),  # the fool's mate, a chance for the side to move
    ("e4 e5 Nf3 Nc6 Bc4 Bc5 c3 Nf6 d4 exd4 cxd4", True, "dxc5", Aim.WIN),
    ("e4 d5", True, "exd5", None),  # guarded by the queen: no threat
    (f"{TWO_KNIGHTS} Nc3 Nxe4 Nxe4", False, "d5", Aim.FORK),
    ("e4 e5 Nf3 Nc6 Nc3 Nf6 Bc4 Nxe4 Bxf7+", True, "", None),  # a check: nothing else is looked at
]


@pytest.mark.parametrize(("moves", "color", "san", "aim"), THREATS)
def test_known_threats(moves: str, color: bool, san: str, aim: Aim | None) -> None:
    found = {t.san: t.aim for t in threats(line(moves), color)}
    assert found.get(san) is aim
    assert san or not found


@laws
@given(played(most=50))
def test_threats_are_legal_and_win_what_they_say(board: chess.Board) -> None:
    for color in (True, False):
        for threat in threats(board, color):
            moved = board.copy(stack=False)
            if board.turn != color:
                moved.push(chess.Move.null())
            assert moved.is_legal(threat.move)
            if threat.aim is Aim.WIN:
                assert threat.points == exchange(moved, threat.move) > 0
            moved.push(threat.move)
            assert moved.is_checkmate() == (threat.aim is Aim.MATE)


#: moves, the tempting move, the reply. Traps of the openings; common practice.
CANT_TAKE = [
    ("e4 e5 Nf3 Nc6 Bc4 Nd4", "Nxe5", None),  # Blackburne's trap, Qg5, wins no man at once: for an engine
    ("d4 d5 c4 e6 Nc3 Nf6 Bg5 Nbd7 cxd5 exd5", "Nxd5", "Nxd5"),  # the Elephant trap: the knight only seemed pinned
    ("e4 e5 Nf3 f6", "Nxe5", "fxe5"),
    ("e4 e5 Bc4 Nc6 Qh5", "Nf6", "Qxf7#"),
    ("e4 d5", "exd5", None),  # one may take here, the queen only takes back
]


@pytest.mark.parametrize(("moves", "move", "reply"), CANT_TAKE)
def test_why_one_can_t_take(moves: str, move: str, reply: str | None) -> None:
    board = line(moves)
    found = answer_to(board, board.parse_san(move))
    assert (found.san if found else None) == reply


#: Published mates. FEN or moves, mate in, key move.
MATES = [
    ("fool's mate", "f3 e5 g4", 1, "Qh4#"),
    ("scholar's mate", "e4 e5 Bc4 Nc6 Qh5 Nf6", 1, "Qxf7#"),
    ("Légal's mate", LEGAL, 2, "Bxf7+"),
    ("Morphy, Paris 1858", OPERA, 2, "Qb8+"),
    ("Réti, Vienna 1910", RETI, 3, "Qd8+"),
    ("Morphy's problem", "kbK5/pp6/1P6/8/8/8/8/R7 w - - 0 1", 2, "Ra6"),  # from memory; a quiet key
    ("smothered mate", "5r1k/6pp/7N/3Q4/8/8/6PP/6K1 w - - 0 1", 2, "Qg8+"),  # after Lucena's study; from memory
    ("two rooks", "4k3/8/R7/1R6/8/8/8/4K3 w - - 0 1", 2, ""),
]


@pytest.mark.parametrize(("name", "position", "moves", "key"), MATES, ids=[row[0] for row in MATES])
def test_published_mates(name: str, position: str, moves: int, key: str) -> None:
    board = chess.Board(position) if "/" in position else line(position)
    found = mate_in(board, 3)
    assert found.mate is not None and found.mate.moves == moves and found.whole
    if key:
        assert board.san(found.mate.line[0]) == key
    for move in found.mate.line:
        board.push(move)
    assert board.is_checkmate()


def test_no_mate_is_said_only_where_all_was_searched() -> None:
    assert mate_in(chess.Board(), 2).mate is None
    assert mate_in(chess.Board(), 1).whole
    assert not mate_in(line(RETI), 2, positions=50).whole
    assert not mate_in(chess.Board("4k3/8/8/8/8/8/8/R3K3 w - - 0 1"), 3).whole


def test_mate_that_can_and_can_t_be_stopped() -> None:
    assert not cannot_stop_mate(line("e4 e5 Bc4 Nc6 Qh5"))  # g6, Qe7 and others stop it
    assert cannot_stop_mate(chess.Board("kbK5/pp6/RP6/8/8/8/8/8 b - - 0 1"))  # after Morphy's key
    assert cannot_stop_mate(line("f3 e5 g4 Qh4#"))
    stalemate = chess.Board("k7/8/1Q6/8/8/8/8/4K3 b - - 0 1")
    assert stalemate.is_stalemate() and not cannot_stop_mate(stalemate)


@laws
@given(played())
def test_mates_at_once_are_the_rules_library_s(board: chess.Board) -> None:
    mating = set()
    for move in board.legal_moves:
        board.push(move)
        if board.is_checkmate():
            mating.add(move)
        board.pop()
    assert set(mates_at_once(board)) == mating
    assert (mate_in(board, 1).mate is not None) == bool(mating)


ENGINE = shutil.which("stockfish") or shutil.which("stockfish", path=os.pathsep.join(PLACES))


@pytest.mark.skipif(ENGINE is None, reason="needs a UCI engine (stockfish)")
def test_mates_in_two_are_the_engine_s() -> None:
    """Queen, rook and king against king and two men at random: the shortest mate by an engine's full search."""
    assert ENGINE is not None
    chance, compared, mates = random.Random(1), 0, 0
    with chess.engine.SimpleEngine.popen_uci(ENGINE) as engine:
        while compared < 40:
            board = chess.Board(None)
            for symbol, square in zip("KQRkbp", chance.sample(range(8, 56), 6), strict=True):
                board.set_piece_at(square, chess.Piece.from_symbol(symbol))
            if not board.is_valid() or board.is_game_over():
                continue
            score = engine.analyse(board, chess.engine.Limit(depth=12), game=board.fen())["score"].relative
            theirs = score.mate() if score.is_mate() else None
            ours = mate_in(board, 2)
            assert ours.whole
            expected = theirs if theirs is not None and 0 < theirs <= 2 else None
            assert (ours.mate.moves if ours.mate else None) == expected, board.fen()
            compared, mates = compared + 1, mates + (expected is not None)
    assert mates >= 5
