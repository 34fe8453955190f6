"""Talks that give their pupil several moves, show a mistake, or rest on games that time has passed by."""

from __future__ import annotations

import json
import shutil
from pathlib import Path
from typing import Any

import pytest

from linewright.games.api import add_games
from tests.games.games import pgn
from tests.plan.test_commands import FRENCH, TALK, folder, from_json, made, run, text_of  # noqa: F401

TWO_WAYS = TALK + "\n{back: A} 3...Bb4 4.exd5 exd5 5.Bd3\n"


@pytest.fixture
def two_ways(folder: Path) -> Path:  # noqa: F811
    (folder / "two.md").write_text(TWO_WAYS)
    return folder


def at(found: Any, move: int) -> float:
    return float(next(row["part"] for row in found["reached"] if row["move"] == move))


def test_a_choice_is_named_and_either_can_be_counted(two_ways: Path) -> None:
    """24 games went 4.e5, 20 went 4.exd5: each side of the choice goes on in all of its own games."""
    (first,) = from_json("plan", "two.md")["talks"]
    (choice,) = first["choices"]
    assert choice["moves"] == ["e5", "exd5"] and not first["either"]
    assert choice["chance"] == pytest.approx(44 / 99.5)
    (other,) = from_json("plan", "two.md", "--follow", "4.exd5")["talks"]
    (either,) = from_json("plan", "two.md", "--follow", "either")["talks"]
    assert other["choices"][0]["moves"] == ["exd5", "e5"] and either["either"]
    assert choice["inside"] == pytest.approx([at(first, choice["move"]), at(other, choice["move"])])
    for move in (4, 5):
        assert at(either, move) == pytest.approx((at(first, move) + at(other, move)) / 2)
    told = run("plan", "two.md").stdout
    assert "4.e5 or 4.exd5 after 1.e4 e6 2.d4 d5 3.Nc3 Bb4" in told and "counted here: 4.e5;" in told
    assert "counted here: each as often" in run("plan", "two.md", "--follow", "either").stdout
    run("plan", "two.md", "--page", "two.html")
    assert "4.e5 or 4.exd5" in (two_ways / "two.html").read_text()
    planned = from_json("plan", "two.md", "--minutes", "5", "--follow", "exd5")
    assert "4.exd5 or 4.e5: planned with 4.exd5" in planned["note"]


def test_a_move_that_is_no_choice_is_refused(two_ways: Path) -> None:
    result = run("plan", "two.md", "--follow", "4.a3")
    assert result.exit_code == 2 and "It gives: 4.e5 or 4.exd5" in result.output
    assert run("plan", "two.md", "french.md", "--follow", "exd5").exit_code == 2
    assert "--follow" not in run("plan", "french.md").stdout


def test_what_a_talk_shows_as_a_mistake_is_nobodys_choice(folder: Path) -> None:  # noqa: F811
    (folder / "wrong.md").write_text(TALK + "\n{back: A} 3...Bb4 4.exd5? exd5 5.Bd3\n")
    (found,) = from_json("plan", "wrong.md")["talks"]
    assert not found["choices"]
    # A pupil who plays it has left the lesson, which has the answer.
    (folder / "club.pgn").write_text(pgn(FRENCH + "3. Nc3 Bb4 4. exd5 exd5 5. Bd3", "0-1", White="Cedar, Cy"))
    left = from_json("pupils", "check", "club.pgn", "--lesson", "wrong.md")["left"]
    assert [(row["who"], row["played"], row["taught"]) for row in left] == [("the pupil", "exd5", ["e5"])]


@pytest.mark.parametrize("talk", ["silent.md", "nothing.md"])
def test_one_talk_that_cant_be_used_stops_no_other(folder: Path, talk: str) -> None:  # noqa: F811
    """One doesn't say whose lesson it is, the other tells no move."""
    (folder / "silent.md").write_text("# Silent\n\n1.e4 e6 2.d4 d5 {here: A} 3.Nc3\n\n{back: A} 3.Nd2\n")
    (folder / "nothing.md").write_text("# Nothing\n\nGood evening.\n")
    (folder / "club.pgn").write_text(pgn(FRENCH + "3. Nc3 Nf6 4. e5 Nfd7 5. f4", "1-0", White="Cedar, Cy"))
    words = ("pupils", "check", "club.pgn", "--lesson", talk, "--lesson", "french.md")
    result = run(*words)
    assert result.exit_code == 1 and "Cedar, Cy: 1 game" in result.stdout
    assert f"left out: {talk}" in result.stderr
    (reason,) = json.loads(run(*words, "--json").stdout)["left_out"]
    assert talk in reason
    result = run("plan", talk, "french.md")
    assert result.exit_code == 1 and "The French for juniors" in result.stdout and talk in result.stderr
    assert run("pupils", "check", "club.pgn", "--lesson", talk).exit_code == 2


def test_newer_games_that_say_something_else_are_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """800 games of 2000 to 2005 chose what the talk shows, 300 of 2020 did not."""
    monkeypatch.setenv("LINEWRIGHT_HOME", str(tmp_path))
    monkeypatch.chdir(tmp_path)
    old = ((FRENCH + "3. Nc3 Nf6 4. e5", "1-0", 400), (FRENCH + "3. Nc3 Bb4 4. e5", "1-0", 400))
    new = ((FRENCH + "3. Nc3 dxe4 4. Nxe4", "1-0", 200), (FRENCH + "3. Nc3 Bb4 4. e5", "0-1", 100))
    (tmp_path / "games.pgn").write_text(text_of(old).replace("2020", "2003") + text_of(new))
    add_games(tmp_path / "games.duckdb", [tmp_path / "games.pgn"])
    (tmp_path / "french.md").write_text(TALK)
    (found,) = from_json("plan", "french.md")["talks"]
    assert found["lately"]["since"] == 2020 and found["lately"]["games"] == 300
    assert found["lately"]["reached"][0]["part"] == pytest.approx(100 / 300.5)
    assert found["reached"][0]["part"] == pytest.approx(900 / 1100.5)
    assert "By the newest 300 games alone, those since 2020" in run("plan", "french.md").stdout
    shutil.copy("french.md", "again.md")
    (same,) = from_json("plan", "again.md", "--years", "2020-")["talks"]
    assert same["lately"] is None
