"""The games base against plain reading, in one run: ``python bench/bench_base.py [GAMES] [--talks FOLDER]``.

Prints a Markdown table: adding as a ratio to ``chess.pgn.read_game`` and to the compiled reader alone, peak
memory, size on disk, and how long answers take. The adding runs in a process of its own, so that memory is measured
alone; a first start, with an empty home, is told apart.
"""

from __future__ import annotations

import argparse
import io
import json
import os
import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path

import chess
import chess.pgn
import numpy as np

from linewright.games.api import GamesBase, position_key
from linewright.games.ingest.sources import blocks
from linewright.games.ingest.splitting import cut

SHARED = Path(__file__).resolve().parents[2] / "shared"

#: Games that ``chess.pgn`` reads for the comparison, and rounds of it around the adding (the machine may be busy).
PLAIN_GAMES = 1500
#: Times that all games are added. The machine may be busy: the best of both sides counts.
ADDING_ROUNDS = 3

#: Positions asked at a time for the reader's language model, and how many times.
BATCH, BATCHES = 200, 300

ADD = """
import json, resource, sys
from pathlib import Path
from linewright.games.api import add_games
report = add_games(Path(sys.argv[1]), [Path(sys.argv[2])])
peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * 1024
print(json.dumps([report.added, report.seconds, peak]))
"""


def texts(games: Path, most: int) -> list[str]:
    """The first games of the file as text."""
    found: list[str] = []
    for piece in cut(block.data for block in blocks(games)):
        for start, end in zip(piece.starts.tolist(), piece.ends.tolist(), strict=True):
            found.append(bytes(piece.data[start:end]).decode("latin-1"))
            if len(found) == most:
                return found
    return found


def plain_rate(some: Sequence[str]) -> float:
    """Games a second that ``chess.pgn.read_game`` reads."""
    stream = io.StringIO("".join(some))
    start = time.perf_counter()
    while chess.pgn.read_game(stream):
        pass
    return len(some) / (time.perf_counter() - start)


def reader_rate(games: Path) -> float:
    """Games a second that the compiled reader alone parses, given as strings in memory, all cores."""
    import rust_pgn_reader_python_binding as pgn_reader

    some = texts(games, 50_000)
    took = []
    for _ in range(ADDING_ROUNDS):
        start = time.perf_counter()
        pgn_reader.parse_games_from_strings(some)
        took.append(time.perf_counter() - start)
    return len(some) / min(took)


def add_alone(base: Path, games: Path) -> tuple[int, float, int, float]:
    """Added games, the job's seconds, peak bytes, and the seconds of the whole process."""
    start = time.perf_counter()
    done = subprocess.run([sys.executable, "-c", ADD, base, games], check=True, capture_output=True, text=True)
    added, seconds, peak = json.loads(done.stdout)
    return added, seconds, peak, time.perf_counter() - start


def first_add(home: Path, games: Path) -> tuple[float, float]:
    """Seconds, and the processor's seconds, of ``base add`` as a new user runs it: an empty home, no cache."""
    home.mkdir()
    used, start = resource.getrusage(resource.RUSAGE_CHILDREN), time.perf_counter()
    command = [sys.executable, "-m", "linewright", "base", "add", str(games)]
    environment = {**os.environ, "HOME": str(home), "LINEWRIGHT_HOME": str(home / "data"), "XDG_CACHE_HOME": str(home)}
    subprocess.run(command, check=True, capture_output=True, env=environment)
    now = resource.getrusage(resource.RUSAGE_CHILDREN)
    took = now.ru_utime + now.ru_stime - used.ru_utime - used.ru_stime
    return time.perf_counter() - start, took


def talk_positions(folder: Path) -> list[chess.Board]:
    """The positions that the open talks' moves are played in; without talks, openings' first moves."""
    fens = {
        move["before"]: None
        for path in sorted(folder.glob("*.ref.json"))
        for move in json.loads(path.read_text(encoding="utf-8"))["moves"]
    }
    return [chess.Board(fen) for fen in fens] or list(first_positions())


def first_positions() -> Iterator[chess.Board]:
    """The start position and all positions one and two half-moves later."""
    board = chess.Board()
    yield board.copy()
    for first in list(board.legal_moves):
        board.push(first)
        yield board.copy()
        for second in list(board.legal_moves):
            board.push(second)
            yield board.copy()
            board.pop()
        board.pop()


def milliseconds(calls: Sequence[Callable[[], object]]) -> tuple[float, float]:
    """p50 and p99 of the calls' times, each called once after one warm-up round over all."""
    took = []
    for warm in (True, False):
        for call in calls:
            start = time.perf_counter()
            call()
            if not warm:
                took.append(1000 * (time.perf_counter() - start))
    return float(np.percentile(took, 50)), float(np.percentile(took, 99))


