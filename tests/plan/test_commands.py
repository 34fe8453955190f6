"""The commands on a small base of invented games: plan, outline, coverage, news, pupils' games."""

from __future__ import annotations

import csv
import io
import json
import shutil
from pathlib import Path
from typing import Any

import chess
import html5lib
import pytest
from typer.testing import CliRunner, Result

from linewright.cli.main import app
from linewright.games.api import add_games
from linewright.plan.lesson_index import RATE
from linewright.publish import timing
from tests.games.games import pgn

FRENCH = "1. e4 e6 2. d4 d5 "
#: Moves, result, and in how many games.
GAMES = (
    (FRENCH + "3. Nc3 Nf6 4. e5 Nfd7 5. f4 c5", "1-0", 30),
    (FRENCH + "3. Nc3 Bb4 4. e5 c5 5. a3 Bxc3+ 6. bxc3", "1-0", 24),
    (FRENCH + "3. Nc3 Bb4 4. exd5 exd5 5. Bd3", "0-1", 20),
    (FRENCH + "3. Nc3 dxe4 4. Nxe4 Nd7 5. Nf3", "1/2-1/2", 14),
    ("1. d4 e6 2. e4 d5 3. Nc3 dxe4 4. Nxe4 Bd7", "1/2-1/2", 11),
)
TALK = """\
# The French for juniors

{side: white}

1.e4 e6 2.d4 d5 3.Nc3 {here: A} Nf6 4.e5 Nfd7 5.f4

{back: A} 3...Bb4 4.e5 c5 5.a3
"""
RATED = {"WhiteElo": "2400", "BlackElo": "2400"}


def text_of(games: tuple[tuple[str, str, int], ...], day: int = 1) -> str:
    rows = [(moves, result) for moves, result, many in games for _ in range(many)]
    return "".join(
        pgn(moves, result, White=f"Amber, A{n}", Black=f"Birch, B{n}", Date=f"2020.{day:02d}.{1 + n % 28:02d}", **RATED)
        for n, (moves, result) in enumerate(rows)
    )


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("plan")
    (folder / "games.pgn").write_text(text_of(GAMES))
    add_games(folder / "games.duckdb", [folder / "games.pgn"])
    return folder


