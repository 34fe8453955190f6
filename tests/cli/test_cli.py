"""The commands as users meet them: what they print, their exit codes, and every kind of unusable input."""

from __future__ import annotations

import io
import json
import os
import random
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import chess.pgn
import pytest
from typer.testing import CliRunner, Result

import linewright.demo
from linewright.cli.desk import talks_folder
from linewright.cli.main import app
from linewright.games.api import add_games
from linewright.support.errors import UnusableInput
from linewright.talk.typed import MARKS

TALK = "E4, e6, d4, d5, knight d2, c5. Black has an isolated pawn on e6. Back to knight d2, and knight f6.\n"


@pytest.fixture(autouse=True)
def own_home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    monkeypatch.setenv("LINEWRIGHT_HOME", str(tmp_path / "home"))
    monkeypatch.chdir(tmp_path)
    yield


def run(*words: object) -> Result:
    return CliRunner().invoke(app, [str(w) for w in words])


def refused(result: Result) -> str:
    """The one line that a command prints for unusable input."""
    assert result.exit_code == 2, result.output
    assert result.exception is None or isinstance(result.exception, SystemExit)
    lines = [line for line in result.stderr.splitlines() if "counted from the starter table" not in line]
    assert len(lines) == 1, result.stderr
    assert "Traceback" not in result.output
    return lines[0]


