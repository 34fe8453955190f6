"""The adding job on a cluster of separate processes, against adding to one file."""

from __future__ import annotations

import random
import uuid
from collections.abc import Iterator
from pathlib import Path

import chess
import pytest
import zstandard

from linewright.games.api import GamesBase, add_games, position_key
from linewright.games.parquet import cluster, shards
from linewright.games.parquet.storage import Storage
from linewright.support.errors import UnusableInput
from tests.games.games import first_masters, moves_to, movetext, needs_masters, pgn, random_game
from tests.games.s3 import s3_server

pytest.importorskip("distributed", reason="needs the extra linewright[cluster]")

#: Real games in the comparison.
GAMES = 1200


@pytest.fixture(scope="module")
def workers() -> Iterator[str]:
    """A scheduler with two worker processes; its address. A busy machine may take long to answer."""
    from distributed import LocalCluster

    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(cluster, "_PATIENCE", 120)
        with LocalCluster(n_workers=2, threads_per_worker=1, processes=True, dashboard_address=":0") as here:
            yield here.scheduler_address


@pytest.fixture(scope="module")
def files(tmp_path_factory: pytest.TempPathFactory) -> list[Path]:
    """Real games in overlapping files, one packed, one with broken games and games apart, one with none."""
    folder = tmp_path_factory.mktemp("shards")
    games = first_masters(folder / "all.pgn", GAMES).read_bytes().split(b"\n[Event ")
    games = [games[0], *(b"[Event " + game for game in games[1:])]
    (folder / "all.pgn").unlink()
    (folder / "1.pgn").write_bytes(b"\n".join(games[:500]) + b"\n")
    (folder / "2.pgn.zst").write_bytes(zstandard.compress(b"\n".join(games[450:900]) + b"\n"))
    (folder / "3.pgn").write_bytes(b"\n".join(games[880:]) + b"\n")
    odd = [
        pgn("1. e4 e5 2. Ke3"), pgn("", Variant="Atomic"), pgn("1. e4 {oh"),
        pgn(movetext(random_game(3, 60)), "1-0", White="Amber, Ada", Opening="Our own"),
        pgn(movetext(random_game(3, 60)), "1-0", White="A Amber"),
    ]  # fmt: skip
    (folder / "4.pgn").write_text("".join(odd))
    (folder / "5.pgn").write_text("no games\n")
    return sorted(folder.iterdir())


def same_base(one: Path, other: Path, boards: list[chess.Board]) -> None:
    """The two bases hold the same tables, byte for byte, and answer alike."""
    with GamesBase.open(one) as a, GamesBase.open(other) as b:
        for table in ("games", "sources", "sightings", "spellings", "shelves"):
            columns = [row[0] for row in a.loaded.con.execute(f"SELECT column_name FROM (DESCRIBE {table})").fetchall()]
            query = f"SELECT {', '.join(columns)} FROM {table}"
            rows = [base.loaded.con.execute(query).fetchall() for base in (a, b)]
            if table != "shelves":  # the order of a shelf's pieces counts, and its place is by range alike
                rows = [sorted(found) for found in rows]
            assert rows[0] == rows[1], table
        assert (a.info().games, a.info().positions, a.info().players) == (
            b.info().games,
            b.info().positions,
            b.info().players,
        )
        assert a.players() == b.players()
        for board in boards:
            key = position_key(board)
            assert a.replies(board) == b.replies(board)
            assert a.games(board, "newest", 5) == b.games(board, "newest", 5)
            assert a.moves_played([key]) == b.moves_played([key])