@pytest.fixture
def folder(made: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    shutil.copy(made / "games.duckdb", tmp_path / "games.duckdb")
    (tmp_path / "french.md").write_text(TALK)
    monkeypatch.setenv("LINEWRIGHT_HOME", str(tmp_path))
    monkeypatch.chdir(tmp_path)
    return tmp_path


def run(*words: str) -> Result:
    return CliRunner().invoke(app, list(words), catch_exceptions=False)


def from_json(*words: str) -> Any:
    return json.loads(run(*words, "--json").stdout)


def test_a_plan_tells_replies_by_how_often_they_come(folder: Path) -> None:
    plan = from_json("plan", "--from", "1.e4 e6 2.d4 d5", "--as", "white", "--minutes", "3")
    assert plan["games"] == 99 and plan["opening"] == "Nc3"
    first = {row["reply"]: row for row in plan["replies"] if row["parent"] == -1}
    assert {move: round(99 * row["share"]) for move, row in first.items()} == {"Bb4": 44, "Nf6": 30, "dxe4": 25}
    # 4.e5 won all its 24 games, 4.exd5 lost its 20: who doesn't know it loses.
    assert first["Bb4"]["answer"] == "e5" and first["Bb4"]["loss"] > 0.2
    assert first["Nf6"]["loss"] == 0
    assert plan["worth"] >= plan["greedy"] > 0


def test_a_short_talk_tells_what_is_worth_most(folder: Path) -> None:
    """Half a minute is greeting and goodbye; six seconds are left for one reply: the one that costs points."""
    plan = from_json("plan", "--from", "1.e4 e6 2.d4 d5", "--as", "white", "--minutes", "1")
    assert plan["seconds"] <= 60
    assert plan["lines"][0]["moves"][0] == "Bb4"
    told = run("plan", "--from", "1.e4 e6 2.d4 d5", "--as", "white", "--minutes", "1").stdout
    assert "not knowing 4.e5 costs" in told and "For another talk" in told


def test_an_outline_reads_back_as_the_plan(folder: Path) -> None:
    words = ("plan", "--from", "1.e4 e6 2.d4 d5", "--as", "white", "--minutes", "5", "--outline", "talk.md")
    plan = from_json(*words)
    reading = json.loads(run("read", "talk.md", "--json").stdout)
    assert reading["side"] == "white" and not reading["unread"]
    lines: list[list[str]] = [[]]
    before = chess.STARTING_FEN
    for move in reading["moves"]:
        if chess.Board(move["before"]).epd() != chess.Board(before).epd():
            lines.append([])
        lines[-1].append(move["san"])
        before = move["after"]
    assert lines[0][:5] == ["e4", "e6", "d4", "d5", "Nc3"]
    lines[0] = lines[0][5:]
    assert lines == [line["moves"] for line in plan["lines"]] and len(lines) > 1
    assert "<!-- model game:" in (folder / "talk.md").read_text()


def test_too_few_games_of_a_band_are_said(folder: Path) -> None:
    told = run("plan", "--from", "1.e4 e6", "--as", "white", "--minutes", "3", "--ratings", "1400-1800").stdout
    assert "no game here is of players both rated 1400–1800" in told and "whatever the ratings" in told
    assert "Note" not in run("plan", "--from", "1.e4 e6", "--as", "white", "--ratings", "2300-2500").stdout


def test_coverage_names_the_hole_and_its_size(folder: Path) -> None:
    (found,) = from_json("plan", "french.md")["talks"]
    assert found["games"] == 99 and found["line"][-1] == "Nc3"
    (hole,) = [row for row in found["holes"] if row["reply"] == "dxe4"]
    assert hole["chance"] == pytest.approx(25 / 99) and hole["answer"] == "Nxe4"
    assert found["reached"][0]["move"] == 3
    assert found["reached"][0]["part"] == pytest.approx(74 / 99.5)  # half a game more for what isn't told
    assert 0.6 < found["reached"][0]["low"] < 74 / 99.5 < found["reached"][0]["high"] < 0.85
    assert "3...dxe4 after 1.e4 e6 2.d4 d5 3.Nc3: 25 % of games" in run("plan", "french.md").stdout


def test_tables_and_pages_can_be_read_elsewhere(folder: Path) -> None:
    run("plan", "french.md", "--csv", "cover.csv", "--page", "cover.html")
    rows = list(csv.DictReader(io.StringIO((folder / "cover.csv").read_text())))
    assert {row["what"] for row in rows} == {"line", "hole"}
    run("plan", "--from", "e4 e6", "--as", "white", "--csv", "plan.csv", "--page", "plan.html")
    assert next(csv.DictReader(io.StringIO((folder / "plan.csv").read_text())))["chance"]
    for name in ("cover.html", "plan.html"):
        page = (folder / name).read_text()
        html5lib.HTMLParser(strict=True).parse(page)
        assert 'class="chance gap"' in page or name == "plan.html"
        assert "<script" not in page


def test_nothing_is_written_over(folder: Path) -> None:
    (folder / "mine.md").write_text("mine")
    words = ("plan", "--from", "e4 e6", "--as", "white", "--minutes", "3", "--outline", "mine.md")
    assert run(*words).exit_code == 2
    assert (folder / "mine.md").read_text() == "mine"
    assert run(*words, "--force").exit_code == 0


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("plan",), "nothing to plan"),
        (("plan", "--from", "e4"), "no side"),
        (("plan", "--from", "e4 Ke7", "--as", "white"), "Ke7"),
        (("plan", "french.md", "--outline", "x.md"), "--minutes"),
        (("pupils", "check", "none.pgn", "--lesson", "french.md"), "none.pgn"),
        (("news", "."), "no talk"),
    ],
)
def test_unusable_input_is_told(folder: Path, words: tuple[str, ...], told: str) -> None:
    if words == ("news", "."):
        (folder / "french.md").unlink()
    result = run(*words)
    assert result.exit_code == 2 and told in result.output


def test_talks_that_contradict_each_other(folder: Path) -> None:
    (folder / "other.md").write_text("# Another\n\n{side: white}\n\n1.d4 e6 2.e4 d5 3.Nc3 Bb4 4.exd5\n")
    (folder / "black.md").write_text("# For Black\n\n{side: black}\n\n1.e4 e6 2.d4 d5 3.Nc3 Bb4 4.e5 c5\n")
    together = from_json("plan", "french.md", "other.md", "black.md")["together"]
    (row,) = together["contradictions"]
    assert {row["move"], row["other_move"]} == {"e5", "exd5"}
    assert any(t["way"][:2] != t["other_way"][:2] for t in together["transpositions"])
    assert any(t["way"][-1] == "c5" for t in together["both_colours"])


