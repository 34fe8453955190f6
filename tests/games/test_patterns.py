"""Pattern questions: what is understood, and the compiled tests against the board's own definitions."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import chess
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linewright.board import material
from linewright.board.structure import open_files as files
from linewright.board.structure import pawns
from linewright.games.api import PATTERN_HELP, GamesBase, add_games, pack_move, parse_pattern
from linewright.games.patterns.pattern_scan import scan
from linewright.games.query.table_reads import PackedGames
from linewright.support.errors import UnusableInput
from tests.games.games import first_masters, moves_to, needs_masters, pgn, random_game

Test = Callable[[chess.Board, chess.Color], bool]


def on(board: chess.Board, color: chess.Color, kind: chess.PieceType, squares: str) -> bool:
    return all(board.piece_at(chess.parse_square(s)) == chess.Piece(kind, color) for s in squares.split())


def fits(file: int) -> Callable[[tuple[int, ...]], bool]:
    return lambda squares: any(chess.square_file(s) == file for s in squares)


#: Questions, with what they mean in terms of :mod:`linewright.board`, seen from a side; and the sides that count.
QUESTIONS: list[tuple[str, Test, str]] = [
    ("white isolated d-pawn", lambda b, c: fits(3)(pawns.isolated(b, c)), "w"),
    ("black's isolated pawn", lambda b, c: bool(pawns.isolated(b, c)), "b"),
    ("isolated pawn on e4", lambda b, c: chess.E4 in pawns.isolated(b, c), "wb"),
    ("isolated queen's pawn", lambda b, c: pawns.isolated_queens_pawn(b, c) is not None, "wb"),
    ("doubled pawns on the c-file", lambda b, c: fits(2)(pawns.doubled(b, c)), "wb"),
    ("passed pawn", lambda b, c: bool(pawns.passed(b, c)), "wb"),
    ("white passed a-pawn", lambda b, c: fits(0)(pawns.passed(b, c)), "w"),
    ("backward d-pawn", lambda b, c: fits(3)(pawns.backward(b, c)), "wb"),
    ("backward pawn", lambda b, c: bool(pawns.backward(b, c)), "wb"),
    ("hanging pawns", lambda b, c: bool(pawns.hanging_pawns(b, c)), "wb"),
    ("open e-file", lambda b, c: 4 in files.open_files(b), "w"),
    ("half-open c-file for white", lambda b, c: 2 in files.half_open_files(b, c), "w"),
    ("black half-open f-file", lambda b, c: 5 in files.half_open_files(b, c), "b"),
    ("opposite bishops", lambda b, c: material.opposite_bishops(b), "w"),
    ("bishop pair", lambda b, c: material.bishop_pair(b, c), "wb"),
    ("queens off", lambda b, c: not b.queens, "w"),
    ("queens on", lambda b, c: bool(b.pieces(5, True)) and bool(b.pieces(5, False)), "w"),
    ("white a pawn up", lambda b, c: material.balance(b, c) == material.Material(0, 0, 0, 0, 1), "w"),
    ("two pawns down", lambda b, c: material.balance(b, c) == material.Material(0, 0, 0, 0, -2), "wb"),
    ("equal material", lambda b, c: material.balance(b, c) == material.Material(0, 0, 0, 0, 0), "w"),
    (
        "the exchange up",
        lambda b, c: (m := material.balance(b, c)).rooks == 1 and m.minors == -1 and m.queens == 0,
        "wb",
    ),
    (
        "rook against bishop",
        lambda b, c: [material.material(b, s).points - material.material(b, s).pawns for s in (c, not c)] == [5, 3]
        and material.material(b, not c).bishops == 1,
        "wb",
    ),
    (
        "rook ending",
        lambda b, c: not b.queens | b.bishops | b.knights and bool(b.pieces(4, True)) and bool(b.pieces(4, False)),
        "w",
    ),
    ("knight on e5", lambda b, c: on(b, c, chess.KNIGHT, "e5"), "wb"),
    ("pawns on d4 and e4", lambda b, c: on(b, c, chess.PAWN, "d4 e4"), "wb"),
    ("black king on g8, rook on f8", lambda b, c: on(b, False, 6, "g8") and on(b, c, 4, "f8"), "wb"),
    ("no pawn on the d-file", lambda b, c: not pawns.on_file(b, c, 3), "wb"),
    ("white castled kingside", lambda b, c: b.king(c) in (chess.G1, chess.H1), "w"),
    ("castled queenside", lambda b, c: b.king(c) in ((0, 1, 2) if c else (56, 57, 58)), "wb"),
    (
        "isolated d-pawn and queens off",
        lambda b, c: fits(3)(pawns.isolated(b, c)) and not b.queens,
        "wb",
    ),
]  # fmt: skip


def packed_games(games: list[list[chess.Move]]) -> PackedGames:
    bounds = np.concatenate([[0], np.cumsum([len(game) for game in games])]).astype(np.int64)
    return PackedGames(np.array([pack_move(m) for game in games for m in game], dtype=np.uint16), bounds)


def by_hand(moves: list[chess.Move], test: Test, sides: str) -> tuple[int, int, bool]:
    """First half-move, positions in all, Black's side; White's view first where both begin at once."""
    board, held = chess.Board(), {side: [] for side in sides}  # type: dict[str, list[int]]
    for ply in range(len(moves) + 1):
        for side in sides:
            if test(board, side == "w"):
                held[side].append(ply)
        if ply < len(moves):
            board.push(moves[ply])
    first = {side: plies[0] for side, plies in held.items() if plies}
    if not first:
        return -1, 0, False
    side = min(first, key=lambda s: (first[s], s != "w"))
    return first[side], len(held[side]), side == "b" and len(sides) == 2


@settings(deadline=None, max_examples=15)
@given(st.lists(st.integers(0, 10**6), min_size=1, max_size=4))
def test_the_scan_sees_what_the_board_defines(seeds: list[int]) -> None:
    games = [random_game(seed, 160) for seed in seeds]
    packed = packed_games(games)
    numbers, begins = np.arange(len(games), dtype=np.uint32), np.zeros(len(games), np.int32)
    for question, test, sides in QUESTIONS:
        found = scan(parse_pattern(question), numbers, begins, packed)
        for number, moves in enumerate(games):
            first, stood, black = by_hand(moves, test, sides)
            assert int(found.plies[number]) == first, (question, seeds[number])
            if first >= 0:
                assert int(found.stood[number]) == stood, (question, seeds[number])
                assert bool(found.black[number]) is black


def test_moves_and_lasting() -> None:
    game = list(moves_to("e4 e5 Nf3 Nc6 d4 exd4 Nxd4 Nxd4 Qxd4 d6 Nc3 Nf6").move_stack)
    packed = packed_games([game])
    numbers, begins = np.zeros(1, np.uint32), np.zeros(1, np.int32)

    def first(question: str, begin: int = 0) -> int:
        return int(scan(parse_pattern(question), numbers, begins + begin, packed).plies[0])

    assert first("white queen on d4") == 9
    assert first("white queen on d4, within the first 4 moves") == -1
    assert first("white queen on d4, within the first 5 moves") == 9
    assert first("knight on d4") == 7
    assert first("knight on d4 from move 5") == -1
    assert first("white queen on d4 for 2 moves") == 9
    assert first("white queen on d4 for at least 3 moves") == -1
    assert first("pawn on e4", begin=5) == 5


@pytest.mark.parametrize(
    "question",
    [
        "rooks on c1 and d1, knight on e5",
        "rooks on c1, d1 and knight on e5",
        "White rooks on c1 d1",
        "queens off and opposite-coloured bishops and a pawn up, after move 20",
        "knight against bishop",
        "queen against two rooks",
        "minor piece ending",
        "opposite castling",
        "majority on the queenside, for 10 moves",
        "the bishop pair for white.",
    ],
)
def test_questions_that_are_understood(question: str) -> None:
    assert parse_pattern(question).conditions


@pytest.mark.parametrize(
    ("question", "message"),
    [
        ("isolated x-pawn", '"isolated x-pawn" is not understood. What can be asked: '),
        ("rook on c9", '"rook on c9" is not understood'),
        ("queens off, pretty position", '"pretty position" is not understood'),
        ("", "contains no condition"),
        ("by move 20", "contains no condition"),
        ("queens off, from move 30, by move 20", "leaves no move"),
    ],
)
def test_what_is_not_understood_is_quoted(question: str, message: str) -> None:
    with pytest.raises(UnusableInput) as refused:
        parse_pattern(question)
    assert message in str(refused.value)


def test_everything_that_help_lists_is_understood() -> None:
    for line in PATTERN_HELP[:-1]:
        kind, examples = line.split(": ", 1)
        for example in examples.split(" · "):
            assert parse_pattern(f"{example}, queens on").conditions, (kind, example)


@given(st.text(max_size=60))
def test_any_text_is_a_question_or_refused(text: str) -> None:
    try:
        parse_pattern(text)
    except UnusableInput as error:
        assert error.todo


@pytest.fixture(scope="module")
def archive(tmp_path_factory: pytest.TempPathFactory) -> Iterator[GamesBase]:
    folder = tmp_path_factory.mktemp("find")
    add_games(folder / "b.duckdb", [first_masters(folder / "m.pgn", 800)])
    with GamesBase.open(folder / "b.duckdb") as base:
        yield base


@needs_masters
def test_real_games_found_with_and_without_a_position(archive: GamesBase) -> None:
    test: Test = lambda b, c: pawns.isolated_queens_pawn(b, c) is not None  # noqa: E731
    pattern = parse_pattern("black isolated queen's pawn, within the first 30 moves")
    expected = {}
    for number in range(len(archive.loaded.packed.bounds) - 1):
        moves = [chess.Move(p & 63, p >> 6 & 63, (p >> 12) or None) for p in archive.loaded.packed.of(number)]
        board = chess.Board()
        for ply in range(min(len(moves), 60) + 1):
            if test(board, chess.BLACK):
                expected[number] = ply
                break
            if ply < len(moves):
                board.push(moves[ply])
    found = archive.find_pattern(pattern, 1000)
    assert {shown.game.id: shown.game.reached for shown in found.games} == expected
    assert (found.part.games, found.part.of) == (len(expected), 800)
    assert all(shown.side == "black" for shown in found.games)
    for shown in found.games[:20]:
        assert test(chess.Board(shown.fen), chess.BLACK)
    start = moves_to("d4 d5 c4 e6")
    through = {game.id for game in archive.list_games(start, "newest", 1000)[1]}
    from_there = archive.find_pattern(pattern, 1000, start)
    assert {shown.game.id for shown in from_there.games} == through & expected.keys()
    assert from_there.part.of == len(through)


def test_the_score_is_that_of_the_side_that_shows_it(tmp_path: Path) -> None:
    games = [
        pgn("1. e4 e5 2. Nf3 Nc6 3. Nxe5 Nxe5", "0-1", White="Amber, A", Round="1"),
        pgn("1. e4 Nf6 2. e5 Nd5 3. Nf3 d6 4. Nc3 Nxc3 5. bxc3", "0-1", White="Cedar, C", Round="2"),
    ]
    (tmp_path / "g.pgn").write_text("\n".join(games))
    add_games(tmp_path / "b.duckdb", [tmp_path / "g.pgn"])
    with GamesBase.open(tmp_path / "b.duckdb") as base:
        archive = base
        black = archive.find_pattern(parse_pattern("black knight on e5"), 9)
        assert (black.part.games, black.scored.score) == (1, 1.0)
        doubled = archive.find_pattern(parse_pattern("doubled c-pawns"), 9)
        assert (doubled.part.games, doubled.scored.score, doubled.games[0].side) == (1, 0.0, "white")
