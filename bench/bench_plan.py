"""What a plan promises against games that it hasn't seen, the optimum against the greedy choice, and how long it takes.

    python bench/bench_plan.py BASE HALF OTHER_HALF [GAMES.pgn TALK]

BASE: all games; HALF and OTHER_HALF: bases of two random halves of them. Results: bench/PLAN.md.
"""

from __future__ import annotations

import sys
import time
from pathlib import Path

import chess

from linewright.base.archive import Archive
from linewright.base.filters import GameFilter
from linewright.base.keys import position_key
from linewright.base.position import parse_position
from linewright.base.store import Base
from linewright.plan.branches import covered
from linewright.plan.field import Field, field_below
from linewright.plan.planning import Plan, kept, make_plan

#: Ten openings, of many and of few games, for either side.
OPENINGS = (
    ("1.e4 e5 2.Nf3 Nc6 3.Bb5", "white"),
    ("1.e4 c5 2.Nf3 d6 3.d4 cxd4 4.Nxd4 Nf6 5.Nc3 a6", "white"),
    ("1.e4 e6 2.d4 d5", "white"),
    ("1.e4 c6 2.d4 d5", "black"),
    ("1.d4 d5 2.c4 c6", "black"),
    ("1.d4 Nf6 2.c4 g6 3.Nc3 Bg7", "black"),
    ("1.d4 Nf6 2.c4 e6 3.Nc3 Bb4", "black"),
    ("1.e4 e5 2.Nf3 Nc6 3.d4", "white"),
    ("1.c4 e5", "white"),
    ("1.d4 d5 2.c4 e6 3.Nc3 Nf6", "white"),
)
#: Minutes planned for, and the half-moves behind the first position after which coverage is compared.
MINUTES, DEEP = 7, (4, 6, 8, 10)


def main() -> None:
    """Print the tables."""
    whole, half, other = (Path(name) for name in sys.argv[1:4])
    speed(whole)
    promises(half, other)


def speed(path: Path) -> None:
    """Seconds for a plan, opened and warmed once."""
    print("| from | games below | units | field s | plan s | optimum | greedy |\n|---|---|---|---|---|---|---|")
    with Base.open(path) as base:
        archive = Archive(base)
        field_below(archive, parse_position(None, "1.e4 e6"), GameFilter())  # loads the tables
        for moves, side in (("", "white"), ("1.e4", "white"), ("1.d4", "black"), *OPENINGS):
            begun = time.perf_counter()
            field = field_below(archive, parse_position(None, moves), GameFilter())
            ready = time.perf_counter()
            plan = make_plan(field, side == "white", 60 * MINUTES)
            done = time.perf_counter()
            took = f"{ready - begun:.2f} | {done - ready:.2f}"
            worth = f"{plan.worth:.2f} | {plan.greedy:.2f}"
            print(f"| {moves or 'start'} | {field.games:,} | {len(plan.units)} | {took} | {worth} |")


def promises(half: Path, other: Path) -> None:
    """The coverage promised by one half of the games, against that which the other half sees."""
    heads = " | ".join(f"+{deep // 2}" for deep in DEEP)
    print(f"\n| opening, moves on | games | unseen games | {heads} |\n|---|---|---|{'---|' * len(DEEP)}")
    gaps: list[float] = []
    with Base.open(half) as mine, Base.open(other) as unseen:
        one, two = Archive(mine), Archive(unseen)
        for moves, side in OPENINGS:
            root = parse_position(None, moves)
            field = field_below(one, root, GameFilter())
            plan = make_plan(field, side == "white", 60 * MINUTES)
            held = field_below(two, root, GameFilter())
            rows = [(coverage(plan, field, deep, True), coverage(plan, held, deep, False)) for deep in DEEP]
            gaps += [promised - seen for promised, seen in rows]
            cells = " | ".join(f"{100 * p:.1f} / {100 * s:.1f}" for p, s in rows)
            print(f"| {moves} | {field.games:,} | {held.games:,} | {cells} |")
    sizes = [abs(gap) for gap in gaps]
    print(
        f"\npromised / seen in %; mean gap {100 * sum(sizes) / len(gaps):.2f} points, with its sign "
        f"{100 * sum(gaps) / len(gaps):+.2f}, largest {100 * max(sizes):.2f}; "
        f"{sum(size <= 0.02 for size in sizes)} of {len(gaps)} within 2 points"
    )


def coverage(plan: Plan, field: Field, deep: int, promised: bool) -> float:
    """The part of the pupil's games inside the plan's lines ``deep`` half-moves on, by the field's games."""
    chosen: dict[int, dict[str, str]] = {}
    for number in plan.chosen:
        unit = plan.units[number]
        chosen.setdefault(position_key(chess.Board(unit.before)), {})[unit.line[-1]] = unit.answer_uci
    return covered(chess.Board(plan.start), plan.side, kept(field), chosen, deep, promised)[deep].inside


if __name__ == "__main__":
    main()
