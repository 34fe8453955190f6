"""Games back as PGN, against the standard's own sample and a reference reader."""

from __future__ import annotations

import io
from pathlib import Path

import chess.pgn
import duckdb
import pytest
import zstandard
from hypothesis import given, settings
from hypothesis import strategies as st

from linewright.games.api import GamesBase, add_games, export_games, remove_source
from linewright.games.upkeep import exporting
from linewright.games.upkeep.exporting import LINE
from linewright.support.errors import UnusableInput
from tests.games.games import STANDARD_SAMPLE, first_masters, moves_to, movetext, needs_masters, pgn, random_game


def test_the_standards_sample_comes_back_byte_for_byte(tmp_path: Path) -> None:
    """PGN standard 1994, section 2.3; the empty line behind each game is 8.2.6's."""
    (tmp_path / "sample.pgn").write_text(STANDARD_SAMPLE)
    add_games(tmp_path / "b.duckdb", [tmp_path / "sample.pgn"])
    assert export_games(tmp_path / "b.duckdb", tmp_path / "out.pgn") == 1
    assert (tmp_path / "out.pgn").read_text() == STANDARD_SAMPLE + "\n"


def test_tags_are_complete_and_in_order(tmp_path: Path) -> None:
    tags = {
        "WhiteElo": "2104", "TimeControl": "40/7200:3600", "ECO": "C20", "Opening": 'The \\"open\\" \\\\ game',
        "Annotator": "Elm, Ed", "BlackElo": "?",
    }  # fmt: skip
    (tmp_path / "g.pgn").write_text(pgn("1. e4 e5", "1-0", **tags))
    add_games(tmp_path / "b.duckdb", [tmp_path / "g.pgn"])
    export_games(tmp_path / "b.duckdb", tmp_path / "out.pgn")
    assert (tmp_path / "out.pgn").read_text().splitlines() == [
        '[Event "Club evening"]', '[Site "?"]', '[Date "2020.01.01"]', '[Round "?"]', '[White "Amber, Ada"]',
        '[Black "Birch, Bo"]', '[Result "1-0"]', '[Annotator "Elm, Ed"]', '[ECO "C20"]',
        '[Opening "The \\"open\\" \\\\ game"]', '[TimeControl "40/7200:3600"]', '[WhiteElo "2104"]', "", "1. e4 e5 1-0",
        "",
    ]  # fmt: skip


@settings(deadline=None, max_examples=25)
@given(
    st.lists(
        st.tuples(
            st.integers(0, 10**6),
            st.text(st.characters(codec="utf-8", categories=["L", "N", "P", "Zs"]), max_size=15),
            st.sampled_from(["1-0", "0-1", "1/2-1/2", "*"]),
        ),
        min_size=1,
        max_size=5,
    )
)
def test_what_is_exported_reads_the_same(
    tmp_path_factory: pytest.TempPathFactory, games: list[tuple[int, str, str]]
) -> None:
    folder = tmp_path_factory.mktemp("law")
    text = "".join(
        pgn(movetext(random_game(seed)), result, White=f"Player {n}", Event=event.replace("\\", "").replace('"', "'"))
        for n, (seed, event, result) in enumerate(games)
    )
    (folder / "g.pgn").write_text(text)
    add_games(folder / "b.duckdb", [folder / "g.pgn"])
    assert export_games(folder / "b.duckdb", folder / "out.pgn") == len(games)
    written = (folder / "out.pgn").read_text(encoding="utf-8")
    moves = [line for line in written.splitlines() if not line.startswith("[")]
    assert max(map(len, moves)) <= LINE
    stream = io.StringIO(written)
    for n, (seed, _, result) in enumerate(games):
        game = chess.pgn.read_game(stream)
        assert game is not None and not game.errors
        assert list(game.mainline_moves()) == random_game(seed)
        assert (game.headers["White"], game.headers["Result"]) == (f"Player {n}", result)
    assert chess.pgn.read_game(stream) is None
    add_games(folder / "again.duckdb", [folder / "out.pgn"])
    export_games(folder / "again.duckdb", folder / "again.pgn")
    assert (folder / "again.pgn").read_bytes() == (folder / "out.pgn").read_bytes()


