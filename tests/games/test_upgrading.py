"""Bases of older and newer versions."""

from __future__ import annotations

from pathlib import Path

import duckdb
import pytest

from linewright.games.api import GamesBase, add_games, pack_move, position_key, upgrade_base
from linewright.support.errors import UnusableInput
from tests.games.games import moves_to, movetext, pgn, random_game

#: The tables of version 1, as the program of that time made them.
VERSION_1 = """
CREATE TABLE meta (name VARCHAR PRIMARY KEY, value VARCHAR NOT NULL);
CREATE TABLE sources (id UINTEGER, name VARCHAR NOT NULL, games UINTEGER NOT NULL);
CREATE TABLE games (
    id UINTEGER NOT NULL, white VARCHAR NOT NULL, black VARCHAR NOT NULL,
    white_rating USMALLINT, black_rating USMALLINT, date VARCHAR NOT NULL, year USMALLINT, result UTINYINT,
    event VARCHAR NOT NULL, site VARCHAR NOT NULL, round VARCHAR NOT NULL, eco VARCHAR NOT NULL,
    plies USMALLINT NOT NULL, source UINTEGER NOT NULL, print UBIGINT NOT NULL,
    moves BLOB NOT NULL USING COMPRESSION uncompressed
);
CREATE TABLE positions (key UBIGINT NOT NULL, game UINTEGER NOT NULL, move USMALLINT NOT NULL);
INSERT INTO meta VALUES ('version', '1'), ('runs', '1');
INSERT INTO sources VALUES (0, '/old/g.pgn', 12);
"""


@pytest.fixture
def old(tmp_path: Path) -> Path:
    path = tmp_path / "old's.duckdb"
    with duckdb.connect(path) as con:
        con.execute(VERSION_1)
        for number in range(12):
            board = moves_to("")
            game = random_game(number % 5, 30)
            packed = b"".join(pack_move(move).to_bytes(2, "little") for move in game)
            con.execute(
                "INSERT INTO games VALUES (?, ?, 'Birch, Bo', 2000, NULL, '2020.01.01', 2020, 2, 'Club evening', '',"
                " ?, '', ?, 0, ?, ?)",
                [number, f"Player {number}", str(number), len(game), number, packed],
            )
            for move in game:
                con.execute("INSERT INTO positions VALUES (?, ?, ?)", [position_key(board), number, pack_move(move)])
                board.push(move)
    return path


def test_an_old_base_is_refused_with_the_way_on_and_upgraded_whole(old: Path, tmp_path: Path) -> None:
    with pytest.raises(UnusableInput, match=r"of version 1, .* linewright base upgrade"):
        GamesBase.open(old)
    (tmp_path / "g.pgn").write_text(
        "".join(
            pgn(movetext(random_game(n % 5, 30)), "1-0", White=f"Player {n}", WhiteElo="2000", Round=str(n))
            for n in range(12)
        )
    )
    with pytest.raises(UnusableInput, match="of version 1"):
        add_games(old, [tmp_path / "g.pgn"])
    assert upgrade_base(old)
    assert not upgrade_base(old)
    again = add_games(old, [tmp_path / "g.pgn"])
    assert (again.added, again.duplicates) == (0, 12)
    add_games(tmp_path / "new.duckdb", [tmp_path / "g.pgn"])
    with GamesBase.open(old) as upgraded, GamesBase.open(tmp_path / "new.duckdb") as new:
        assert upgraded.info().positions == new.info().positions
        assert upgraded.info().sources[0] == ("/old/g.pgn", 12)
        for seed in range(5):
            board = moves_to("")
            for move in random_game(seed, 30):
                assert upgraded.replies(board) == new.replies(board)
                assert [game.white for game in upgraded.games(board, "newest", 20)] == [
                    game.white for game in new.games(board, "newest", 20)
                ]
                board.push(move)


def test_a_newer_base_is_refused(tmp_path: Path) -> None:
    (tmp_path / "g.pgn").write_text(pgn("1. e4"))
    base = tmp_path / "b.duckdb"
    add_games(base, [tmp_path / "g.pgn"])
    with duckdb.connect(base) as con:
        con.execute("UPDATE meta SET value = '99' WHERE name = 'version'")
    for act in (GamesBase.open, upgrade_base, lambda path: add_games(path, [tmp_path / "g.pgn"])):
        with pytest.raises(UnusableInput, match=r"of version 99, .* newer Linewright"):
            act(base)


def test_what_is_no_base_is_not_upgraded(tmp_path: Path) -> None:
    with pytest.raises(UnusableInput, match="there is no games base"):
        upgrade_base(tmp_path / "none.duckdb")
    (tmp_path / "b.duckdb").write_bytes(b"my letters" * 1000)
    with pytest.raises(UnusableInput, match="not a readable games base"):
        upgrade_base(tmp_path / "b.duckdb")
    assert (tmp_path / "b.duckdb").read_bytes() == b"my letters" * 1000
