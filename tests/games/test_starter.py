"""The starter table: its counts against a base's and against counting by hand, its packing, what it must not hold."""

from __future__ import annotations

import importlib.util
import re
import subprocess
import sys
import zipfile
from collections import Counter, defaultdict
from dataclasses import fields, replace
from importlib.resources import files
from pathlib import Path
from types import ModuleType

import chess
import chess.polyglot
import numpy as np
import pytest
import zstandard
from hypothesis import given
from hypothesis import strategies as st

from linewright.games.api import GamesBase, Replies, Reply, StarterTable, add_games, open_base, open_games, pack_move
from linewright.games.ingest.columns import UNKNOWN
from linewright.games.query.game_columns import GameColumns
from linewright.games.query.table_reads import PackedGames
from linewright.games.starter.rating_bands import BANDS, bands_in_words, bands_meeting
from linewright.games.starter.table import FILE
from linewright.games.starter.table_file import FIGURED, PackedTable, StarterColumns, pack, position_keys
from linewright.support.errors import UnusableInput
from tests.games.games import MASTERS, first_masters, moves_to, needs_masters, random_game

ROOT = Path(__file__).resolve().parents[2]

#: Half-points of White's, ratings and years that the games by hand cycle through; 0 is unknown.
RESULTS = (2, 1, 0, UNKNOWN, 2)
RATINGS = ((2350, 2410), (2600, 2500), (0, 2700), (2399, 2400), (1500, 0), (2650, 2655), (2500, 2300))
YEARS = (1999, 0, 2021, 1883)


def load_tool() -> ModuleType:
    """``tools/make_starter.py``, which isn't part of the package."""
    spec = importlib.util.spec_from_file_location("make_starter", ROOT / "tools" / "make_starter.py")
    assert spec is not None and spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


TOOL = load_tool()


def table_of(games: list[list[chess.Move]], fewest: int = 2, plies: int = 40) -> StarterTable:
    """The packed table of some games with results, ratings and years as above."""
    moves = [np.array([pack_move(move) for move in game], dtype=np.uint16) for game in games]
    bounds = np.concatenate([[0], np.cumsum([len(game) for game in games])]).astype(np.int64)
    number = range(len(games))
    columns = GameColumns(
        np.array([RESULTS[n % len(RESULTS)] for n in number], dtype=np.uint8),
        np.array([RATINGS[n % len(RATINGS)][0] for n in number], dtype=np.uint16),
        np.array([RATINGS[n % len(RATINGS)][1] for n in number], dtype=np.uint16),
        np.array([YEARS[n % len(YEARS)] for n in number], dtype=np.uint16),
    )
    packed = PackedGames(np.concatenate(moves), bounds)
    return StarterTable(pack(TOOL.make(packed, columns, fewest, plies)))


Visit = tuple[int, str]


def visits(games: list[list[chess.Move]]) -> dict[int, set[Visit]]:
    """Game and move played, by the Polyglot key that python-chess gives each position; "" where the game ended."""
    found: dict[int, set[Visit]] = defaultdict(set)
    for number, game in enumerate(games):
        board = chess.Board()
        for move in game:
            found[chess.polyglot.zobrist_hash(board)].add((number, move.uci()))
            board.push(move)
        found[chess.polyglot.zobrist_hash(board)].add((number, ""))
    return found


def boards_of(games: list[list[chess.Move]]) -> list[chess.Board]:
    """Every position of the games, each once."""
    found: dict[int, chess.Board] = {}
    for game in games:
        board = chess.Board()
        found.setdefault(chess.polyglot.zobrist_hash(board), board.copy(stack=False))
        for move in game:
            board.push(move)
            found.setdefault(chess.polyglot.zobrist_hash(board), board.copy(stack=False))
    return list(found.values())


