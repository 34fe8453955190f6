"""Stopped for real, and two at once: separate processes, real signals."""

from __future__ import annotations

import random
import signal
import subprocess
import sys
import time
from pathlib import Path

import duckdb
import pytest

from linewright.base import Base
from linewright.base.adding import add
from linewright.base.work import work_of
from linewright.errors import UnusableInput
from tests.base.games import moves_to, pgn

#: Games per file and positions per batch of the adding process: some fifteen batches.
GAMES, BATCH = 3000, 2500

LINE = "e4 e5 Nf3 Nc6 Bb5 a6 Ba4 Nf6 O-O Be7"

#: Adds with small batches and says on each step how far it is.
ADDER = f"""
import sys
from pathlib import Path
from linewright.base import adding, sources
sources.BLOCK = 1 << 14
adding.BATCH_POSITIONS = {BATCH}
adding.add(Path(sys.argv[1]), [Path(sys.argv[2])], lambda progress: print(progress.games, flush=True))
"""


@pytest.fixture(scope="module")
def many_games(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("games") / "many.pgn"
    path.write_text("".join(pgn(LINE, "1-0", White=f"Player {number}") for number in range(GAMES)))
    return path


#: Adds with small batches where no file may grow beyond a size: writing fails as on a full disk.
CRAMPED = """
import resource, signal, sys
signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
resource.setrlimit(resource.RLIMIT_FSIZE, (int(sys.argv[3]), int(sys.argv[3])))
from linewright.errors import UnusableInput
try:
    exec(sys.argv[4])
except UnusableInput as error:
    print(error, file=sys.stderr)
    sys.exit(2)
"""


def start(base: Path, games: Path) -> subprocess.Popen[str]:
    command = [sys.executable, "-c", ADDER, str(base), str(games)]
    return subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)


def committed(base: Path) -> int:
    """Games in the base after checking that each is there once, wholly: its row and all its positions."""
    try:
        with Base.open(base) as opened:
            games = opened.info().games
    except UnusableInput as error:
        assert "no games" in str(error)  # stopped before the first batch
        return 0
    with duckdb.connect(base, read_only=True) as con:
        rows, prints, plies = con.execute(
            "SELECT count(*), count(DISTINCT print), sum(plies + 1) FROM games"
        ).fetchall()[0]
        counted = con.execute("SELECT sum(games) FROM sources").fetchall()[0][0]
        indexed = con.execute("SELECT sum(last - first + 1), count(DISTINCT first) = count(*) FROM runs").fetchall()[0]
    if games:
        assert (rows, prints, counted) == (games, games, games)
        assert indexed == (games, True)
        with Base.open(base) as opened:
            replies = opened.replies(moves_to(LINE))
        assert (replies.ended, plies) == (games, games * (len(LINE.split()) + 1))
    return games


#: Reads lines "base, games, seconds": a child adds, and is killed after so long (0: not at all).
KILLER = (
    ADDER.split("adding.add(")[0]
    + """
import os, signal, time
for line in sys.stdin:
    base, games, seconds = line.rstrip("\\n").split("\\t")
    child = os.fork()
    if not child:
        try:
            adding.add(Path(base), [Path(games)])
        finally:
            os._exit(0)
    if float(seconds):
        time.sleep(float(seconds))
        os.kill(child, signal.SIGKILL)
    print(int(os.WIFSIGNALED(os.waitpid(child, 0)[1])), flush=True)
"""
)

#: Moments at which adding is killed.
KILLS = 30


