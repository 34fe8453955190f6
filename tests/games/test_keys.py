"""Position keys against the published examples and the reference implementation."""

from __future__ import annotations

import chess
import chess.polyglot
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linewright.games.api import NO_MOVE, pack_move, position_key, positions
from linewright.games.index.index_layout import SHELVES
from linewright.games.index.move_effects import entries
from linewright.games.index.position_keys import unpack_move
from linewright.games.index.sorting import sort_entries
from tests.games.games import random_game

#: The nine examples of the Polyglot book format's description ("Key of a position"): moves, key.
PUBLISHED = [
    ("", 0x463B96181691FC9C),
    ("e2e4", 0x823C9B50FD114196),
    ("e2e4 d7d5", 0x0756B94461C50FB0),
    ("e2e4 d7d5 e4e5", 0x662FAFB965DB29D4),
    ("e2e4 d7d5 e4e5 f7f5", 0x22A48B5A8E47FF78),
    ("e2e4 d7d5 e4e5 f7f5 e1e2", 0x652A607CA3F242C1),
    ("e2e4 d7d5 e4e5 f7f5 e1e2 e8f7", 0x00FDD303C946BDD9),
    ("a2a4 b7b5 h2h4 b5b4 c2c4", 0x3C8123EA7B067637),
    ("a2a4 b7b5 h2h4 b5b4 c2c4 b4c3 a1a3", 0x5C3F9B829B279560),
]


def replayed(games: list[list[chess.Move]], low: int = 0, high: int = SHELVES) -> list[tuple[int, int, int]]:
    """Entries (key, game, move) of the games, numbered from 10 up, as the replay of many at once gives them."""
    moves = np.array([pack_move(move) for game in games for move in game], dtype=np.uint16)
    bounds = np.cumsum([0, *map(len, games)]).astype(np.int64)
    numbers = np.arange(10, 10 + len(games), dtype=np.uint32)
    found = entries(moves, bounds, numbers, low, high)
    return list(zip(*(column.tolist() for column in found), strict=True))


@pytest.mark.parametrize(("line", "key"), PUBLISHED)
def test_published_keys(line: str, key: int) -> None:
    moves = [chess.Move.from_uci(uci) for uci in line.split()]
    board = chess.Board()
    for move in moves:
        board.push(move)
    assert position_key(board) == key
    assert replayed([moves])[-1] == (key, 10, NO_MOVE)
    assert [key for key, _ in positions([pack_move(move) for move in moves])][-1] == key


@settings(deadline=None, max_examples=60)
@given(st.lists(st.integers(0, 10**6), min_size=1, max_size=3))
def test_both_replays_give_the_reference_keys(seeds: list[int]) -> None:
    games = [random_game(seed) for seed in seeds]
    expected = []
    for number, game in enumerate(games, start=10):
        board = chess.Board()
        for move in [*game, None]:
            played = NO_MOVE if move is None else pack_move(move)
            expected.append((chess.polyglot.zobrist_hash(board), number, played))
            if move:
                board.push(move)
    assert replayed(games) == expected
    assert replayed(games, 20_000, 50_000) == [entry for entry in expected if 20_000 <= entry[0] >> 48 < 50_000]
    for number, game in enumerate(games, start=10):
        alone = [(key, number, move) for key, move in positions([pack_move(move) for move in game])]
        assert alone == [entry for entry in expected if entry[1] == number]


def test_random_games_hold_every_special_move() -> None:
    """Else the law above would say nothing about them."""
    seen = set()
    for seed in range(40):
        board = chess.Board()
        for move in random_game(seed):
            seen |= {"castling"} if board.is_castling(move) else set()
            seen |= {"en passant"} if board.is_en_passant(move) else set()
            seen |= {"promotion"} if move.promotion else set()
            board.push(move)
    assert seen == {"castling", "en passant", "promotion"}


@given(st.sampled_from(chess.SQUARES), st.sampled_from(chess.SQUARES), st.sampled_from([None, 2, 3, 4, 5]))
def test_packing_moves_round_trip(origin: int, target: int, promotion: int | None) -> None:
    move = chess.Move(origin, target, promotion)
    packed = pack_move(move)
    assert 0 <= packed < 1 << 16
    if origin != target:
        assert unpack_move(packed) == move.uci()
        assert packed != NO_MOVE


#: Keys that agree in all, the upper or the lower bits, to reach the sort's last pass.
near_keys = st.one_of(st.integers(0, 3), st.integers(0, 3).map(lambda n: n << 62), st.integers(0, 2**64 - 1))


@settings(deadline=None)
@given(st.lists(st.lists(st.tuples(near_keys, st.integers(0, 2)), max_size=6), max_size=6))
def test_entries_are_sorted_and_repeats_dropped(games: list[list[tuple[int, int]]]) -> None:
    entries = [(key, game, move) for game, rows in enumerate(games) for key, move in rows]
    columns = list(zip(*entries, strict=True)) or [(), (), ()]
    kept = sort_entries(
        np.array(columns[0], dtype=np.uint64),
        np.array(columns[1], dtype=np.uint32),
        np.array(columns[2], dtype=np.uint16),
    )
    expected = sorted(dict.fromkeys(entries), key=lambda entry: entry[0])
    assert list(zip(*(column.tolist() for column in kept), strict=True)) == expected