@pytest.fixture(scope="module")
def plain(files: list[Path], tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("plain") / "b.duckdb"
    add_games(path, files)
    return path


def boards_of(base: Path, count: int) -> list[chess.Board]:
    """Positions from the base's games, and some that it doesn't know."""
    chance = random.Random(8)
    with GamesBase.open(base) as opened:
        boards = [moves_to(""), moves_to("e4 e5"), moves_to("a3 a6 h3 h6")]
        games = opened.games(moves_to(""), "strongest", 300)
    for game in chance.sample(games, count):
        board = moves_to("")
        for san in game.following[: chance.randrange(1, 9)]:
            board.push_san(san)
        boards.append(board)
    return boards


@needs_masters
@pytest.mark.parametrize("ranges", [1, 7])
def test_a_parted_base_is_the_same_base(
    workers: str, files: list[Path], plain: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, ranges: int
) -> None:
    monkeypatch.setattr(cluster, "RANGE", GAMES * 85 // ranges)
    told = []
    report = cluster.add_on(workers, tmp_path / "parts", files, told.append)
    embedded = add_games(tmp_path / "again.duckdb", files)
    assert (report.added, report.duplicates, report.skipped, report.skipped_count) == (
        embedded.added,
        embedded.duplicates,
        embedded.skipped,
        embedded.skipped_count,
    )
    assert embedded.duplicates == 50 + 20 + 1
    assert (told[-1].done, [p.done for p in told]) == (told[-1].total, sorted(p.done for p in told))
    assert len(list((tmp_path / "parts" / "positions").iterdir())) >= ranges
    assert not (tmp_path / "parts" / "staged").exists()
    same_base(tmp_path / "parts", plain, boards_of(plain, 60))


@needs_masters
def test_on_s3_compatible_storage(
    files: list[Path], plain: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Against a server of our own that speaks Amazon's S3 interface; games are read from there too."""
    pytest.importorskip("s3fs", reason="needs the extra linewright[cluster]")
    for name in ("AWS_ACCESS_KEY_ID", "AWS_SECRET_ACCESS_KEY"):
        monkeypatch.setenv(name, "test")
    monkeypatch.setenv("AWS_DEFAULT_REGION", "us-east-1")
    with s3_server() as address:
        monkeypatch.setenv("AWS_ENDPOINT_URL", address)
        bucket = Storage(f"s3://games-{uuid.uuid4().hex[:8]}")
        bucket.files.mkdir(bucket.root)
        for file in files[:3]:
            bucket.files.put(str(file), bucket.path(file.name))
        urls = [Path(bucket.path(file.name)) for file in files[:3]]
        report = cluster.add_on("local", Path(bucket.path("base")), urls)
        add_games(tmp_path / "b.duckdb", files[:3])
        with GamesBase.open(Path(bucket.path("base"))) as there, GamesBase.open(tmp_path / "b.duckdb") as here:
            assert there.info().games == here.info().games == report.added == GAMES
            for board in boards_of(plain, 10):
                assert there.replies(board) == here.replies(board)
                assert [game.white for game in there.games(board, "newest", 3)] == [
                    game.white for game in here.games(board, "newest", 3)
                ]


def test_what_was_read_is_not_read_again(tmp_path: Path) -> None:
    storage = Storage.at(tmp_path / "parts")
    file = tmp_path / "g.pgn"
    file.write_text(pgn("1. e4 e5", "1-0"))
    first = shards.read_shard(storage, str(file), 0)
    staged = tmp_path / "parts" / "staged" / "games-00000"
    before = staged.stat().st_mtime_ns
    assert shards.read_shard(storage, str(file), 0) == first
    assert staged.stat().st_mtime_ns == before
    file.write_text(pgn("1. e4 e5", "1-0") + pgn("1. d4"))
    assert shards.read_shard(storage, str(file), 0).games == 2


def test_where_no_cluster_is(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(cluster, "_PATIENCE", 0.5)
    (tmp_path / "g.pgn").write_text(pgn("1. e4 e5", "1-0"))
    with pytest.raises(UnusableInput, match="there is no cluster at nowhere"):
        cluster.add_on("nowhere", tmp_path / "parts", [tmp_path / "g.pgn"])


def test_refusals(workers: str, tmp_path: Path) -> None:
    file, place = tmp_path / "g.pgn", tmp_path / "parts"
    file.write_text(pgn("1. e4 e5", "1-0"))
    with pytest.raises(UnusableInput, match="no such file"):
        cluster.add_on(workers, place, [tmp_path / "none.pgn"])
    (tmp_path / "empty.pgn").write_text("")
    with pytest.raises(UnusableInput, match="no games in"):
        cluster.add_on(workers, place, [tmp_path / "empty.pgn"])
    with pytest.raises(UnusableInput, match="there is no games base at"):
        GamesBase.open(place)
    cluster.add_on(workers, place, [file])
    with pytest.raises(UnusableInput, match="already holds a games base"):
        cluster.add_on(workers, place, [file])
    with pytest.raises(UnusableInput, match="is a folder"):
        add_games(place, [file])
    with GamesBase.open(place) as base:
        assert base.replies(moves_to("e4")).total == 1


@pytest.mark.parametrize(
    ("path", "root", "protocol"),
    [
        ("s3://bucket/base/", "s3://bucket/base", "s3"),
        (Path("s3://bucket/base"), "s3://bucket/base", "s3"),  # pathlib keeps one slash only
        ("/data/base", "/data/base", None),
        ("/data/s3:/x", "/data/s3:/x", None),
    ],
)
def test_places(path: Path | str, root: str, protocol: str | None) -> None:
    assert (Storage.at(path).root, Storage.at(path).protocol) == (root, protocol)