#: A repetition, a game that leaves it otherwise the second time, transpositions, castling, en passant, promotion.
LINES = [
    "Nf3 Nf6 Ng1 Ng8 Nf3 Nf6 Ng1 Ng8 e4 e5",
    "Nf3 Nf6 Ng1 Ng8 e4 e5 Nf3 Nc6 Bc4 Bc5 O-O Nf6",
    "Nf3 Nf6 d4 d5",
    "d4 d5 Nf3 Nf6",
    "d4 Nf6 Nf3 d5 c4",
    "e4 Nf6 e5 d5 exd6",
    "e4 d5 e5 Nf6 exf6",
    "e4 Nf6 e5 d5 exd6 cxd6",
    "e4 d5 exd5 c6 dxc6 Nf6 cxb7 Nc6 bxa8=Q",
    "e4 d5 exd5 c6 dxc6 Nf6 cxb7 Nc6 bxa8=N",
    "e4 e5 Nf3 Nc6 Bc4 Bc5 O-O Nf6",
    "e4 e5 Nf3 Nc6 Bc4 Bc5 O-O",
]


def by_hand() -> list[list[chess.Move]]:
    games = [list(moves_to(line).move_stack) for line in LINES]
    tails = [random_game(seed, 12) for seed in range(6)]
    return [*games, *games[:5], *tails, *tails[:3]]


def test_counts_are_those_of_counting_by_hand() -> None:
    """Against python-chess's own moves and its Polyglot keys."""
    games = by_hand()
    table, seen = table_of(games), visits(games)
    held = 0
    for board in boards_of(games):
        here = seen[chess.polyglot.zobrist_hash(board)]
        met = len({number for number, _ in here})
        assert table.holds(board) == (met >= 2), board.fen()
        if met < 2:
            assert table.replies(board) == Replies(board.fen(), 0, ())
            continue
        held += 1
        found, played = table.replies(board), Counter(move for _, move in here if move)
        assert {reply.uci: reply.games for reply in found.replies} == played
        assert [r.uci for r in found.replies] == sorted(played, key=lambda move: (-played[move], move))
        assert found.total == len({number for number, move in here if move})
        assert found.ended == sum(not move for _, move in here)
        assert table.moves_played([chess.polyglot.zobrist_hash(board)]).get(chess.polyglot.zobrist_hash(board)) == dict(
            played
        )
        for reply in found.replies:
            check_figures(table, board, reply, [n for n, move in here if move == reply.uci], played.total() >= FIGURED)
    assert held > 30


def check_figures(table: StarterTable, board: chess.Board, reply: Reply, games: list[int], told: bool) -> None:
    """Score, years and bands of a reply against the games that played it."""
    points = {n: RESULTS[n % len(RESULTS)] for n in games}
    scored = {n: p / 2 if board.turn else 1 - p / 2 for n, p in points.items() if p != UNKNOWN}
    years = [year for n in games if (year := YEARS[n % len(YEARS)])]
    if not told:
        assert (reply.scored, reply.score, reply.last_year) == (0, 0.5, None)
        return
    assert reply.scored == len(scored)
    assert reply.score == pytest.approx(sum(scored.values()) / len(scored) if scored else 0.5)
    assert reply.last_year == (max(years) if years else None)
    assert table.years(board).get(reply.uci) == ((min(years), max(years)) if years else None)
    for band in range(len(BANDS)):
        inside = [n for n in scored if band_of(*RATINGS[n % len(RATINGS)]) == band]
        counted = {r.uci: r for r in table.replies_in_bands(board, [band]).replies}
        assert (counted[reply.uci].games if reply.uci in counted else 0) == len(inside)
        if inside:
            assert counted[reply.uci].score == pytest.approx(sum(scored[n] for n in inside) / len(inside))


def band_of(white: int, black: int) -> int | None:
    if not white or not black:
        return None
    return max(n for n, low in enumerate(BANDS) if (white + black) / 2 >= low)


def test_positions_met_late_or_seldom_are_left_out() -> None:
    games = by_hand()
    early = table_of(games, fewest=3, plies=4)
    seen = visits(games)
    for board in boards_of(games):
        if early.holds(board):
            assert len({number for number, _ in seen[chess.polyglot.zobrist_hash(board)]}) >= 3
    assert early.holds(moves_to("Nf3 Nf6 Ng1"))
    assert not early.holds(moves_to("e4 d5 exd5 c6 dxc6"))