def test_news_tells_what_came_and_only_once(folder: Path) -> None:
    assert run("news", "french.md").exit_code == 0  # the first time nothing can be new
    assert run("news", "french.md").exit_code == 0
    new = ((FRENCH + "3. Nc3 a6 4. Nf3", "0-1", 25), (FRENCH + "3. Nc3 Bb4 4. e5 b6", "0-1", 2))
    (folder / "new.pgn").write_text(text_of(new, day=2))
    add_games(folder / "games.duckdb", [folder / "new.pgn"])
    document = from_json("news", "french.md", "--keep")
    (one,) = document["talks"]
    sorts = {item["sort"]: item for item in one["items"]}
    assert one["added"] == 27 and set(sorts) == {"new move", "share shifted"}
    new_moves = [item["what"] for item in one["items"] if item["sort"] == "new move"]
    assert new_moves[0] == (
        "3...a6 is new to the base: 25 times in the games added, in none before; first by Birch, B0 against Amber, A0, "
        "Club evening 2020, last by Birch, B24 against Amber, A24, Club evening 2020; Black scored 25 of 25 with it"
    )
    assert [what.split()[0] for what in new_moves] == ["3...a6", "4...b6"]
    shift = [item["what"] for item in one["items"] if item["sort"] == "share shifted"]
    assert any(what.startswith("3...Nf6 has fallen from 30 % of 99 games to 0 % of 27") for what in shift)
    assert all("Holm" in what for what in shift)
    assert (folder / "french.md").read_text() == TALK
    digest = run("news", "french.md", "--digest")
    assert digest.exit_code == 1 and "3...a6" in digest.stdout
    assert run("news", "french.md").exit_code == 0  # told once


def test_news_of_a_damaged_memory_is_told_and_kept(folder: Path) -> None:
    (folder / "french.md.news").write_text("{")
    result = run("news", "french.md")
    assert result.exit_code == 2 and "french.md.news" in result.output
    assert (folder / "french.md.news").read_text() == "{"


def test_pupils_games_against_the_lesson(folder: Path) -> None:
    games = (
        pgn(FRENCH + "3. Nc3 Bb4 4. exd5 exd5", "0-1", White="Cedar, Cy", Black="Dogwood, Di")
        + pgn("1. d4 e6 2. e4 d5 3. Nc3 Nf6 4. e5 Ng8", "1-0", White="Cedar, Cy", Black="Elm, Eve")
        + pgn(FRENCH + "3. Nc3 Nf6 4. e5 Nfd7 5. f4 c5", "1-0", White="Fir, Flo", Black="Elm, Eve")
        + pgn("1. c4 e5", "1-0", White="Cedar, Cy", Black="Elm, Eve")
        + pgn("1. e4 e6 2. Ke3", "1-0")
    )
    (folder / "club.pgn").write_text(games)
    result = run("pupils", "check", "club.pgn", "--lesson", "french.md", "--json")
    found = json.loads(result.stdout)
    assert result.exit_code == 1
    assert found["games"] == 4 and found["outside"] == 1 and len(found["skipped"]) == 1
    by = [(row["who"], row["played"], row["pupil"], row["had_answer"]) for row in found["left"]]
    assert by == [
        ("the pupil", "exd5", "Cedar, Cy", True),
        ("the opponent", "Ng8", "Cedar, Cy", False),
        ("nobody", "c5", "Fir, Flo", False),
    ]
    # 4.e5 won all of its games of the base, 4.exd5 lost all.
    assert found["left"][0]["cost"] == 1.0
    told = run("pupils", "check", "club.pgn", "--lesson", "french.md", "--games").stdout
    assert "4.e5 (played: 4.exd5) after 1.e4 e6 2.d4 d5 3.Nc3 Bb4" in told
    assert "4...Ng8 is not in the lesson" in told
    only = json.loads(run("pupils", "check", "club.pgn", "--lesson", "french.md", "--pupil", "Fir", "--json").stdout)
    assert [row["pupil"] for row in only["left"]] == ["Fir, Flo"]


def test_the_rate_of_speech_is_the_films() -> None:
    assert RATE == timing.RATE