def test_killed_at_any_moment_the_base_is_whole_and_can_be_completed(tmp_path: Path, many_games: Path) -> None:
    chance = random.Random(20)
    command = [sys.executable, "-c", KILLER]
    with subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True) as killer:
        assert killer.stdin is not None and killer.stdout is not None

        def run(base: Path, seconds: float) -> bool:
            """Add to the base and kill the adding after so long; whether it was killed."""
            assert killer.stdin is not None and killer.stdout is not None
            killer.stdin.write(f"{base}\t{many_games}\t{seconds}\n")
            killer.stdin.flush()
            return killer.stdout.readline() == "1\n"

        run(tmp_path / "warm.duckdb", 0)
        begin = time.monotonic()
        assert not run(tmp_path / "whole.duckdb", 0)
        whole = time.monotonic() - begin
        bases = before = kills = partly = 0
        while kills < KILLS:
            base = tmp_path / f"{bases}.duckdb"
            kills += run(base, chance.uniform(0.05, 1) * whole)
            now = committed(base)
            assert now >= before
            partly += before < now < GAMES
            before = now
            if now == GAMES:
                bases, before = bases + 1, 0
        last = tmp_path / f"{bases}.duckdb"
        assert not run(last, 0)
        assert committed(last) == GAMES
        killer.stdin.close()
    assert partly >= 1, "some kills should come between batches, else this says little"


def test_stopped_by_the_user_the_base_is_whole(tmp_path: Path, many_games: Path) -> None:
    base = tmp_path / "b.duckdb"
    adder = start(base, many_games)
    assert adder.stdout is not None
    for _ in range(5):
        adder.stdout.readline()
    adder.send_signal(signal.SIGINT)
    adder.communicate()
    assert adder.returncode != 0
    assert 0 < committed(base) < GAMES


def test_the_second_adder_is_refused_and_asking_goes_on(tmp_path: Path, many_games: Path) -> None:
    base = tmp_path / "b.duckdb"
    (tmp_path / "first.pgn").write_text(pgn("d4", "1-0"))
    add(base, [tmp_path / "first.pgn"])
    adder = start(base, many_games)
    assert adder.stdout is not None
    adder.stdout.readline()
    adder.send_signal(signal.SIGSTOP)  # it holds the base for as long as the test needs
    try:
        with pytest.raises(UnusableInput, match="in use by another process"):
            add(base, [many_games])
        with Base.open(base) as opened:
            assert opened.info().games == 1
    finally:
        adder.send_signal(signal.SIGCONT)
    _, errors = adder.communicate()
    assert (adder.returncode, errors) == (0, "")
    with Base.open(base) as opened:
        assert opened.info().games == 1 + GAMES


def test_asking_goes_on_as_it_was_while_games_are_added(tmp_path: Path, many_games: Path) -> None:
    base = tmp_path / "b.duckdb"
    (tmp_path / "first.pgn").write_text(pgn("d4", "1-0"))
    add(base, [tmp_path / "first.pgn"])
    with Base.open(base) as opened:
        adder = start(base, many_games)
        adder.communicate()
        assert adder.returncode == 0
        assert opened.replies(moves_to("")).total == 1
    with Base.open(base) as opened:
        assert opened.replies(moves_to("")).total == 1 + GAMES


def test_a_work_file_of_another_base_is_not_taken_in(tmp_path: Path, many_games: Path) -> None:
    base = tmp_path / "b.duckdb"
    adder = start(base, many_games)
    assert adder.stdout is not None
    for _ in range(8):
        adder.stdout.readline()
    adder.send_signal(signal.SIGKILL)
    adder.communicate()
    assert work_of(base).exists()
    (tmp_path / "first.pgn").write_text(pgn("d4", "1-0"))
    add(tmp_path / "other.duckdb", [tmp_path / "first.pgn"])
    (tmp_path / "other.duckdb").rename(base)  # the user put another base here meanwhile
    with Base.open(base) as opened:
        assert opened.info().games == 1


@pytest.mark.parametrize("room", [10_000, 50_000, 150_000, 250_000, 300_000])
def test_where_there_is_no_room_the_base_stays_whole(tmp_path: Path, many_games: Path, room: int) -> None:
    base = tmp_path / "b.duckdb"
    command = [sys.executable, "-c", CRAMPED, str(base), str(many_games), str(room), ADDER]
    adder = subprocess.run(command, capture_output=True, text=True)
    assert adder.returncode == 2, adder.stderr
    assert adder.stderr.count("\n") == 1 and str(base) in adder.stderr
    now = committed(base)
    assert now < GAMES
    assert add(base, [many_games]).added == GAMES - now
    assert committed(base) == GAMES
