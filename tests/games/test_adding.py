"""Adding games: every way they come in, what is left out, and what happens when things go wrong."""

from __future__ import annotations

import bz2
import gzip
import os
import zipfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from tempfile import TemporaryDirectory

import chess
import duckdb
import pytest
import zstandard
from hypothesis import example, given, settings
from hypothesis import strategies as st

from linewright.games.api import GamesBase, Progress, SkippedGame, add_games, position_key
from linewright.games.index import building as indexing
from linewright.games.ingest import adding
from linewright.games.ingest.game_validation import read_games
from linewright.games.ingest.splitting import cut
from linewright.support.errors import UnusableInput
from tests.games.games import STANDARD_SAMPLE, moves_to, movetext, pgn, random_game

TWO = pgn("1. e4 e5 2. Nf3", "1-0") + pgn("1. d4 d5", "0-1", White="Cedar, Cy")


def zipped(path: Path, text: bytes) -> None:
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("folder/games.pgn", text)
        archive.writestr("readme.txt", "no games here")


PACKED: dict[str, Callable[[Path, bytes], object]] = {
    "g.pgn": lambda path, text: path.write_bytes(text),
    "g.pgn.zst": lambda path, text: path.write_bytes(zstandard.compress(text[:9]) + zstandard.compress(text[9:])),
    "g.pgn.gz": lambda path, text: path.write_bytes(gzip.compress(text)),
    "g.pgn.bz2": lambda path, text: path.write_bytes(bz2.compress(text)),
    "g.zip": zipped,
}


@pytest.mark.parametrize("name", PACKED)
def test_every_packing(tmp_path: Path, name: str) -> None:
    PACKED[name](tmp_path / name, TWO.encode())
    report = add_games(tmp_path / "b.duckdb", [tmp_path / name])
    assert (report.added, report.duplicates, report.skipped_count) == (2, 0, 0)
    with GamesBase.open(tmp_path / "b.duckdb") as base:
        (game,) = base.games(moves_to("d4 d5"), "newest", 5)
        assert (game.white, game.black, game.result) == ("Cedar, Cy", "Birch, Bo", "0-1")
        assert game.source.startswith(str(tmp_path / name))


def test_folders_are_searched_through(tmp_path: Path) -> None:
    folder = tmp_path / "games" / "deeper"
    folder.mkdir(parents=True)
    for number, name in enumerate(PACKED):
        PACKED[name](folder / name, pgn("1. e4", Round=str(number), White=f"Player {number}").encode())
    (folder / "notes.txt").write_text(pgn("1. d4"))
    assert add_games(tmp_path / "b.duckdb", [tmp_path / "games"]).added == len(PACKED)


def test_the_standards_sample_game(tmp_path: Path) -> None:
    """PGN standard 1994, section 2.3."""
    (tmp_path / "sample.pgn").write_text(STANDARD_SAMPLE)
    assert add_games(tmp_path / "b.duckdb", [tmp_path / "sample.pgn"]).added == 1
    with GamesBase.open(tmp_path / "b.duckdb") as base:
        (game,) = base.games(moves_to("e4 e5 Nf3 Nc6 Bb5 a6 Ba4 Nf6 O-O Be7"), "newest", 5)
    assert (game.white, game.black, game.result) == ("Fischer, Robert J.", "Spassky, Boris V.", "1/2-1/2")
    assert (game.date, game.year, game.event) == ("1992.11.04", 1992, "F/S Return Match")
    assert (game.site, game.round, game.plies, game.reached) == ("Belgrade, Serbia JUG", "29", 85, 10)
    assert game.following == ("Re1", "b5", "Bb3", "d6", "c3", "O-O", "h3", "Nb8")


def test_utf8_latin1_and_bom(tmp_path: Path) -> None:
    text = pgn("1. e4", White="Bïrch, Zoë")
    (tmp_path / "u.pgn").write_bytes(b"\xef\xbb\xbf" + text.encode())
    (tmp_path / "l.pgn").write_bytes(text.encode("latin-1"))
    report = add_games(tmp_path / "b.duckdb", [tmp_path / "u.pgn", tmp_path / "l.pgn"])
    assert (report.added, report.duplicates) == (1, 1)
    with GamesBase.open(tmp_path / "b.duckdb") as base:
        assert base.games(chess.Board(), "newest", 1)[0].white == "Bïrch, Zoë"