@pytest.fixture(scope="module")
def base(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo's games."""
    file = tmp_path_factory.mktemp("base") / "games.duckdb"
    add_games(file, [Path(linewright.demo.__file__).with_name("games.pgn")])
    return file


@pytest.fixture
def talk(tmp_path: Path) -> Path:
    path = tmp_path / "talk.md"
    path.write_text(TALK)
    return path


def test_read_prints_the_lines_in_telling_order(talk: Path, base: Path) -> None:
    result = run("read", talk, "--base", base)
    assert result.exit_code == 0
    assert "1.e4 e6 2.d4 d5 3.Nd2 c5\n3...Nf6" in result.stdout.replace("*", "")


def test_read_json_is_the_documented_object(talk: Path, base: Path) -> None:
    reading = json.loads(run("read", talk, "--json", "--base", base).stdout)
    assert list(reading) == [
        "title", "source", "unit", "opening", "start", "side", "moves", "returns", "claims", "unread",
    ]  # fmt: skip
    assert list(reading["moves"][0]) == [
        "san", "uci", "before", "after", "words", "start", "end", "sure", "instead",
    ]  # fmt: skip
    first = reading["moves"][0]
    assert TALK[int(first["start"]) : int(first["end"])] == first["words"] == "E4,"
    assert [c["verdict"] for c in reading["claims"]] == ["fails"]
    assert reading["returns"][0]["to"].startswith("rnbqkbnr/ppp2ppp/4p3/3p4/3PP3/8/PPPN1PPP/R1BQKBNR b")


def test_read_pgn_is_read_by_the_reference_library(talk: Path) -> None:
    game = chess.pgn.read_game(io.StringIO(run("read", talk, "--pgn").stdout))
    assert game is not None and not game.errors
    assert [node.san() for node in game.mainline()] == ["e4", "e6", "d4", "d5", "Nd2", "c5"]


def test_check_points_at_the_words_and_ends_with_1(talk: Path, base: Path) -> None:
    result = run("check", talk, "--base", base, "--no-engine")
    assert result.exit_code == 1
    assert f"{talk}:1:32: structure fails: Black has an isolated pawn on e6. — " in result.stdout


def test_check_ends_with_0_when_all_is_well(tmp_path: Path) -> None:
    path = tmp_path / "good.md"
    path.write_text("1.e4 e5 2.Nf3 Nc6. There are no open files.")
    assert run("check", path, "--no-engine").exit_code == 0


def test_build_without_a_folder_writes_beside_the_talk(talk: Path, tmp_path: Path) -> None:
    result = run("build", talk, "--only", "pgn")
    assert result.exit_code == 0
    assert result.stdout.split() == [str(tmp_path / "lessons" / "talk" / "talk.pgn")]
    assert run("build", tmp_path, "--only", "pgn").exit_code == 0
    assert {path.name for path in (tmp_path / "course").glob("*.*")} >= {"talk.pgn", "course.pgn"}


def test_build_writes_the_lesson_and_spares_what_is_there(talk: Path, tmp_path: Path) -> None:
    assert run("build", talk, "-o", tmp_path / "out").exit_code == 0
    assert {p.suffix for p in (tmp_path / "out").iterdir()} >= {".html", ".pgn", ".pdf", ".json"}
    other = tmp_path / "other"
    other.mkdir()
    (other / "letter.txt").write_text("dear club")
    assert "--force" in refused(run("build", talk, "-o", other))
    assert (other / "letter.txt").read_text() == "dear club"
    assert len(list(other.iterdir())) == 1


def test_demo_says_in_three_lines_what_it_made(tmp_path: Path) -> None:
    result = run("demo", "-o", tmp_path / "demo")
    assert result.exit_code == 0
    assert len(result.stdout.splitlines()) == 3
    assert (tmp_path / "demo" / "lesson").is_dir()
    edited = (tmp_path / "demo" / "talk.md").read_text() + "\nAnd thank you.\n"
    (tmp_path / "demo" / "talk.md").write_text(edited)
    assert run("demo", "-o", tmp_path / "demo").exit_code == 0
    assert (tmp_path / "demo" / "talk.md").read_text() == edited, "an edited talk is kept"


def test_the_desk_opens_the_folder_opened_last(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    documents, own = tmp_path / "documents", tmp_path / "own"
    monkeypatch.setattr("platformdirs.user_documents_dir", lambda: str(documents))
    assert talks_folder(None) == documents / "Chess talks"
    assert (documents / "Chess talks").is_dir()
    own.mkdir()
    assert talks_folder(own) == talks_folder(None) == own
    own.rmdir()
    assert talks_folder(None) == documents / "Chess talks"
    with pytest.raises(UnusableInput, match="no such folder"):
        talks_folder(tmp_path / "nowhere")
    (tmp_path / "file").write_text("")
    monkeypatch.setattr("platformdirs.user_documents_dir", lambda: str(tmp_path / "file"))
    (documents / "Chess talks").rmdir()
    with pytest.raises(UnusableInput, match="linewright desk FOLDER"):
        talks_folder(None)


BAD_TALKS = [
    ("empty.md", b"", "empty"),
    ("no-moves.md", b"Good evening, and mind the step.", "no move"),
    ("broken.json", b'{"words": [{"word": "e4", ', "JSON"),
    ("noise.md", random.Random(1).randbytes(5000), ""),
    ("start.md", b"{start: 8/8/8/8 w - - 0 1} e4 e5", "start position"),
    ("cut.vtt", b"WEBVTT\n\n00:00:01.000 --> 00:0", ""),
]


@pytest.mark.parametrize(("name", "content", "says"), BAD_TALKS, ids=[row[0] for row in BAD_TALKS])
@pytest.mark.parametrize("command", ["read", "check", "build"])
def test_unusable_talks(tmp_path: Path, name: str, content: bytes, says: str, command: str) -> None:
    path = tmp_path / name
    path.write_bytes(content)
    more = ["-o", tmp_path / "out"] if command == "build" else []
    line = refused(run(command, path, *more))
    assert str(path) in line and says in line


def test_a_caption_file_cut_in_the_middle_is_read_as_far_as_it_goes(tmp_path: Path) -> None:
    path = tmp_path / "cut.vtt"
    path.write_text("WEBVTT\n\n00:01.000 --> 00:04.000\ne4, e5, knight f3\n\n00:04.000 --> 00:09.000\nknight c6, bish")
    result = run("read", path)
    assert result.exit_code == 0
    assert "1.e4 e5 2.Nf3 Nc6" in result.stdout.replace("*", "")
    assert "cut" in result.stderr


def test_a_missing_talk_and_a_folder(tmp_path: Path) -> None:
    assert "nowhere.md" in refused(run("read", tmp_path / "nowhere.md"))
    refused(run("read", tmp_path))


def test_a_named_base_that_is_missing(talk: Path, tmp_path: Path) -> None:
    assert "linewright base add" in refused(run("read", talk, "--base", tmp_path / "none.duckdb"))
    assert "linewright base add" in refused(run("base", "info", "--base", tmp_path / "none.duckdb"))


def test_a_file_that_is_no_base(talk: Path, tmp_path: Path) -> None:
    wrong = tmp_path / "wrong.duckdb"
    wrong.write_bytes(b"not a base" * 500)
    assert str(wrong) in refused(run("check", talk, "--base", wrong))
    assert wrong.read_bytes() == b"not a base" * 500


def test_without_a_base_one_line_says_what_is_missed(talk: Path) -> None:
    assert "linewright base add" in run("read", talk).stderr


def test_random_bytes_are_no_games(tmp_path: Path) -> None:
    path = tmp_path / "noise.pgn"
    path.write_bytes(random.Random(2).randbytes(2_000_000))
    result = run("base", "add", path)
    assert result.exit_code in (1, 2)
    assert "Traceback" not in result.output


def test_an_illegal_position(tmp_path: Path) -> None:
    pgn = tmp_path / "one.pgn"
    pgn.write_text('[Event "?"]\n[White "Ann"]\n[Black "Bob"]\n[Result "1-0"]\n\n1. e4 e5 1-0\n')
    assert run("base", "add", pgn).exit_code == 0
    assert "FEN" in refused(run("base", "replies", "--fen", "8/8/8/8/8/8/8/8 w - - 0 1"))


@pytest.mark.skipif(os.geteuid() == 0, reason="root may write anywhere")
def test_a_folder_without_permission(talk: Path, tmp_path: Path) -> None:
    locked = tmp_path / "locked"
    locked.mkdir(mode=0o500)
    assert str(locked) in refused(run("build", talk, "-o", locked / "lesson"))


def test_a_file_where_a_folder_should_be(talk: Path, tmp_path: Path) -> None:
    (tmp_path / "taken").write_text("mine")
    refused(run("build", talk, "-o", tmp_path / "taken"))
    assert (tmp_path / "taken").read_text() == "mine"


def test_only_the_command_asked_for_is_loaded() -> None:
    """Checking a talk doesn't wait for the desk's server or the classes' database."""
    code = (
        "import sys; from linewright.cli.main import main\ntry: main()\nexcept SystemExit: pass\n"
        "print(*sys.modules, file=sys.stderr)"
    )
    done = subprocess.run([sys.executable, "-c", code, "check", "--help"], capture_output=True, text=True, check=True)
    assert "Example:\n  linewright check" in done.stdout
    assert not {"starlette", "sqlalchemy", "typst", "av", "pyarrow", "pandas"} & set(done.stderr.split())


def test_the_docs_tell_every_mark() -> None:
    talks = (Path(__file__).parents[2] / "docs" / "talks.md").read_text("utf-8")
    for mark in MARKS:
        assert f"`{{{mark}: " in talks
