"""Stopped for real, and two at once: separate processes, real signals."""

from __future__ import annotations

import os
import random
import signal
import subprocess
import sys
import time
from pathlib import Path

import duckdb
import pytest

from linewright.games.api import GamesBase, add_games
from linewright.games.index.work_copy import work_of
from linewright.support.errors import UnusableInput
from tests.games.games import moves_to, pgn
from tests.support import stoppable

#: Games per file and positions per batch of the adding process: some fifteen batches.
GAMES, BATCH = 3000, 2500

LINE = "e4 e5 Nf3 Nc6 Bb5 a6 Ba4 Nf6 O-O Be7"

#: Adds with small batches and says on each step how far it is; at the step named it waits for a line.
ADDER = f"""
import os, sys
from pathlib import Path
from linewright.games.ingest import adding, sources
sources.BLOCK = 1 << 14
adding.BATCH_POSITIONS = {BATCH}
step = 0
def tell(progress):
    global step
    step += 1
    print(progress.games, flush=True)
    if str(step) == os.environ.get("WAIT_AT"):
        sys.stdin.readline()
adding.add_games(Path(sys.argv[1]), [Path(sys.argv[2])], tell)
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
from linewright.support.errors import UnusableInput
try:
    exec(sys.argv[4])
except UnusableInput as error:
    print(error, file=sys.stderr)
    sys.exit(2)
"""


def start(base: Path, games: Path, wait_at: int = 0) -> subprocess.Popen[str]:
    """An adding process; where a step is named, it has come there and waits for a line."""
    command = [sys.executable, "-c", ADDER, str(base), str(games)]
    pipe = subprocess.PIPE
    environment = {**os.environ, "WAIT_AT": str(wait_at)}
    adder = subprocess.Popen(
        command, stdin=pipe, stdout=pipe, stderr=pipe, text=True, env=environment, preexec_fn=stoppable
    )
    assert adder.stdout is not None
    for _ in range(wait_at):
        adder.stdout.readline()
    return adder


def committed(base: Path) -> int:
    """Games in the base after checking that each is there once, wholly: its row and all its positions."""
    try:
        with GamesBase.open(base) as opened:
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
        with GamesBase.open(base) as opened:
            replies = opened.replies(moves_to(LINE))
        assert (replies.ended, plies) == (games, games * (len(LINE.split()) + 1))
    return games


#: Reads lines "base, games, steps, seconds": a child adds, and is killed so long after so many steps (-1: not at all);
#: writes whether it was killed, and the steps that it came to.
KILLER = (
    ADDER.split("step = 0")[0]
    + """
import signal, time
for line in sys.stdin:
    base, games, steps, seconds = line.rstrip("\\n").split("\\t")
    told, tells = os.pipe()
    child = os.fork()
    if not child:
        os.dup2(2, 1)  # DuckDB takes "python -c" for a person and shows how far it is
        try:
            adding.add_games(Path(base), [Path(games)], lambda progress: os.write(tells, b"."))
        finally:
            os._exit(0)
    os.close(tells)
    seen = 0
    while seen != int(steps) and os.read(told, 1):
        seen += 1
    if int(steps) >= 0:
        time.sleep(float(seconds))
        os.kill(child, signal.SIGKILL)
    print(int(os.WIFSIGNALED(os.waitpid(child, 0)[1])), seen, flush=True)
    os.close(told)
"""
)

#: Moments at which adding is killed.
KILLS = 30


def test_killed_at_any_moment_the_base_is_whole_and_can_be_completed(tmp_path: Path, many_games: Path) -> None:
    chance = random.Random(20)
    command = [sys.executable, "-c", KILLER]
    with subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True) as killer:

        def run(base: Path, steps: int, seconds: float = 0) -> tuple[bool, int]:
            """Add to the base and kill the adding; whether it was killed, and after how many steps."""
            assert killer.stdin is not None and killer.stdout is not None
            killer.stdin.write(f"{base}\t{many_games}\t{steps}\t{seconds}\n")
            killer.stdin.flush()
            killed, seen = killer.stdout.readline().split()
            return killed == "1", int(seen)

        run(tmp_path / "warm.duckdb", -1)
        begin = time.monotonic()
        killed, steps = run(tmp_path / "whole.duckdb", -1)
        step = (time.monotonic() - begin) / steps
        assert not killed and steps > 10
        bases = before = kills = partly = 0
        while kills < KILLS:
            base = tmp_path / f"{bases}.duckdb"
            # Within the steps' time or between them, whatever else the machine does.
            kills += run(base, chance.randrange(steps), chance.uniform(0, step))[0]
            now = committed(base)
            assert now >= before
            partly += before < now < GAMES
            before = now
            if now == GAMES:
                bases, before = bases + 1, 0
        last = tmp_path / f"{bases}.duckdb"
        assert not run(last, -1)[0]
        assert committed(last) == GAMES
        assert killer.stdin is not None
        killer.stdin.close()
    assert partly >= 1, "some kills should come between batches, else this says little"


def test_stopped_by_the_user_the_base_is_whole(tmp_path: Path, many_games: Path) -> None:
    base = tmp_path / "b.duckdb"
    adder = start(base, many_games, wait_at=5)
    adder.send_signal(signal.SIGINT)
    adder.communicate()
    assert adder.returncode != 0
    assert 0 < committed(base) < GAMES


def test_the_second_adder_is_refused_and_asking_goes_on(tmp_path: Path, many_games: Path) -> None:
    base = tmp_path / "b.duckdb"
    (tmp_path / "first.pgn").write_text(pgn("d4", "1-0"))
    add_games(base, [tmp_path / "first.pgn"])
    adder = start(base, many_games, wait_at=1)  # it holds the base for as long as the test needs
    try:
        with pytest.raises(UnusableInput, match="in use by another process"):
            add_games(base, [many_games])
        with GamesBase.open(base) as opened:
            assert opened.info().games == 1
    finally:
        _, errors = adder.communicate("\n")
    assert (adder.returncode, errors) == (0, "")
    with GamesBase.open(base) as opened:
        assert opened.info().games == 1 + GAMES


def test_asking_goes_on_as_it_was_while_games_are_added(tmp_path: Path, many_games: Path) -> None:
    base = tmp_path / "b.duckdb"
    (tmp_path / "first.pgn").write_text(pgn("d4", "1-0"))
    add_games(base, [tmp_path / "first.pgn"])
    with GamesBase.open(base) as opened:
        adder = start(base, many_games)
        adder.communicate()
        assert adder.returncode == 0
        assert opened.replies(moves_to("")).total == 1
    with GamesBase.open(base) as opened:
        assert opened.replies(moves_to("")).total == 1 + GAMES


def test_a_work_file_of_another_base_is_not_taken_in(tmp_path: Path, many_games: Path) -> None:
    base = tmp_path / "b.duckdb"
    adder = start(base, many_games, wait_at=8)
    adder.send_signal(signal.SIGKILL)
    adder.communicate()
    assert work_of(base).exists()
    (tmp_path / "first.pgn").write_text(pgn("d4", "1-0"))
    add_games(tmp_path / "other.duckdb", [tmp_path / "first.pgn"])
    (tmp_path / "other.duckdb").rename(base)  # the user put another base here meanwhile
    with GamesBase.open(base) as opened:
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
    assert add_games(base, [many_games]).added == GAMES - now
    assert committed(base) == GAMES