@needs_masters
def test_real_games_are_counted_as_the_base_counts_them(tmp_path: Path) -> None:
    """Every position of 400 real games against the base's own index of 1,500."""
    file = tmp_path / "b.duckdb"
    add_games(file, [first_masters(tmp_path / "m.pgn", 1500)])
    with GamesBase.open(file) as base:
        packed = base.loaded.packed
        table = StarterTable(pack(TOOL.make(packed, base.loaded.columns)))
        held = 0
        for game in range(400):
            board = chess.Board()
            for packed_move in packed.of(game)[:30]:
                if table.holds(board):
                    held += 1
                    assert table.replies(board) == as_told(base.replies(board))
                board.push_uci(TOOL.unpack_move(packed_move))
    assert held > 3000


def as_told(replies: Replies) -> Replies:
    """A base's replies without what the table doesn't tell."""
    told = sum(reply.games for reply in replies.replies) >= FIGURED
    blank = {} if told else {"score": 0.5, "low": 0.0, "high": 1.0, "last_year": None, "scored": 0}
    return replace(replies, replies=tuple(replace(r, mean_rating=None, **blank) for r in replies.replies))


# -- the table that ships ----------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def shipped() -> StarterTable:
    return StarterTable.load()


def content() -> bytes:
    return (files("linewright.games.starter") / FILE).read_bytes()


def test_it_is_small_and_holds_numbers_only() -> None:
    assert len(content()) <= 2_000_000
    packed = PackedTable(content())
    with zipfile.ZipFile(ROOT / "src" / "linewright" / "games" / "starter" / FILE) as archive:
        assert archive.namelist() == [f"{field.name}.npy" for field in fields(StarterColumns)]
        assert not archive.comment and not any(entry.comment or entry.extra for entry in archive.infolist())
    for field in fields(StarterColumns):
        column = packed.column(field.name)
        assert column.dtype.kind == "u", field.name
    # Numbers by position and reply, none by game: no column is as long as there are games.
    assert len(packed.column("counted")) == 1
    games = int(packed.column("counted")[0])
    assert games > 167_000
    assert all(games not in packed.column(field.name).shape for field in fields(StarterColumns))


def test_its_first_moves_are_everybodys(shipped: StarterTable) -> None:
    found = shipped.replies(chess.Board())
    assert found.total == shipped.counted == sum(reply.games for reply in found.replies)
    # Common practice, as any count of masters' games has them.
    assert [reply.san for reply in found.replies[:4]] == ["e4", "d4", "Nf3", "c4"]
    assert all(0 < reply.low < reply.score < reply.high < 1 for reply in found.replies[:4])


def test_its_replies_are_legal_and_add_up(shipped: StarterTable) -> None:
    """Along its own replies, of which each must be legal; among some thousand positions every count agrees."""
    waiting, seen = [chess.Board()], 0
    while waiting and seen < 3000:
        board = waiting.pop()
        found = shipped.replies(board)
        seen += 1
        assert sum(reply.games for reply in found.replies) >= found.total > 0
        legal = {move.uci() for move in board.legal_moves}
        assert {reply.uci for reply in found.replies} <= legal
        for reply in found.replies[:4]:
            after = board.copy(stack=False)
            after.push_uci(reply.uci)
            if shipped.holds(after) and shipped.replies(after).total:
                waiting.append(after)
    assert seen == 3000


@needs_masters
def test_its_counts_are_those_of_the_files_text(shipped: StarterTable) -> None:
    """The shared games' text, counted by its first two moves; the base leaves out the eleven games that stand twice,
    and one game has a comment between its moves."""
    with MASTERS.open("rb") as packed, zstandard.ZstdDecompressor().stream_reader(packed) as stream:
        text = stream.read().decode()
    starts = Counter(re.findall(r"^1\.\s*(\S+)\s+([^\s\d{]\S*)", text, re.MULTILINE))
    assert starts.total() > 166_500
    off = 0
    for san in ("e4", "d4", "Nf3", "c4", "g3", "f4", "b3"):
        played = {reply.san: reply.games for reply in shipped.replies(moves_to(san)).replies}
        off += sum(abs(starts[san, answer] - played.get(answer, 0)) for first, answer in starts if first == san)
    assert off <= 12


def test_a_position_that_is_not_held_has_no_replies(shipped: StarterTable) -> None:
    board = moves_to("a3 h6 h3 a6 Ra2 Rh7")
    assert not shipped.holds(board)
    assert shipped.replies(board) == Replies(board.fen(), 0, ())
    assert shipped.replies_in_bands(board, [0]).total == 0
    assert shipped.years(board) == {} and shipped.moves_played([7, 8]) == {}