SKIPPED = [
    (pgn("1. e4 e5 2. Ke3"), "broken", "2.Ke3 is not legal there"),
    (pgn("1. e4 e5 2. Zz9"), "broken", "2.Zz9 is not a move"),
    (pgn("1. e4 {oh"), "broken", "a comment is opened with { and never closed"),
    (pgn("1. e4 (1. d4"), "broken", "a variation is opened with ( and never closed"),
    (pgn("1. e4 -- 2. e5"), "broken", "1...-- is not legal there"),
    (pgn(""), "empty", "it has no moves"),
    (pgn("1. e4", Variant="Atomic"), "variant", 'another kind of chess: Variant "Atomic"'),
    (
        pgn("1. Ka2", FEN="8/8/8/8/8/8/8/K1k5 w - - 0 1", SetUp="1"),
        "set-up",
        "it starts from a set-up position",
    ),
]


@pytest.mark.parametrize(("bad", "kind", "reason"), SKIPPED, ids=[row[2] for row in SKIPPED])
def test_what_is_left_out_is_told_with_its_place(tmp_path: Path, bad: str, kind: str, reason: str) -> None:
    path = tmp_path / "g.pgn"
    before = pgn("1. e4 e5", "1-0")
    path.write_text(before + bad + pgn("1. c4", "0-1"))
    report = add_games(tmp_path / "b.duckdb", [path])
    assert (report.added, report.skipped_count) == (2, 1)
    (game,) = report.skipped
    assert (game.file, game.line, game.kind) == (str(path), before.count("\n") + 1, kind)
    assert game.reason.startswith(reason)
    assert str(game) == f"{path}:{game.line}: {game.reason}"


def test_duplicates_are_told_by_moves_names_date_and_result(tmp_path: Path) -> None:
    game = pgn("1. e4 e5", "1-0", White="Bïrch, B.")
    again = pgn("1.e4 {same} e5", "1-0", White="birch,  B", Event="Other words")
    others = [
        pgn("1. e4 e5", "0-1", White="Bïrch, B."),
        pgn("1. e4 e5", "1-0", White="Bïrch, C."),
        pgn("1. e4 e5", "1-0", White="Bïrch, B.", Date="2020.01.02"),
        pgn("1. e4 e6", "1-0", White="Bïrch, B."),
    ]
    (tmp_path / "g.pgn").write_text(game + again + "".join(others))
    report = add_games(tmp_path / "b.duckdb", [tmp_path / "g.pgn"])
    assert (report.added, report.duplicates) == (5, 1)
    report = add_games(tmp_path / "b.duckdb", [tmp_path / "g.pgn"])
    assert (report.added, report.duplicates) == (0, 6)


def test_the_result_is_the_tags_else_the_texts(tmp_path: Path) -> None:
    texts = ['[Result "1-0"]\n\n1. e4 *', '[Result "?"]\n\n1. d4 0-1', "1. c4 1/2-1/2", "1. f4\n"]
    (tmp_path / "g.pgn").write_text("\n\n".join(texts))
    add_games(tmp_path / "b.duckdb", [tmp_path / "g.pgn"])
    with GamesBase.open(tmp_path / "b.duckdb") as base:
        results = [base.games(moves_to(move), "newest", 1)[0].result for move in ("e4", "d4", "c4", "f4")]
    assert results == ["1-0", "0-1", "1/2-1/2", "*"]


def test_progress_goes_up_to_the_end(tmp_path: Path) -> None:
    for number in range(3):
        (tmp_path / f"{number}.pgn").write_text(pgn("1. e4", Round=str(number), White=f"Player {number}"))
    seen: list[Progress] = []
    add_games(tmp_path / "b.duckdb", [tmp_path], seen.append)
    assert [p.done for p in seen] == sorted(p.done for p in seen)
    assert (seen[-1].done, seen[-1].games) == (seen[-1].total, 3)
    assert seen[-1].total == sum(path.stat().st_size for path in tmp_path.glob("*.pgn"))