def moves_played(base: GamesBase, boards: Sequence[chess.Board]) -> tuple[float, float, float]:
    """First call, p50 of later calls (milliseconds), and seconds for all: known and unknown keys mixed."""
    chance = np.random.default_rng(1)
    known = np.array([position_key(board) for board in boards], dtype=np.uint64)
    took = []
    for _ in range(BATCHES):
        keys = np.concatenate([chance.choice(known, BATCH // 2), chance.integers(0, 2**64 - 1, BATCH // 2, np.uint64)])
        asked = keys.tolist()
        start = time.perf_counter()
        base.moves_played(asked)
        took.append(time.perf_counter() - start)
    return 1000 * took[0], 1000 * float(np.median(took[1:])), sum(took)


def every(games: Path, step: int, out: Path) -> Path:
    """Every ``step``-th game of the file, in a file of its own."""
    at = 0
    with out.open("wb") as file:
        for piece in cut(block.data for block in blocks(games)):
            for start, end in zip(piece.starts.tolist(), piece.ends.tolist(), strict=True):
                if at % step == 0:
                    file.write(bytes(piece.data[start:end]))
                at += 1
    return out


def reply_times(path: Path, boards: Sequence[chess.Board]) -> tuple[float, float]:
    """p50 and p99 of ``replies``, in milliseconds."""
    with GamesBase.open(path) as base:
        return milliseconds([lambda board=board: base.replies(board) for board in boards])


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("games", type=Path, nargs="?", default=SHARED / "games" / "masters.pgn.zst")
    parser.add_argument("--talks", type=Path, default=SHARED / "talks")
    options = parser.parse_args()
    some = texts(options.games, PLAIN_GAMES)
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        (folder / "one.pgn").write_text(some[0], encoding="latin-1")
        first_wall, first_processor = first_add(folder / "home", folder / "one.pgn")
        *_, half_peak, _ = add_alone(folder / "half.duckdb", every(options.games, 2, folder / "half.pgn"))
        add_alone(folder / "tenth.duckdb", every(options.games, 10, folder / "tenth.pgn"))
        rounds = [plain_rate(some)]
        tries = []
        for number in range(ADDING_ROUNDS):
            tries.append(add_alone(folder / f"base{number}.duckdb", options.games))
            rounds.append(plain_rate(some))
        added, seconds, peak, whole = min(tries, key=lambda one: one[1])
        plain, reader = max(rounds), reader_rate(options.games)
        size = (folder / "base0.duckdb").stat().st_size
        text = sum(len(block.data) for block in blocks(options.games))
        boards = talk_positions(options.talks)
        tenth, replies = reply_times(folder / "tenth.duckdb", boards), reply_times(folder / "base0.duckdb", boards)
        start = time.perf_counter()
        with GamesBase.open(folder / "base0.duckdb") as base:
            base.replies(boards[0])
            opened = 1000 * (time.perf_counter() - start)
            games = milliseconds([lambda board=board: base.games(board, "newest", 10) for board in boards])
            first_asked, batch, all_batches = moves_played(base, boards)
    rate = added / seconds
    rows = [
        ("adding, against `chess.pgn.read_game` in the same run", f"{rate / plain:.0f} times", "≥ 40"),
        ("adding, against the compiled reader alone", f"{rate / reader:.2f}", "≥ 0.35"),
        ("adding", f"{added:,} games in {seconds:.1f} s: {rate:,.0f} games/s", ""),
        (
            "a first `base add` of one game, empty home",
            f"{first_processor:.1f} s of the processor, {first_wall:.1f} s",
            "≤ 3 s of the processor",
        ),
        (
            "peak memory while adding",
            f"{peak / 2**30:.2f} GiB, half the games {half_peak / 2**30:.2f} GiB",
            "≤ 1.5, alike",
        ),
        ("base on disk / PGN text", f"{size / text:.2f}", "≤ 1.0"),
        (
            f"`replies`, {len(boards)} positions of talks",
            f"p50 {replies[0]:.1f} ms, p99 {replies[1]:.1f} ms",
            "≤ 1, ≤ 5",
        ),
        (
            "`replies`, against a tenth of the games",
            f"p50 {replies[0] / tenth[0]:.1f} times, p99 {replies[1] / tenth[1]:.1f} times",
            "≤ 2",
        ),
        ("opening a base and the first `replies`", f"{opened:.0f} ms", ""),
        ("`games`, newest 10", f"p50 {games[0]:.1f} ms, p99 {games[1]:.1f} ms", ""),
        (f"`moves_played`, {BATCH} keys", f"p50 {batch:.2f} ms, the first {first_asked:.0f} ms", ""),
        (f"`moves_played`, {BATCHES} × {BATCH} keys", f"{all_batches:.2f} s", ""),
    ]
    print(f"{options.games.name}, whole adding process {whole:.1f} s, this one's peak "
          f"{resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 2**20:.2f} GiB\n")  # fmt: skip
    print("| what | measured | target |\n|---|---|---|")
    for row in rows:
        print(f"| {' | '.join(row)} |")


if __name__ == "__main__":
    main()
