"""The commands where the user has no base: the starter table is asked, and they say so."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from linewright.claims.check import check_walk
from linewright.cli.main import app
from linewright.games.api import StarterTable, add_games
from linewright.lesson.finding import Finding, Kind, Verdict
from linewright.reading.reader import read_talk
from linewright.talk.load import load_text

TALK = """# The Tarrasch

We start with e4, e6, d4, d5, and now knight d2. Nearly everybody answers c5. We take, e takes d5, and most people
take back with the e pawn, e takes d5. Knight g f3, knight c6, bishop b5, bishop d6. That is by far the main move.
"""
#: A position that no two games of the table reach: after 1.h3 a6 2.Rh2 Ra7 3.Rh1 Ra8 4.a3.
ODD = "{start: rnbqkbnr/1ppppppp/p7/8/8/P6P/1PPPPPP1/RNBQKBNR b KQkq - 0 4}\n\nNearly everybody plays h6 here, h6.\n"


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("LINEWRIGHT_HOME", str(tmp_path / "home"))
    monkeypatch.chdir(tmp_path)
    (tmp_path / "talk.md").write_text(TALK)
    return tmp_path / "home"


def run(*args: str) -> Result:
    result = CliRunner().invoke(app, list(args))
    assert result.exception is None or isinstance(result.exception, SystemExit), result.exception
    return result


def findings(text: str, kind: Kind) -> list[Finding]:
    table = StarterTable.load()
    return [f for f in check_walk(read_talk(load_text(text, None, "talk.md"), table), table) if f.kind is kind]


@pytest.mark.parametrize(
    "command",
    [
        "read talk.md",
        "check talk.md --no-engine",
        "build talk.md -o out",
        "plan talk.md --as white",
        "plan --from e4,e6,d4,d5 --as white --minutes 7 --outline outline.md",
        "drills talk.md",
        "news talk.md",
        "base replies e4 e6",
    ],
)
def test_one_line_says_where_it_was_counted_and_what_to_do(command: str) -> None:
    result = run(*(part.replace(",", " ") for part in command.split()))
    assert result.exit_code in (0, 1), result.stderr
    told = [line for line in result.stderr.splitlines() if "starter table" in line]
    assert len(told) == 1
    assert told[0].startswith("linewright: counted from the starter table of 167,") and "linewright base add" in told[0]
    assert result.stdout


def test_moves_are_read_surely() -> None:
    moves = json.loads(run("read", "talk.md", "--json").stdout)["moves"]
    assert [move["san"] for move in moves[:5]] == ["e4", "e6", "d4", "d5", "Nd2"]
    assert sum(move["sure"] >= 0.9 for move in moves) > len(moves) / 2


def test_shares_are_said_to_be_the_tables() -> None:
    found = findings(TALK, Kind.FREQUENCY)
    assert {f.verdict for f in found} <= {Verdict.HOLDS, Verdict.FAILS} and len(found) >= 2
    assert all(" games in the starter table (" in f.evidence for f in found)


def test_where_the_table_is_silent_nothing_is_decided() -> None:
    (found,) = findings(ODD, Kind.FREQUENCY)
    assert found.verdict is Verdict.UNDECIDED
    assert "starter table doesn't hold this position" in found.evidence and "base add" in found.evidence


def test_a_quoted_game_is_not_looked_for_in_counts() -> None:
    surely_read = TALK.partition(" We take")[0]
    text = f"{surely_read}\n\nMarlow against Tessen, Harbour Open 2016, went this way, and Black resigned soon.\n"
    (found,) = findings(text, Kind.QUOTE)
    assert found.verdict is Verdict.UNDECIDED
    assert "no games base" in found.evidence and "base add" in found.evidence


@pytest.mark.parametrize("command", ["base games e4", "base find white,isolated,d-pawn", "base quote Marlow 2016"])
def test_what_needs_games_says_so(command: str) -> None:
    result = run(*(part.replace(",", " ") for part in command.split()))
    assert result.exit_code == 2
    (line,) = result.stderr.splitlines()
    assert "counts, not games" in line and "linewright base add" in line


@pytest.mark.parametrize(
    "command",
    [
        "plan --from e4 --as white --years 2010-",
        "plan --from h3,a6,Rh2 --as black",
        "base replies e4 --player Amber",
        "base replies h3 a6 Rh2 Ra7",
    ],
)
def test_what_the_table_cannot_count_is_refused(command: str) -> None:
    result = run(*(part.replace(",", " ") for part in command.split()))
    assert result.exit_code == 2
    line = result.stderr.splitlines()[-1]
    assert "the starter table" in line and "linewright base add" in line


def test_ratings_are_counted_by_bands_and_the_note_says_which() -> None:
    planned = json.loads(
        run("plan", "--from", "e4 e6 d4 d5", "--as", "white", "--ratings", "1400-1800", "--json").stdout
    )
    everybody = json.loads(run("plan", "--from", "e4 e6 d4 d5", "--as", "white", "--json").stdout)
    assert 60 <= planned["games"] < everybody["games"]
    assert "average under 2400 were counted" in planned["note"] and "1400–1800" in planned["note"]
    rare = json.loads(run("plan", "--from", "g4 d5", "--as", "black", "--ratings", "2600-", "--json").stdout)
    assert "too few" in rare["note"]


def test_the_users_base_wins_from_the_next_command_on(home: Path, tmp_path: Path) -> None:
    assert run("news", "talk.md").exit_code == 0
    (tmp_path / "g.pgn").write_text('[Event "Club evening"]\n[Result "1-0"]\n\n1. e4 e6 2. d4 d5 3. Nd2 c5 1-0\n')
    add_games(home / "games.duckdb", [tmp_path / "g.pgn"])
    assert "starter table" not in run("read", "talk.md").stderr
    later = run("news", "talk.md")
    assert "from the starter table last time, from your base now" in later.stderr
    assert "new to the base" not in later.stdout
    assert "last time" not in run("news", "talk.md").stderr


def test_a_base_that_is_named_must_be_there() -> None:
    result = run("read", "talk.md", "--base", "none.duckdb")
    assert result.exit_code == 2 and "there is no games base at none.duckdb" in result.stderr
