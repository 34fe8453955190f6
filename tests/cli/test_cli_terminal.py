"""What a reader sees in a terminal of 80 columns, through a real one (a pty), against what a program gets."""

from __future__ import annotations

import fcntl
import os
import pty
import re
import struct
import subprocess
import sys
import termios
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

import linewright.demo
from linewright.cli.terminal.progress import spoken, time_left
from linewright.cli.terminal.text import fold, without_fen
from linewright.games.api import add_games

COLUMNS = 80
TALK = (
    "E4, e6, d4, d5. Black has an isolated pawn on e6. Knight d2, c5. Back to knight d2, and knight f6. "
    "Queen takes h7. Nearly everybody who has ever read one of the old handbooks plays e5 in this position.\n"
)
CAPTIONS = (
    "WEBVTT\n\n00:01:05.000 --> 00:01:09.000\ne4, e6, d4, d5\n\n"
    "01:02:03.000 --> 01:02:09.000\nBlack has an isolated pawn on e6.\n"
)


def terminal(home: Path, *words: object) -> tuple[str, int]:
    """What a command prints on a terminal, without colours and bars, and its exit code."""
    pid, fd = pty.fork()
    if pid == 0:  # the child; it never comes back
        os.environ.update(TERM="xterm-256color", LINEWRIGHT_HOME=str(home))
        for name in ("COLUMNS", "LINES", "NO_COLOR"):
            os.environ.pop(name, None)
        os.execv(sys.executable, [sys.executable, "-m", "linewright", *map(str, words)])
    fcntl.ioctl(fd, termios.TIOCSWINSZ, struct.pack("HHHH", 40, COLUMNS, 0, 0))
    out = b""
    while True:
        try:
            part = os.read(fd, 65536)
        except OSError:  # Linux: the terminal's other end is closed
            break
        if not part:
            break
        out += part
    os.close(fd)
    code = os.waitstatus_to_exitcode(os.waitpid(pid, 0)[1])
    text = re.sub(r"\x1b\[[0-9;?]*[A-Za-z]", "", out.decode()).replace("\r\n", "\n")
    return "\n".join(line.rpartition("\r")[2] for line in text.split("\n") if "━" not in line), code


@pytest.fixture(scope="module")
def home(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A home with the demo's games."""
    folder = tmp_path_factory.mktemp("home")
    add_games(folder / "games.duckdb", [Path(linewright.demo.__file__).with_name("games.pgn")])
    return folder


@pytest.fixture
def talk(tmp_path: Path) -> Path:
    path = tmp_path / "talk.md"
    path.write_text(TALK)
    return path


def test_check_folds_and_draws_a_board(home: Path, talk: Path) -> None:
    out, code = terminal(home, "check", talk, "--no-engine")
    assert code == 1
    assert max(map(len, out.splitlines())) <= COLUMNS
    assert re.search(r"^1:\d+ +“", out, re.M), "typed talks are placed by line:column and words"
    assert "structure fails: " in out and f"{talk}:1:" not in out
    assert not re.search(r"(?:[pnbrqkPNBRQK1-8]+/){7}", out), "a board instead of a FEN"
    assert re.search(r"^ +8 .*\n +7 ", out, re.M) and "a b c d e f g h" in out


def test_captions_are_placed_by_their_times(home: Path, tmp_path: Path) -> None:
    path = tmp_path / "talk.vtt"
    path.write_text(CAPTIONS)
    out, _ = terminal(home, "check", path, "--no-engine")
    assert re.search(r"^1:02:03 +“Black has an isolated pawn on e6.”$", out, re.M)


@pytest.mark.parametrize(
    "words",
    [
        ["base", "replies", "e4", "e6", "--more"],
        ["base", "games", "e4", "e6", "--model"],
        ["base", "find", "queens off"],
        ["base", "info"],
        ["plan", "--from", "1.e4 e6", "--as", "white", "--minutes", "3"],
    ],
    ids=" ".join,
)
def test_nothing_is_wider_than_the_terminal(home: Path, words: list[str]) -> None:
    out, code = terminal(home, *words)
    assert code == 0, out
    long = [line for line in out.splitlines() if len(line) > COLUMNS and " " in line.strip()]
    assert not long, long


def test_messages_fold_too(home: Path, tmp_path: Path) -> None:
    out, code = terminal(home, "read", tmp_path / ("a-very-long-name-" * 3 + ".md"))
    assert code == 2 and out.startswith("linewright:")
    assert all(len(line) <= COLUMNS or " " not in line.strip() for line in out.splitlines())


@given(st.text(alphabet="ab %5-", max_size=200), st.integers(10, 100), st.integers(0, 20))
def test_folding_loses_no_word_and_cuts_none(line: str, columns: int, indent: int) -> None:
    rows = fold(line, columns, indent)
    assert " ".join(rows).split() == line.split()
    assert all(len(row) <= columns or len(row.split()) <= 2 for row in rows), rows


def test_a_per_cent_sign_stays_with_its_number() -> None:
    assert fold("played in 36 % of games", 12, 0) == ["played in", "36 % of", "games"]


def test_evidence_without_its_position() -> None:
    fen = "8/8/8/8/8/8/8/K1k5 w - - 0 1"
    assert without_fen(f"no knight can reach h7: position {fen}") == ("no knight can reach h7", fen)
    assert without_fen("black e6 has f7 beside it") == ("black e6 has f7 beside it", None)


@pytest.mark.parametrize(
    ("spent", "part", "usual", "later", "left"),
    [
        (0.0, 0.0, 4.0, 6.0, 10.0),  # nothing seen yet: what is usual
        (2.0, 0.5, 10.0, 0.0, 2.0),  # half took two seconds
        (2.0, 0.5, 1.0, 3.0, 5.0),
        (9.0, 0.0, 4.0, 0.0, None),  # longer than usual: no promise
        (1.0, 0.9, 4.0, 0.0, None),  # under a second
    ],
)
def test_time_left(spent: float, part: float, usual: float, later: float, left: float | None) -> None:
    assert time_left(spent, part, usual, later) == pytest.approx(left)


@pytest.mark.parametrize(
    ("seconds", "said"), [(0.4, "0 s"), (59.6, "60 s"), (100, "2 min"), (3540, "59 min"), (4800, "1 h 20 min")]
)
def test_seconds_as_people_say_them(seconds: float, said: str) -> None:
    assert spoken(seconds) == said


def test_programs_see_no_bar(home: Path, talk: Path) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "linewright", "check", str(talk), "--no-engine"],
        capture_output=True,
        text=True,
        env=os.environ | {"LINEWRIGHT_HOME": str(home)},
    )
    assert "━" not in done.stdout + done.stderr and "\x1b" not in done.stdout + done.stderr
    assert f"{talk}:1:" in done.stdout