@needs_masters
def test_real_games_in_many_pieces(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(exporting, "_PIECE", 50)
    path = first_masters(tmp_path / "m.pgn", 300)
    add_games(tmp_path / "b.duckdb", [path])
    told: list[tuple[int, int]] = []
    games = export_games(tmp_path / "b.duckdb", tmp_path / "out.pgn.zst", progress=lambda *done: told.append(done))
    assert told == [(50 * n, 300) for n in range(1, 7)]
    text = zstandard.ZstdDecompressor().stream_reader((tmp_path / "out.pgn.zst").read_bytes()).read().decode()
    stream = io.StringIO(text)
    original = io.StringIO(path.read_text(encoding="latin-1").replace("\n\n\n", "\n\n"))
    for _ in range(games):
        one, other = chess.pgn.read_game(stream), chess.pgn.read_game(original)
        assert one is not None and other is not None
        assert list(one.mainline_moves()) == list(other.mainline_moves())
        assert one.headers["Result"] == other.headers["Result"]
        assert one.headers["White"] == other.headers["White"].strip()


def test_nothing_is_written_over_unasked(tmp_path: Path) -> None:
    (tmp_path / "g.pgn").write_text(pgn("1. e4"))
    add_games(tmp_path / "b.duckdb", [tmp_path / "g.pgn"])
    with pytest.raises(UnusableInput, match=r"exists.*--force"):
        export_games(tmp_path / "b.duckdb", tmp_path / "g.pgn")
    assert export_games(tmp_path / "b.duckdb", tmp_path / "g.pgn", force=True) == 1
    with pytest.raises(UnusableInput, match="can't be written"):
        export_games(tmp_path / "b.duckdb", tmp_path / "none" / "g.pgn")
    with pytest.raises(UnusableInput, match="no games base"):
        export_games(tmp_path / "none.duckdb", tmp_path / "o.pgn")


# --- sources -----------------------------------------------------------------------------------------------


@pytest.fixture
def two_sources(tmp_path: Path) -> Path:
    """Twelve games in one file, eight of them and twelve others in a second, one way and another."""
    (tmp_path / "a").mkdir()
    (tmp_path / "b").mkdir()

    def text(numbers: range) -> str:
        return "".join(pgn(movetext(random_game(n, 60)), "1-0", White=f"Player {n}") for n in numbers)

    (tmp_path / "a" / "games.pgn").write_text(text(range(12)))
    (tmp_path / "b" / "games.pgn").write_text(text(range(4, 24)))
    base = tmp_path / "base's.duckdb"
    add_games(base, [tmp_path / "a" / "games.pgn", tmp_path / "b" / "games.pgn"])
    return base


def whites(base: Path) -> list[int]:
    with GamesBase.open(base) as opened:
        return sorted(int(game.white.split()[1]) for game in opened.games(chess.Board(), "newest", 100))


def test_removing_a_source_keeps_what_another_holds(two_sources: Path, tmp_path: Path) -> None:
    assert whites(two_sources) == list(range(24))
    report = remove_source(two_sources, "a/games.pgn")
    assert (report.removed, report.kept) == (4, 8)
    assert whites(two_sources) == list(range(4, 24))
    with GamesBase.open(two_sources) as base:
        assert base.info().sources == ((str(tmp_path / "b" / "games.pgn"), 20),)
        assert base.replies(moves_to("")).total == 20
    add_games(tmp_path / "new.duckdb", [tmp_path / "b" / "games.pgn"])
    with GamesBase.open(two_sources) as base, GamesBase.open(tmp_path / "new.duckdb") as new:
        assert base.info().positions == new.info().positions
        for seed in range(24):
            board = moves_to("")
            for move in random_game(seed, 60):
                assert base.replies(board) == new.replies(board)
                board.push(move)
    again = add_games(two_sources, [tmp_path / "a" / "games.pgn"])
    assert (again.added, again.duplicates) == (4, 8)
    assert whites(two_sources) == list(range(24))


def test_removing_the_other_source(two_sources: Path, tmp_path: Path) -> None:
    report = remove_source(two_sources, str(tmp_path / "b" / "games.pgn"))
    assert (report.removed, report.kept) == (12, 0)
    assert whites(two_sources) == list(range(12))
    with duckdb.connect(two_sources, read_only=True) as con:
        assert con.execute("SELECT count(*) FROM sightings").fetchall() == [(0,)]


def test_removing_all_leaves_an_empty_base(two_sources: Path, tmp_path: Path) -> None:
    remove_source(two_sources, "a/games.pgn")
    remove_source(two_sources, "games.pgn")
    assert whites(two_sources) == []
    add_games(two_sources, [tmp_path / "a" / "games.pgn"])
    assert whites(two_sources) == list(range(12))


@pytest.mark.parametrize(("source", "why"), [("games.pgn", "several sources"), ("ames.pgn", "no source"), ("", "no")])
def test_which_source_is_meant_must_be_clear(two_sources: Path, source: str, why: str) -> None:
    for act in (
        lambda: remove_source(two_sources, source),
        lambda: export_games(two_sources, two_sources.with_suffix(".x"), source=source),
    ):
        with pytest.raises(UnusableInput, match=why):
            act()
    assert whites(two_sources) == list(range(24))
    assert not two_sources.with_suffix(".x").exists()


def test_exporting_one_source(two_sources: Path, tmp_path: Path) -> None:
    assert export_games(two_sources, tmp_path / "a.pgn", source="a/games.pgn") == 12
    assert export_games(two_sources, tmp_path / "b.pgn", source="b/games.pgn") == 20