def test_batches_runs_and_ranges_change_no_answer(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "g.pgn"
    path.write_text("".join(pgn(movetext(random_game(n, 30)), "1-0", Round=str(n)) for n in range(40)))
    add_games(tmp_path / "one.duckdb", [path])
    monkeypatch.setattr(adding, "BATCH_POSITIONS", 1)
    monkeypatch.setattr(indexing, "MOST_POSITIONS", 100)
    monkeypatch.setattr(indexing, "ABSORBED_PART", 0.9)
    monkeypatch.setattr(indexing, "RANGE", 40)
    for part in range(8):  # each adding is a batch of its own
        text = "".join(pgn(movetext(random_game(n, 30)), "1-0", Round=str(n)) for n in range(5 * part, 5 * part + 5))
        (tmp_path / "part.pgn").write_text(text)
        add_games(tmp_path / "many.duckdb", [tmp_path / "part.pgn"])
    with duckdb.connect(tmp_path / "many.duckdb", read_only=True) as con:
        assert con.execute("SELECT count(*) > 5, count(DISTINCT run) > 5 FROM shelves").fetchall() == [(True, True)]
    board = chess.Board()
    with GamesBase.open(tmp_path / "one.duckdb") as one, GamesBase.open(tmp_path / "many.duckdb") as many:
        assert one.info().positions == many.info().positions
        assert one.info().games == many.info().games == 40
        for move in [None, *random_game(7, 30)]:
            board.push(move) if move else None
            assert one.replies(board) == many.replies(board)
            key = position_key(board)
            assert one.moves_played([key]) == many.moves_played([key])


def test_small_additions_are_gathered_into_few_runs(tmp_path: Path) -> None:
    for number in range(20):
        (tmp_path / "g.pgn").write_text(pgn("1. e4 e5", "1-0", White=f"Player {number}"))
        add_games(tmp_path / "b.duckdb", [tmp_path / "g.pgn"])
    with duckdb.connect(tmp_path / "b.duckdb", read_only=True) as con:
        runs = con.execute("SELECT first, last FROM runs ORDER BY first").fetchall()
    assert (runs[0][0], runs[-1][1]) == (0, 19)
    assert len(runs) <= 5


# --- what goes wrong ---------------------------------------------------------------------------------------


def refused(base: Path, *files: Path) -> str:
    with pytest.raises(UnusableInput) as caught:
        add_games(base, files)
    assert "\n" not in str(caught.value)
    return str(caught.value)


def test_nothing_usable_leaves_no_base(tmp_path: Path) -> None:
    base = tmp_path / "b.duckdb"
    assert "no such file" in refused(base, tmp_path / "none.pgn")
    (tmp_path / "empty.pgn").write_text("")
    assert "no games in" in refused(base, tmp_path / "empty.pgn")
    (tmp_path / "random.pgn").write_bytes(os.urandom(1 << 20))
    assert "random.pgn:1" in refused(base, tmp_path / "random.pgn")
    (tmp_path / "folder").mkdir()
    assert "no games file in" in refused(base, tmp_path / "folder")
    assert not list(tmp_path.glob("b.duckdb*"))


@pytest.mark.parametrize("name", ["g.pgn.zst", "g.pgn.gz", "g.pgn.bz2", "g.zip"])
def test_a_packed_file_cut_short_gives_what_is_whole(tmp_path: Path, name: str) -> None:
    good = tmp_path / "good.pgn"
    good.write_text(pgn("1. c4 c5"))
    text = "".join(pgn(movetext(random_game(n, 20)), "1-0", Round=str(n)) for n in range(30))
    path = tmp_path / name
    PACKED[name](path, text.encode())
    path.write_bytes(path.read_bytes()[: path.stat().st_size * 2 // 3])
    report = add_games(tmp_path / "b.duckdb", [path, good])
    assert report.added >= 1
    assert any(game.file.startswith(str(path)) and "cut short" in game.reason for game in report.skipped)


def test_a_file_that_is_no_base_is_left_alone(tmp_path: Path) -> None:
    (tmp_path / "g.pgn").write_text(TWO)
    base = tmp_path / "b.duckdb"
    base.write_bytes(b"my letters" * 1000)
    assert "not a readable games base" in refused(base, tmp_path / "g.pgn")
    assert base.read_bytes() == b"my letters" * 1000
    base.unlink()
    duckdb.connect(base).execute("CREATE TABLE mine (a INTEGER)").close()
    assert "not a games base" in refused(base, tmp_path / "g.pgn")


@contextmanager
def without_rights() -> Iterator[None]:
    """Act as a user who may not read root's private files."""
    if os.geteuid() != 0:
        yield
        return
    os.seteuid(65534)
    try:
        yield
    finally:
        os.seteuid(0)


def test_no_permission() -> None:
    with TemporaryDirectory() as name:  # pytest's own folders are shut for others
        folder = Path(name)
        folder.chmod(0o755)
        shut, base = folder / "shut", folder / "b.duckdb"
        shut.mkdir()
        (shut / "g.pgn").write_text(TWO)
        (folder / "g.pgn").write_text(TWO)
        add_games(shut / "b.duckdb", [folder / "g.pgn"])
        shut.chmod(0)
        with without_rights():
            assert "can't be read" in refused(base, shut)
            assert "can't be read" in refused(base, shut / "g.pgn")
            assert "Permission denied" in refused(shut / "b.duckdb", folder / "g.pgn")
            assert "Permission denied" in refused(folder / "new.duckdb", folder / "g.pgn")
            with pytest.raises(UnusableInput, match="no permission"):
                GamesBase.open(shut / "b.duckdb")
        shut.chmod(0o700)
        assert not base.exists()


@settings(deadline=None, max_examples=30)
@given(data=st.binary(max_size=400))
@example(data=b"\x00")
def test_random_bytes_never_end_in_a_traceback(tmp_path_factory: pytest.TempPathFactory, data: bytes) -> None:
    folder = tmp_path_factory.mktemp("fuzz")
    (folder / "g.pgn").write_bytes(data)
    try:
        add_games(folder / "b.duckdb", [folder / "g.pgn"])
    except UnusableInput:
        assert not (folder / "b.duckdb").exists()


@settings(deadline=None, max_examples=30)
@given(
    cuts=st.lists(st.tuples(st.integers(0, 2000), st.binary(max_size=3), st.integers(0, 3)), min_size=1, max_size=6),
    pack=st.sampled_from(sorted(PACKED)),
    whole=st.booleans(),
)
def test_damaged_files_never_end_in_a_traceback(
    tmp_path_factory: pytest.TempPathFactory, cuts: list[tuple[int, bytes, int]], pack: str, whole: bool
) -> None:
    """Bytes are replaced in a sound file, before or after packing."""
    folder = tmp_path_factory.mktemp("fuzz")

    def damage(data: bytes) -> bytes:
        for at, new, gone in cuts:
            at %= len(data) + 1
            data = data[:at] + new + data[at + gone :]
        return data

    text = (STANDARD_SAMPLE + "\n" + TWO).encode()
    PACKED[pack](folder / pack, damage(text) if whole else text)
    if not whole:
        (folder / pack).write_bytes(damage((folder / pack).read_bytes()))
    try:
        report = add_games(folder / "b.duckdb", [folder / pack])
    except UnusableInput:
        return
    with GamesBase.open(folder / "b.duckdb") as base:
        assert base.info().games == report.added


@given(st.lists(st.integers(0, 3), max_size=20), st.integers(1, 40))
def test_batches_hold_all_pieces_in_order_and_none_is_larger_than_need_be(games: list[int], room: int) -> None:
    pieces = []
    for number, count in enumerate(games):
        text = "".join(pgn("1. e4 e5 2. Nf3", White=f"P{number}", Round=str(n)) for n in range(count))
        pieces += [(str(number), read_games("f", piece)) for piece in cut(iter([text.encode()]))]
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(adding, "BATCH_POSITIONS", room)
        found = [list(batch) for batch in adding.batches(pieces)]
    assert [name for batch in found for name, _ in batch] == [name for name, piece in pieces if len(piece)]
    sizes = [[len(piece.packed) + len(piece) for _, piece in batch] for batch in found]
    assert all(sum(batch) >= room for batch in sizes[:-1])
    assert all(sum(batch[:-1]) < room for batch in sizes)


def test_a_tally_counts_all_that_is_left_out_and_lists_the_first(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    (tmp_path / "g.pgn").write_text("x" * 100)
    monkeypatch.setattr(adding, "LISTED_SKIPS", 2)
    seen: list[Progress] = []
    tally = adding.Tally([tmp_path / "g.pgn"], seen.append)
    for line in (1, 5, 9):
        tally.skip(SkippedGame("g.pgn", line, "broken"))
    report = tally.report(4, 1)
    assert (report.added, report.duplicates, report.skipped_count) == (4, 1, 3)
    assert [game.line for game in report.skipped] == [1, 5]
    assert "none of 3 games found could be added, the first: g.pgn:1: broken" in str(tally.nothing_usable())
    tally.read("g.pgn", 100)
    tally.indexed(1.0)
    assert [(step.file, step.done) for step in seen] == [("g.pgn", 70), ("sorting positions", 100)]
