"""Which games are the same, and where each was found."""

from __future__ import annotations

from pathlib import Path

import duckdb
import pytest

from linewright.games.api import add_games
from linewright.games.ingest import adding
from linewright.games.ingest.duplicates import ENOUGH_PLIES
from tests.games.games import movetext, pgn, random_game

MOVES = movetext(random_game(3, 60))
SHORT = movetext(random_game(3, ENOUGH_PLIES - 1))
GAME = {"White": "Amber, Ada", "Black": "Birch, Bo", "Date": "2020.05.01", "Result": "1-0"}

CASES = [
    # moves, the other game's tags, the same game?, why
    (MOVES, {"White": "A Amber"}, True, "another style of names"),
    (MOVES, {"White": "Amber,A", "Black": "B. Birch", "Date": "2020.??.??"}, True, "initials, and only the year"),
    (MOVES, {"White": "Ambre, Ada"}, True, "a slip in the name"),
    (MOVES, {"Date": "????.??.??"}, True, "undated"),
    (MOVES, {"Result": "*"}, True, "no result"),
    (MOVES, {"White": "?"}, True, "one player unknown"),
    (MOVES, {"Date": "2021.05.01"}, False, "another year"),
    (MOVES, {"Result": "0-1"}, False, "another result"),
    (MOVES, {"White": "Cedar, Cy"}, False, "another player"),
    (MOVES, {"White": "Amber, Bea"}, False, "another first name"),
    (MOVES, {"White": "?", "Black": "?"}, False, "nobody known"),
    (SHORT, {"White": "A Amber"}, False, "too few moves to tell"),
]


@pytest.mark.parametrize(("moves", "other", "same", "why"), CASES, ids=[case[3] for case in CASES])
@pytest.mark.parametrize("batches", ["one batch", "two batches", "two addings"])
def test_the_same_game_is_kept_once(
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    moves: str,
    other: dict[str, str],
    same: bool,
    why: str,
    batches: str,
) -> None:
    one, two = tmp_path / "one.pgn", tmp_path / "two.pgn"
    one.write_text(pgn(moves, **{**GAME, "Result": "1-0"}))
    two.write_text(pgn(moves, **{**GAME, **other}))
    base = tmp_path / "b.duckdb"
    if batches == "two batches":
        monkeypatch.setattr(adding, "BATCH_POSITIONS", 1)
    runs = [[one], [two]] if batches == "two addings" else [[one, two]]
    reports = [add_games(base, files) for files in runs]
    assert sum(report.added for report in reports) == 2 - same
    assert sum(report.duplicates for report in reports) == same
    with duckdb.connect(base, read_only=True) as con:
        sightings = con.execute("SELECT game, name FROM sightings JOIN sources ON id = source").fetchall()
        counted = con.execute("SELECT name, games FROM sources ORDER BY id").fetchall()
    assert sightings == ([(0, str(two))] if same else [])
    assert counted == [(str(one), 1), (str(two), 1 - same)]


def test_a_game_twice_in_one_file_is_no_sighting_elsewhere(tmp_path: Path) -> None:
    path = tmp_path / "g.pgn"
    path.write_text(2 * pgn(MOVES, **GAME))
    for _ in range(2):
        add_games(tmp_path / "b.duckdb", [path])
    with duckdb.connect(tmp_path / "b.duckdb", read_only=True) as con:
        assert con.execute("SELECT count(*) FROM sightings").fetchall() == [(0,)]
        assert con.execute("SELECT count(*), sum(games) FROM sources").fetchall() == [(1, 1)]
