"""Every command, the desk and the demo read, check and build the same way: with the same notes, the same settings, the
same files."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import chess
import pytest
from typer.testing import CliRunner, Result

import linewright.demo
from linewright.cli.main import app
from linewright.desk.processes.background_jobs import build_course_job, build_lesson_job
from linewright.engine.model import EngineVerdict, Line, Score
from linewright.engine.verdict_memory import VerdictMemory
from linewright.publish.outputs import ALL, Order, OutputPart
from linewright.publish.theme import PLAIN, THEME_FILE
from linewright.support.paths import OWN_THEME_FILE, verdicts_path
from linewright.talk.talk_files import source_talk
from linewright.workflow.build_course import CourseOrder, course_talks
from linewright.workflow.build_lesson import LessonOrder, lesson_folder
from linewright.workflow.find_theme import find_theme

#: A claim about structure that fails on the board.
TALK = "# Isolated\n\nFor White: 1.e4 e6 2.d4 d5 3.Nd2 c5 4.exd5 exd5. \
Black has an isolated pawn on e6. Then 5.Ngf3 Nc6.\n"
#: What is settled beside it: a place that isn't in the talk.
ANSWERS = "9:9 | e4 | nowhere [at all] in here |\n"
CAPTIONS = "WEBVTT\n\n00:00:01.000 --> 00:00:04.000\ne4 e5 knight f3 knight c6\n"


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    place = tmp_path / "home"
    place.mkdir()
    monkeypatch.setenv("LINEWRIGHT_HOME", str(place))
    monkeypatch.chdir(tmp_path)
    return place


@pytest.fixture
def talk(tmp_path: Path) -> Path:
    path = tmp_path / "talks" / "lesson.md"
    path.parent.mkdir()
    path.write_text(TALK, encoding="utf-8")
    return path


def run(*words: object, code: int = 0) -> Result:
    result = CliRunner().invoke(app, [str(word) for word in words])
    assert result.exit_code == code, result.output
    return result


def watch(shown: list[tuple[float, str]]) -> Callable[[float, str], None]:
    return lambda part, words: shown.append((part, words))


# -- checking ----------------------------------------------------------------------------------------------------


def kinds(result: Result, key: str) -> list[str]:
    return [finding["kind"] for finding in json.loads(result.stdout)[key]]


def test_what_the_settings_switch_off_is_in_no_command_s_claims(talk: Path, home: Path) -> None:
    assert "structure" in kinds(run("read", talk, "--json"), "claims")
    assert "structure" in kinds(run("check", talk, "--json", "--no-engine", code=1), "findings")
    (home / "settings.toml").write_text('[check]\noff = ["structure"]\n', encoding="utf-8")
    assert "structure" not in kinds(run("read", talk, "--json"), "claims")
    assert "structure" not in kinds(run("check", talk, "--json", "--no-engine"), "findings")


def test_read_knows_the_verdicts_that_check_and_build_know(talk: Path) -> None:
    talk.write_text("# Better\n\n1.e4 e5 2.Nf3 Nc6 3.Bb5. White is slightly better here.\n", encoding="utf-8")

    def verdicts() -> list[str]:
        claims = json.loads(run("read", talk, "--json").stdout)["claims"]
        return [claim["verdict"] for claim in claims if claim["kind"] == "assessment"]

    assert verdicts() == ["undecided"]
    board = chess.Board()
    for san in ("e4", "e5", "Nf3", "Nc6", "Bb5"):
        board.push_san(san)
    lines = (Line(Score(-300), None, ("a7a6",)),)
    with VerdictMemory.open(verdicts_path()) as memory:
        memory.remember(EngineVerdict(board.epd(), lines, "Scripted", 5_000_000, 20), 16, 1)
    assert verdicts() == ["fails"]


# -- reading -----------------------------------------------------------------------------------------------------

PGN = '[Event "?"]\n[White "Ann"]\n[Black "Bob"]\n[Result "*"]\n\n1. e4 e6 2. d4 d5 3. Nd2 c5 *\n'
COMMANDS = (
    "read {talk}",
    "read {talk} --json",
    "check {talk} --no-engine",
    "build {talk} --only pgn",
    "build {folder} --only pgn",
    "plan {talk}",
    "drills {talk}",
    "news {talk}",
    "pupils check games.pgn --lesson {talk}",
    "class teach {talk}",
)


@pytest.mark.parametrize("command", COMMANDS)
def test_every_command_says_what_it_can_t_use_of_the_answers(talk: Path, command: str) -> None:
    Path("games.pgn").write_text(PGN, encoding="utf-8")
    run("class", "new", "Juniors")
    answers = talk.with_name("lesson.md.answers")
    answers.write_text(ANSWERS, encoding="utf-8")
    words = command.format(talk=talk, folder=talk.parent).split()
    result = CliRunner().invoke(app, words)
    assert result.exit_code in (0, 1), result.output
    assert result.stderr.count(f"{answers}:1: the place of this answer can't be found") == 1


def test_the_demo_and_the_desk_say_it_too(talk: Path, tmp_path: Path) -> None:
    out = tmp_path / "demo"
    run("demo", "-o", out)
    (out / "talk.md.answers").write_text(ANSWERS, encoding="utf-8")
    assert "can't be found in the talk" in run("demo", "-o", out).stderr
    talk.with_name("lesson.md.answers").write_text(ANSWERS, encoding="utf-8")
    order = LessonOrder(source_talk(talk), outputs=Order(frozenset({OutputPart.PGN})))
    shown: list[tuple[float, str]] = []
    made = build_lesson_job(watch(shown), order, tmp_path / "none", verdicts_path())
    assert len(made["notes"]) == 1 and "can't be found in the talk" in made["notes"][0]
    assert shown[0][1] == "reading the talk"


def test_a_talk_without_moves_is_refused_in_the_same_words(talk: Path) -> None:
    talk.write_text("# Nothing\n\nHello there, nobody moves.\n", encoding="utf-8")
    for command in ("read {}", "check {} --no-engine", "build {}", "plan {}", "drills {}"):
        result = run(*command.format(talk).split(), code=2)
        assert "no move can be read in this talk (5 words)" in result.stderr.splitlines()[-1]


# -- building ----------------------------------------------------------------------------------------------------


def made(folder: Path) -> set[str]:
    return {path.name for path in folder.iterdir() if path.is_file() and path.name != "linewright-build.json"}


@pytest.mark.parametrize(
    ("only", "expected", "comment"),
    [
        ("pgn", {"isolated.pgn", "course.pgn"}, "neither contents nor book"),
        ("page", {"isolated.html", "index.html"}, "the contents belong to the pages"),
        ("handout", {"isolated.pdf", "course-book.pdf"}, "the book belongs to the hand-outs"),
        ("epd", {"isolated.epd"}, "nothing in common"),
        ("page,pgn", {"isolated.html", "index.html", "isolated.pgn", "course.pgn"}, "both"),
    ],
)
def test_a_course_holds_only_the_parts_that_were_asked_for(
    talk: Path, tmp_path: Path, only: str, expected: set[str], comment: str
) -> None:
    out = tmp_path / "site"
    printed = run("build", talk.parent, "-o", out, "--only", only).stdout.splitlines()
    assert made(out) == expected == {Path(path).name for path in printed}, comment
    assert "up to date" in run("build", talk.parent, "-o", out, "--only", only).stderr
    assert made(out) == expected


def test_a_course_asked_for_other_parts_gets_them(talk: Path, tmp_path: Path) -> None:
    out = tmp_path / "site"
    run("build", talk.parent, "-o", out, "--only", "pgn")
    run("build", talk.parent, "-o", out, "--only", "page")
    assert {"index.html", "isolated.html"} <= made(out)


def test_the_desk_builds_the_course_that_the_command_builds(talk: Path, tmp_path: Path) -> None:
    ours, theirs = tmp_path / "ours", tmp_path / "theirs"
    run("build", talk.parent, "-o", ours, "--only", "page,pgn,epd")
    parts = frozenset({OutputPart.PAGE, OutputPart.PGN, OutputPart.EPD})
    order = CourseOrder(talk.parent, course_talks(talk.parent), theirs, Order(parts, PLAIN, doubts=False))
    shown: list[tuple[float, str]] = []
    job = build_course_job(watch(shown), order, tmp_path / "none", verdicts_path())
    assert set(job["files"]) == made(ours) == made(theirs)
    assert all((ours / name).read_bytes() == (theirs / name).read_bytes() for name in made(ours))
    parts_shown = [part for part, _ in shown]
    assert parts_shown == sorted(parts_shown) and parts_shown[-1] <= 1, "progress never goes back"


def test_the_recording_beside_captions_is_played_by_talk_course_and_desk_alike(tmp_path: Path) -> None:
    folder = tmp_path / "recorded"
    folder.mkdir()
    (folder / "spanish.vtt").write_text(CAPTIONS)
    (folder / "spanish.mp3").write_bytes(b"sound")
    run("build", folder / "spanish.vtt", "-o", tmp_path / "one", "--only", "page")
    run("build", folder, "-o", tmp_path / "all", "--only", "page")
    pages = [next((tmp_path / out).glob("spanish*.html")).read_bytes() for out in ("one", "all")]
    assert b'src="spanish.recording.mp3"' in pages[0] and pages[0] == pages[1]
    run("build", folder / "spanish.vtt", "-o", tmp_path / "plain", "--only", "pgn")
    assert made(tmp_path / "plain") == {"spanish.pgn"}, "a recording without a page is not copied"


@pytest.mark.parametrize(
    ("name", "folder"),
    [
        ("slav.md", "slav"),
        ("slav.clear.vtt", "slav.clear"),
        ("1. Panov.md", "1. Panov"),
        ("panov.words.json", "panov"),
        ("talk", "talk"),
    ],
)
def test_a_lesson_s_folder_is_named_for_its_talk(name: str, folder: str) -> None:
    assert lesson_folder(Path("talks") / name) == Path("talks/lessons") / folder


def test_a_film_or_one_recording_is_refused_for_a_course(tmp_path: Path) -> None:
    from linewright.support.errors import UnusableInput

    for outputs in (Order(ALL | {OutputPart.FILM}), Order(ALL, recording=tmp_path / "a.mp3")):
        with pytest.raises(UnusableInput, match="neither a film nor one recording"):
            CourseOrder(tmp_path, (), outputs=outputs)


# -- themes ------------------------------------------------------------------------------------------------------


def test_the_theme_named_counts_before_the_one_beside_before_the_own(tmp_path: Path, home: Path) -> None:
    talk, own, named = tmp_path / "a.md", home / OWN_THEME_FILE, tmp_path / "named.toml"
    assert find_theme(talk, own) is PLAIN
    own.write_text('trainer = "Own"\n')
    assert find_theme(talk, own).trainer == "Own"
    (tmp_path / THEME_FILE).write_text('trainer = "Beside"\n')
    assert [find_theme(place, own).trainer for place in (talk, tmp_path)] == ["Beside", "Beside"]
    named.write_text('trainer = "Named"\n')
    assert find_theme(talk, own, named).trainer == "Named"


def test_the_demo_takes_nothing_of_the_user_s(home: Path, tmp_path: Path) -> None:
    before = run("demo", "-o", tmp_path / "a").stdout
    (home / "settings.toml").write_text('[check]\noff = ["structure"]\n', encoding="utf-8")
    assert run("demo", "-o", tmp_path / "a").stdout == before
    assert linewright.demo.TALK == "talk.md"
