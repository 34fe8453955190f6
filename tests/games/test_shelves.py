"""What is packed onto shelves comes off them again."""

from __future__ import annotations

from collections import defaultdict
from typing import Any

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from linewright.games.index.index_layout import (
    SHELVES,
    joined,
    lone_games,
    shared_entries,
    shared_groups,
    shelf_of,
)
from linewright.games.index.index_writer import PIECE, Shelved, pack
from linewright.games.index.sorting import sort_entries

#: Keys that share shelves, and the 16 bits kept of a lone one, as often as they don't.
keys = st.builds(
    lambda shelf, short, rest: shelf << 48 | short << 32 | rest,
    st.sampled_from([0, 1, 77, SHELVES - 1]),
    st.sampled_from([0, 5, 0xFFFF]),
    st.sampled_from([0, 1, 2**32 - 1]),
)
entries = st.dictionaries(
    st.tuples(keys, st.integers(0, 60)), st.sampled_from([0, 1, 796, 0x5FFF]), min_size=1, max_size=80
)


def rows_of(packed: Shelved) -> list[dict[str, Any]]:
    columns = zip(packed.shelf, packed.lone, packed.shared, strict=True)
    return [dict(zip(("shelf", "lone", "shared"), row, strict=True)) for row in columns]


@settings(deadline=None, max_examples=200)
@given(entries, st.sampled_from([0, 1 << 17, (1 << 24) - 61, 1 << 24, (1 << 32) - 61]))
def test_packed_entries_come_back(found: dict[tuple[int, int], int], first: int) -> None:
    rows = sorted((game + first, key, move) for (key, game), move in found.items())
    columns = list(zip(*rows, strict=True))
    packed = pack(
        *sort_entries(
            np.array(columns[1], np.uint64), np.array(columns[0], np.uint32), np.array(columns[2], np.uint16)
        ),
        0,
        SHELVES,
        first + 60,
    )
    by_key = defaultdict(list)
    for game, key, move in rows:
        by_key[key].append((game, move))
    table = rows_of(packed)
    assert [row["shelf"] for row in table] == sorted({shelf_of(key) for key in by_key})
    for key, expected in by_key.items():
        ((lone, shared),) = joined((0, r["lone"], r["shared"]) for r in table if r["shelf"] == shelf_of(key))
        games, moves = shared_entries(shared, key)
        if len(expected) == 1:
            assert len(games) == 0 and shared_groups(shared, key) == []
            assert expected[0][0] in lone_games(lone, key)
        else:
            assert sorted(zip(games.tolist(), moves.tolist(), strict=True)) == sorted(expected)
            assert sum(count for _, count in shared_groups(shared, key)) == len(expected)
        assert len(lone_games(lone, key)) == sum(
            len(others) == 1 and other >> 32 == key >> 32 for other, others in by_key.items()
        )


def test_long_strings_are_cut_and_joined() -> None:
    games = np.arange(5000, dtype=np.uint32)
    key, lone = 3 << 48, (3 << 48) + (np.arange(5000, dtype=np.uint64) + 1 << 32)
    all_keys = np.concatenate([np.full(5000, key, np.uint64), lone])
    packed = pack(all_keys, np.concatenate([games, games]), np.full(10_000, 796, np.uint16), 0, SHELVES, 4999)
    rows = rows_of(packed)
    assert len(rows) > 3
    assert max(len(row[name]) for row in rows for name in ("lone", "shared")) == PIECE
    ((lone_text, shared),) = joined((0, row["lone"], row["shared"]) for row in rows)
    assert shared_entries(shared, key)[0].tolist() == games.tolist()
    assert [lone_games(lone_text, int(one)) for one in lone[:50]] == [[game] for game in range(50)]