def test_it_knows_no_games_and_nobody(shipped: StarterTable) -> None:
    assert shipped.games(chess.Board(), "newest", 5) == () and shipped.moves(1) == ()
    assert shipped.players() == () and shipped.opponents("Amber, Ada") == ()


def test_no_arrow_is_loaded_for_it() -> None:
    program = (
        "import sys, chess; from linewright.games.starter.table import StarterTable; "
        "StarterTable.load().replies(chess.Board()); print('pyarrow' in sys.modules, 'pandas' in sys.modules)"
    )
    told = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True).stdout
    assert told.split() == ["False", "False"]


# -- packing -------------------------------------------------------------------------------------------------------


def numbers(most: int) -> st.SearchStrategy[list[int]]:
    return st.lists(st.integers(0, most), max_size=40)


@given(st.data())
def test_every_column_comes_back_as_it_was(data: st.DataObject) -> None:
    columns = {}
    for field in fields(StarterColumns):
        bits = {"U8": 8, "U16": 16, "U32": 32, "U64": 64}[str(field.type)]
        values = np.array(data.draw(numbers(2**bits - 1), field.name), dtype=f"u{bits // 8}")
        columns[field.name] = np.stack([values] * 3) if field.name.startswith("band") else values
    packed = pack(StarterColumns(**columns))
    assert pack(StarterColumns(**columns)) == packed
    for name, values in columns.items():
        found = PackedTable(packed).column(name)
        assert found.dtype == values.dtype and np.array_equal(found, values), name


def test_a_table_whose_positions_hang_in_the_air_is_refused() -> None:
    roots, changes = np.array([5], np.uint64), np.array([], np.uint64)
    with pytest.raises(ValueError, match="position 1 of 2"):
        position_keys(roots, np.array([1, 0], np.uint8), np.array([False]), changes)


@pytest.mark.parametrize(
    ("low", "high", "bands", "told"),
    [
        (1400, 1800, (0,), "under 2400"),
        (None, 2399, (0,), "under 2400"),
        (2399, 2400, (0, 1), "under 2600"),
        (2400, 2500, (1,), "2400–2599"),
        (2450, None, (1, 2), "2400 or more"),
        (2700, None, (2,), "2600 or more"),
        (None, None, (0, 1, 2), "any rating"),
    ],
)
def test_the_bands_that_a_band_meets(low: int | None, high: int | None, bands: tuple[int, ...], told: str) -> None:
    assert bands_meeting(low, high) == bands
    assert bands_in_words(bands) == told


# -- the way to the games ------------------------------------------------------------------------------------------


def test_the_users_own_base_wins(tmp_path: Path) -> None:
    file = tmp_path / "games.duckdb"
    assert isinstance(open_games(file), StarterTable)
    (tmp_path / "g.pgn").write_text('[Event "Club evening"]\n[Result "1-0"]\n\n1. b4 e5 1-0\n')
    add_games(file, [tmp_path / "g.pgn"])
    with open_games(file) as games:
        assert isinstance(games, GamesBase)
        assert [reply.san for reply in games.replies(chess.Board()).replies] == ["b4"]


def test_a_base_that_was_named_must_be_there(tmp_path: Path) -> None:
    with pytest.raises(UnusableInput, match="there is no games base"):
        open_games(tmp_path / "none.duckdb", named=True)


def test_what_needs_games_says_what_to_do(tmp_path: Path) -> None:
    with pytest.raises(UnusableInput, match=r"counts, not games.*linewright base add"):
        open_base(tmp_path / "none.duckdb")


def test_a_damaged_table_is_told_in_a_line(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    from linewright.games.starter import table as starter

    (tmp_path / FILE).write_bytes(b"PK no archive")
    monkeypatch.setattr(starter, "files", lambda _: tmp_path)
    starter._shipped.cache_clear()
    try:
        with pytest.raises(UnusableInput, match="starter table can't be read"):
            StarterTable.load()
    finally:
        monkeypatch.undo()
        starter._shipped.cache_clear()
