"""The commands: what they print, and their exit codes."""

from __future__ import annotations

import json
from pathlib import Path

import chess
import pytest
import typer
from hypothesis import given
from hypothesis import strategies as st
from typer.testing import CliRunner

from linewright.cli.base import commands as cli_base
from linewright.cli.base.commands import app, report_lines
from linewright.cli.base.query_text import SCALE_WIDTH, reply_lines, scale
from linewright.games.api import AddReport, Reply, SkippedGame, StudiedReply, Study, Trend, parse_position
from linewright.games.report.trend import proportion
from linewright.support.errors import UnusableInput
from tests.games.games import moves_to, pgn

GAMES = (
    pgn(
        "1. e4 c6 2. d4 d5 3. e5",
        "1-0",
        White="Amber, Ada",
        WhiteElo="2100",
        BlackElo="2050",
        Date="2019.03.01",
    )
    + pgn("1. e4 c6 2. d4 d5 3. Nc3", "0-1", White="Cedar, Cy", WhiteElo="2300", BlackElo="2250")
    + pgn("1. e4 c6 2. Ke3", "1-0")
)


@pytest.fixture(scope="module")
def base(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("cli")
    (folder / "g.pgn").write_text(GAMES)
    result = CliRunner().invoke(app, ["add", str(folder / "g.pgn"), "--base", str(folder / "b.duckdb")])
    assert result.exit_code == 0, result.output
    assert "2 games added" in result.stdout
    assert f"{folder / 'g.pgn'}:21: 2.Ke3 is not legal there" in result.stderr
    return folder / "b.duckdb"


def run(*words: str, code: int = 0) -> str:
    result = CliRunner().invoke(app, list(words))
    assert result.exit_code == code, result.output
    assert isinstance(result.exception, SystemExit | None)
    return result.stdout if code == 0 else result.stderr


def test_replies(base: Path) -> None:
    out = run("replies", "1.e4", "c6", "2.d4", "d5", "--base", str(base))
    lines = out.splitlines()
    assert lines[0] == moves_to("e4 c6 d4 d5").fen()
    assert lines[1] == "White to move, 2 games"
    assert lines[4].split()[:4] == ["Nc3", "1", "1", "of"]  # few games: no share without an interval
    assert "├" in lines[5] and "●" in lines[5] and lines[5].rstrip().endswith("2100  2019")
    assert lines[5].split()[-3] == "+43"  # points over what the ratings let expect
    assert max(map(len, lines)) <= 110 and len(lines[5]) <= 80
    assert any(line.startswith("Few games") for line in lines)


def test_replies_tell_more_and_count_what_is_asked(base: Path) -> None:
    out = run(
        "replies", "e4", "c6", "d4", "d5", "--more", "--years", "2019", "--player", "Ada Amber", "--base", str(base)
    )
    assert "White to move, 1 game (years 2019, Ada Amber)" in out
    assert "first   2019.03.01 Amber, Ada (Amber, Ada – Birch, Bo, Club evening)" in out
    assert "trend   unclear: 2019 1 of 1" in out
    assert "1.e4 c6 2.d4 d5" in out


def test_the_position_may_be_a_pgns_last(base: Path, tmp_path: Path) -> None:
    (tmp_path / "line.pgn").write_text("1. e4 c6 {the Caro-Kann} (1... e5) 2. d4 d5 *\n")
    out = run("replies", "--pgn", str(tmp_path / "line.pgn"), "--base", str(base))
    assert "2 games" in out
    (tmp_path / "empty.pgn").write_text("")
    assert "holds no game" in run("replies", "--pgn", str(tmp_path / "empty.pgn"), "--base", str(base), code=2)
    (tmp_path / "bad.pgn").write_text("1. e4 c6 2. Ke3 *")
    assert "can't be played through" in run("games", "--pgn", str(tmp_path / "bad.pgn"), "--base", str(base), code=2)
    both = run("games", "--pgn", "x.pgn", "--fen", chess.STARTING_FEN, "--base", str(base), code=2)
    assert "--fen and --pgn each give a position" in both


def test_replies_as_json(base: Path) -> None:
    answer = json.loads(run("replies", "e2e4", "c7c6", "--json", "--base", str(base)))
    (reply,) = answer["replies"]
    assert (answer["total"], reply["san"], reply["games"], reply["score"]) == (2, "d4", 2, 0.5)


def test_games(base: Path) -> None:
    out = run("games", "--order", "strongest", "--fen", moves_to("e4 c6 d4").fen(), "--base", str(base))
    assert out.index("Cedar, Cy (2300) – Birch, Bo (2250)  0-1") < out.index("Amber, Ada (2100)")
    assert "2...d5 3.Nc3" in out
    assert "no game in the base reached" in run("games", "a3", "--base", str(base))
    answer = json.loads(run("games", "e4", "--limit", "1", "--json", "--base", str(base)))
    assert [game["white"] for game in answer["games"]] == ["Cedar, Cy"]


def test_model_games(base: Path) -> None:
    out = run("games", "--model", "--side", "black", "e4", "c6", "--base", str(base))
    assert out.index("Cedar, Cy") < out.index("Amber, Ada")
    assert "Black wins in 3 moves" in out
    answer = json.loads(run("games", "--model", "e4", "--limit", "1", "--json", "--base", str(base)))
    assert answer["games"][0]["merits"]["total"] > 0


def test_find(base: Path) -> None:
    out = run("find", "pawns on d4 and e5", "--base", str(base))
    assert "1 of 2 games shows: pawns on d4 and e5" in out
    assert "White, 1 position; then it ended there" in out
    assert "none of 2 games shows" in run("find", "queens off", "e4", "c6", "--base", str(base))
    answer = json.loads(run("find", "black pawn on c6", "--json", "--base", str(base)))
    assert (answer["part"]["games"], answer["games"][0]["side"]) == (2, "black")
    assert "hanging pawns" in run("find", "help")
    assert '"nice" is not understood' in run("find", "nice", "--base", str(base), code=2)


def test_quote(base: Path) -> None:
    out = run("quote", "Sedar against Burch, 1.e4 c6 2.d4 d5 3.Nc3, resigned", "--base", str(base))
    assert "Cedar, Cy (2300)" in out and "you said “Sedar”, the player is Cedar, Cy" in out
    answer = json.loads(run("quote", "e4 c6 d4 d5 e5", "--json", "--base", str(base)))
    assert answer["fits"] and answer["candidates"][0]["game"]["white"] == "Amber, Ada"
    far = CliRunner().invoke(app, ["quote", "Zyx, h4 g5 Rh3 Nh6", "--base", str(base)])
    assert far.exit_code == 1 and "no game in the base fits; the nearest:" in far.stdout
    assert "too little" in run("quote", "a lovely game", "--base", str(base), code=2)


def test_info(base: Path) -> None:
    assert "games      2, 2 of them with both ratings" in run("info", "--base", str(base))
    assert json.loads(run("info", "--json", "--base", str(base)))["games"] == 2


def test_the_home_folder_holds_the_base(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("LINEWRIGHT_HOME", str(tmp_path / "home"))
    (tmp_path / "g.pgn").write_text(GAMES)
    answer = json.loads(run("add", str(tmp_path / "g.pgn"), "--json"))
    assert (answer["added"], answer["skipped_count"], answer["skipped"][0]["line"]) == (2, 1, 21)
    assert answer["base"] == str(tmp_path / "home" / "games.duckdb")


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (["replies", "--base", "none.duckdb"], "there is no games base"),
        (["info", "--base", "none.duckdb"], "there is no games base"),
        (["games", "--fen", "8/8 w"], '"8/8 w" is not a valid FEN'),
        (["replies", "--fen", "8/8/8/8/8/8/8/8 w - - 0 1"], "impossible position: no white king"),
        (["replies", "e4", "e6", "Qxh7"], 'the move "Qxh7" can\'t be played in rnbqkbnr'),
        (["replies", "e4", "d5", "Ng9"], 'the move "Ng9" can\'t be played'),
        (["replies", "Nf3", "a6", "Nc3", "a5", "Nd4", "a4", "Nb5"], 'the move "Nb5" is ambiguous'),
        (["add", "none.pgn", "--base", "b.duckdb"], "no such file: none.pgn"),
    ],
)
def test_unusable_input_is_one_line_and_code_2(
    words: list[str], message: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    errors = run(*words, code=2)
    assert message in errors
    assert errors.count("\n") == 1


def test_ctrl_c_says_that_the_base_is_whole(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def stop(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(cli_base, "add_games", stop)
    assert "Add the same files again" in run("add", "g.pgn", "--base", str(tmp_path / "b"), code=130)


@pytest.mark.parametrize("command", ["add", "info", "replies", "games", "find", "quote"])
def test_help_gives_an_example(command: str) -> None:
    assert f"Example:\n  linewright base {command}" in run(command, "--help")


def test_the_sub_app_can_be_mounted() -> None:
    main = typer.Typer()
    main.add_typer(app)
    assert CliRunner().invoke(main, ["base", "replies", "--help"]).exit_code in (0, 2)


@given(st.lists(st.floats(0, 1), min_size=3, max_size=3).map(sorted))
def test_scale_keeps_order_and_width(parts: list[float]) -> None:
    drawn = scale(parts[1], parts[0], parts[2])
    assert len(drawn) == SCALE_WIDTH
    assert drawn.count("●") == 1
    assert drawn[SCALE_WIDTH // 2] != " "
    assert drawn.index("●") == round(parts[1] * (SCALE_WIDTH - 1))


def test_scale() -> None:
    assert scale(0.5, 0.3, 0.8) == "      ├───●─────┤    "
    assert scale(None, 0, 1) == "          ┊          "


def test_a_reply_without_results_shows_no_score() -> None:
    reply = Reply("e2e4", "e4", 3, 1.0, 0.5, 0.0, 1.0, None, None, 0)
    studied = StudiedReply(reply, proportion(3, 3), None, Trend((), "unclear"), (), None)
    line = reply_lines(Study(chess.STARTING_FEN, "", 3, 0, (studied,), (), (), 1), more=False)[4]
    assert "●" not in line and "no result" in line


def test_a_long_list_of_skipped_games_says_how_many_more() -> None:
    skipped = tuple(SkippedGame("g.pgn", line, "broken") for line in (1, 9))
    assert report_lines(AddReport(0, 0, skipped, 12, 1.0)) == [
        "g.pgn:1: broken",
        "g.pgn:9: broken",
        "… and 10 more",
    ]


MOVES = [
    ("1.e4 e5 2.Nf3! Nc6?! 3.Bb5 1/2-1/2", "e4 e5 Nf3 Nc6 Bb5"),
    ("e2e4 e7e5 g1f3", "e4 e5 Nf3"),
    ("1. e4 e5 2. Nf3 Nc6 3. Bc4 Bc5 4. 0-0", "e4 e5 Nf3 Nc6 Bc4 Bc5 O-O"),
    ("1 e4 1... e5", "e4 e5"),
    ("", ""),
]


@pytest.mark.parametrize(("written", "plain"), MOVES)
def test_moves_as_people_write_them(written: str, plain: str) -> None:
    assert parse_position(None, written) == moves_to(plain)


@given(st.text(max_size=30), st.text(max_size=60))
def test_no_position_is_too_bad(moves: str, fen: str) -> None:
    for text in (None, fen):
        try:
            parse_position(text, moves)
        except UnusableInput as error:
            assert error.todo
