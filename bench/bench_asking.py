"""How long questions to the base take: ``python bench/bench_asking.py BASE``.

Filtered replies, whole studies, model games and pattern questions, at positions that real games of the base went
through (up to twelve moves deep), in one process once tables and moves are read; seeded. Prints a Markdown table; each
time also as a multiple of what plain replies take in the same run.
"""

from __future__ import annotations

import argparse
import random
import time
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import TypeVar

import chess

from linewright.games.api import GameFilter, GamesBase, parse_pattern, unpacked

T = TypeVar("T")

#: Half-moves deep that positions lie, at most.
DEEPEST = 24
QUESTIONS = (
    "white isolated d-pawn, queens off, within the first 25 moves",
    "rooks on c1 and d1, knight on e5",
    "hanging pawns",
    "opposite bishops, a pawn up",
    "backward d-pawn",
)


def positions(archive: GamesBase, chance: random.Random, count: int) -> Iterator[tuple[chess.Board, int]]:
    """Positions of random games, each with the game's number."""
    known = archive.loaded.table.plies.nonzero()[0].tolist()
    for game in chance.sample(known, count):
        board = chess.Board()
        for packed in archive.loaded.packed.of(game)[: chance.randrange(DEEPEST)]:
            board.push(unpacked(packed))
        yield board, game


def some_filter(archive: GamesBase, game: int, chance: random.Random) -> GameFilter:
    """A filter that this game or games like it meet."""
    table, year = archive.loaded.table, int(archive.loaded.table.years[game])
    event = table.events[table.event[game]].split(",")[0]
    kind = chance.randrange(5 if event else 4)
    if kind == 0:
        return GameFilter(ratings=(2400, 2700), years=(year - 5, year + 5))
    if kind == 1:
        return GameFilter(player=table.names[table.white[game]] or None)
    if kind == 2 and (name := table.names[table.black[game]]):
        return GameFilter(player=name, colour="black", outcome="won")
    return GameFilter(event=event) if kind == 4 else GameFilter(result="1-0", length=(None, 40))


def timed(asked: Sequence[T], ask: Callable[[T], object]) -> list[float]:
    """Milliseconds of each question, ascending; the first is asked once before, to load what is compiled."""
    ask(asked[0])
    times = []
    for one in asked:
        start = time.perf_counter()
        ask(one)
        times.append(1000 * (time.perf_counter() - start))
    return sorted(times)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("base", type=Path)
    parser.add_argument("--seed", type=int, default=4)
    given = parser.parse_args()
    chance = random.Random(given.seed)
    with GamesBase.open(given.base) as base:
        archive = base
        start = time.perf_counter()
        games = len(archive.loaded.table.plies), len(archive.loaded.packed.moves)
        print(f"{games[0]:,} games read once in {time.perf_counter() - start:.2f} s\n")
        places = list(positions(archive, chance, 400))
        filtered = [(board, some_filter(archive, game, chance)) for board, game in places]
        boards = [board for board, _ in places]
        rows = {
            "replies": timed(boards, base.replies),
            "filtered replies": timed(filtered, lambda asked: archive.replies(*asked)),
            "study: expectation, trend, plans, novelty, move orders": timed(boards[:150], archive.study),
            "model games": timed(boards[:100], lambda board: archive.model_games(board, 10)),
            "pattern question, all games": timed(
                [parse_pattern(q) for q in QUESTIONS], lambda p: archive.find_pattern(p, 10)
            ),
        }
        plain = rows["replies"][len(rows["replies"]) // 2]
        print("| question | p50 ms | p99 ms | p50, times plain replies |\n|---|---|---|---|")
        for name, times in rows.items():
            middle, last = times[len(times) // 2], times[int(0.99 * len(times))]
            print(f"| {name} | {middle:.1f} | {last:.1f} | {middle / plain:.1f} |")


if __name__ == "__main__":
    main()
