"""Quoted games found again: ``python bench/bench_quotes.py BASE [GAMES]``.

Real games of the base are told with 20 % of the moves altered, dropped or swapped and the names misspelled, and looked
for; prints a Markdown table of how often the right game came first, and how long it took. Seeded; told moves need not
be legal. What one can't tell apart by what was told (the same moves and players, as in a game that the base holds
twice) counts as found when its twin comes first.
"""

from __future__ import annotations

import argparse
import random
import statistics
import time
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import chess

from linewright.games.api import GamesBase, GameTags, Result, parse_name, sans, unpacked
from linewright.games.query.table_reads import games_by_number
from linewright.games.quotes.quote_parser import DescribedGame, DescribedMove, written_move

#: Part of the moves that is told wrong: altered, dropped or swapped with the next, alike often.
WRONG = 0.2
#: Half-moves before the telling begins, and told half-moves: a trainer quotes from the opening's tabiya on.
BEGIN, TOLD = (8, 24), (10, 30)
#: Sounds that are written for one another.
HEARD = tuple(
    tuple(pair.split("-"))
    for pair in "v-w w-v ch-tsch k-c c-k ph-f f-v y-i i-y j-y sh-sch s-z z-s ei-ai e-a a-e o-u u-o t-d d-t".split()
)


def misspelled(name: str, chance: random.Random) -> str:
    """The surname with one or two letters misheard, dropped, doubled or exchanged; short ones with one."""
    surname = " ".join(parse_name(name).surname)
    for _ in range(1 if len(surname) < 6 else 2):
        kind, at = chance.randrange(4), chance.randrange(max(len(surname) - 1, 1))
        fitting = [(a, b) for a, b in HEARD if a in surname]
        if kind == 0 and fitting:
            a, b = chance.choice(fitting)
            surname = surname.replace(a, b, 1)
        elif kind == 1 and len(surname) > 4:
            surname = surname[: at + 1] + surname[at + 2 :]
        elif kind == 2:
            surname = surname[: at + 1] + surname[at:]
        elif at + 1 < len(surname):
            surname = surname[:at] + surname[at + 1] + surname[at] + surname[at + 2 :]
    return surname.title()


def altered(move: DescribedMove, chance: random.Random) -> DescribedMove:
    """Another square or another piece, legal or not."""
    if chance.random() < 0.5:
        return replace(move, target=chance.randrange(64), castling=False)
    return replace(move, kind=chance.randrange(1, 7), castling=False)


def spoiled(moves: Sequence[DescribedMove], chance: random.Random) -> tuple[DescribedMove, ...]:
    """A fifth of the moves altered, dropped or swapped with the next."""
    told, at = [], 0
    while at < len(moves):
        if chance.random() >= WRONG:
            told.append(moves[at])
        elif (kind := chance.randrange(3)) == 0:
            told.append(altered(moves[at], chance))
        elif kind == 1 and at + 1 < len(moves):
            told += [moves[at + 1], moves[at]]
            at += 1
        at += 1
    return tuple(told)


def telling(
    game: GameTags,
    moves: Sequence[str],
    packed: Sequence[int],
    chance: random.Random,
    *,
    position: bool,
    names: bool,
    numbers: bool,
) -> DescribedGame:
    """A game as someone half remembers it."""
    begin = min(chance.randint(*BEGIN), max(len(moves) - TOLD[0], 0))
    board = chess.Board()
    for move in packed[:begin]:
        board.push(unpacked(move))
    stretch = moves[begin : begin + chance.randint(*TOLD)]
    told = [written_move(san, begin + place if numbers else None) for place, san in enumerate(stretch)]
    spoken = tuple(move for move in told if move)
    assert len(spoken) == len(stretch)
    results: dict[str, Result] = {"1-0": "1-0", "0-1": "0-1", "1/2-1/2": "1/2-1/2"}
    return DescribedGame(
        players=(misspelled(game.white, chance), misspelled(game.black, chance)) if names else (),
        year=game.year if names and chance.random() < 0.5 else None,
        result=results.get(game.result) if chance.random() < 0.3 else None,
        moves=spoiled(spoken, chance),
        position=board if position else None,
    )


#: Ways of telling: what is told beside some of the moves. The first is what the reach is asked for.
WAYS = {
    "position, moves, misspelled names": {"position": True, "names": True, "numbers": False},
    "numbered moves, misspelled names": {"position": False, "names": True, "numbers": True},
    "moves, misspelled names": {"position": False, "names": True, "numbers": False},
    "position and moves alone": {"position": True, "names": False, "numbers": False},
    "moves alone": {"position": False, "names": False, "numbers": False},
}


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("base", type=Path)
    parser.add_argument("games", type=int, nargs="?", default=200)
    parser.add_argument("--seed", type=int, default=20)
    asked = parser.parse_args()
    with GamesBase.open(asked.base) as base:
        archive = base
        start = time.perf_counter()
        archive.loaded.table, archive.loaded.packed, archive._tokens  # noqa: B018 - read once, before the clock runs
        print(f"reading tables and moves once: {time.perf_counter() - start:.2f} s\n")
        long_enough = [
            n for n, plies in enumerate(archive.loaded.table.plies.tolist()) if plies >= 2 * BEGIN[0] + TOLD[0]
        ]
        chosen = random.Random(asked.seed).sample(long_enough, asked.games)
        rows = games_by_number(base.loaded.con, chosen)
        print("| told | games | right game first | called fitting | p50 ms | p99 ms |\n|---|---|---|---|---|---|")
        for way, parts in WAYS.items():
            chance = random.Random(asked.seed + 1)
            right = fitting = 0
            times = []
            for number in chosen:
                packed = archive.loaded.packed.of(number)
                told = telling(rows[number], sans(chess.Board(), packed), packed, chance, **parts)
                start = time.perf_counter()
                answer = archive.find_quoted(told)
                times.append(time.perf_counter() - start)
                first = answer.candidates[0]
                found = first.game.id == number or archive.loaded.packed.of(first.game.id) == packed
                right += found
                fitting += found and answer.fits
            times.sort()
            print(
                f"| {way} | {len(chosen)} | {100 * right / len(chosen):.1f} % | {100 * fitting / len(chosen):.1f} % "
                f"| {1000 * statistics.median(times):.0f} | {1000 * times[int(0.99 * len(times))]:.0f} |"
            )


if __name__ == "__main__":
    main()
