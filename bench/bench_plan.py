"""What a plan promises against games that it hasn't seen, the optimum against the greedy choice, and how long it takes.

    python bench/bench_plan.py BASE [speed|command|promises|bias|whole|years|fit]...

Without a word all tables are made. Games are held back by chance with a named seed, or by year. Results: bench/PLAN.md.
"""

from __future__ import annotations

import os
import subprocess
import sys
import time
from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import chess
import numpy as np
import numpy.typing as npt
from statsmodels.duration.survfunc import SurvfuncRight

from linewright.games.api import NO_MOVE, GamesBase, pack_move, parse_position, position_key
from linewright.games.query.games_below import GamesBelow
from linewright.plan import branches as rules
from linewright.plan.branches import covered_levels
from linewright.plan.planning import Plan, make_plan
from linewright.plan.position_flow import Z95, FlowLevel, standard_errors
from linewright.plan.reply_cache import games_at, remember_answers

#: Ten openings, of many and of few games, for either side: the test. They were chosen before anything was measured.
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
#: Twelve others, each for either side: what the promise's only constant (``UNSEEN``) was set by.
OTHERS = tuple(
    (moves, side)
    for moves in (
        "1.e4 c5 2.Nf3 Nc6", "1.e4 c5 2.Nf3 e6", "1.e4 d6", "1.e4 e5 2.Nf3 Nf6", "1.e4 e5 2.Nf3 Nc6 3.Bc4",
        "1.d4 d5 2.c4 dxc4", "1.d4 Nf6 2.c4 e6 3.Nf3 b6", "1.d4 f5", "1.Nf3 d5", "1.d4 Nf6 2.c4 c5", "1.e4 c5 2.c3",
        "1.e4 d5",
    )
    for side in ("white", "black")
)  # fmt: skip
#: Minutes planned for, and the half-moves behind the first position after which coverage is compared.
MINUTES, DEEP = 7, (4, 6, 8, 10)
#: The seed of the one split, and how many splits the bias is the mean of (each both ways).
SEED, SPLITS = 8, 20
#: Plans from the games before this year are held against those from it on.
YEAR = 2013
#: Points (0-1) that promise and sight may lie apart: the issue's.
NEAR = 0.02

Mask = npt.NDArray[np.bool_]


def main() -> None:
    """Print the tables."""
    wanted = sys.argv[2:] or list(TABLES)
    with GamesBase.open(Path(sys.argv[1])) as base:
        archive = base
        for name in wanted:
            print(f"\n## {name}\n")
            TABLES[name](archive)


def speed(archive: GamesBase) -> None:
    """Seconds for a plan, opened and warmed once."""
    print("| from | games below | units | field s | plan s | optimum | greedy |\n|---|---|---|---|---|---|---|")
    field_of(archive, "1.e4 e6")  # loads the tables
    for moves, side in (("", "white"), ("1.e4", "white"), ("1.d4", "black"), *OPENINGS):
        begun = time.perf_counter()
        field = field_of(archive, moves)
        ready = time.perf_counter()
        plan = plan_of(field, side)
        done = time.perf_counter()
        took = f"{ready - begun:.2f} | {done - ready:.2f}"
        row = moves or "start", f"{field.games:,}", len(plan.units), took, f"{plan.worth:.2f}", f"{plan.greedy:.2f}"
        print(f"| {' | '.join(map(str, row))} |")


PROGRAM = Path(sys.executable).with_name("linewright")
#: From where and for which years the whole command is timed: the largest there is, and about 100,000 games below.
TIMED = (("", ""), ("", "1998-"), ("1.e4", ""))


def command(archive: GamesBase) -> None:
    """Seconds for the whole command, its process's start included: the best and the median of five, and the processor's
    time, which other jobs on the machine change less."""
    print("| from | years | games below | best s | median s | processor s |\n|---|---|---|---|---|---|")
    for moves, years in TIMED:
        words = [str(PROGRAM), "plan", "--from", moves, "--as", "white", "--minutes", "7"]
        words += ["--base", sys.argv[1], *(["--years", years] if years else [])]
        took = []
        used = _children_seconds()
        for _ in range(5):
            begun = time.perf_counter()
            told = subprocess.run(words, capture_output=True, text=True, check=True).stdout
            took.append(time.perf_counter() - begun)
        each = (_children_seconds() - used) / 5
        games = told.split("minutes; ")[1].split(" game")[0]
        print(
            f"| {moves or 'start'} | {years or 'all'} | {games} | {min(took):.2f} | {sorted(took)[2]:.2f} "
            f"| {each:.2f} |"
        )


def _children_seconds() -> float:
    """The processor's time of all processes started and ended so far."""
    spent = os.times()
    return spent.children_user + spent.children_system


def field_of(archive: GamesBase, moves: str) -> GamesBelow:
    return archive.below(parse_position(None, moves))


def plan_of(field: GamesBelow, side: str) -> Plan:
    return make_plan(field, side == "white", 60 * MINUTES)


def split(archive: GamesBase, seed: int) -> Mask:
    """Half of all games, by chance."""
    return np.random.default_rng(seed).random(len(archive.loaded.table.plies)) < 0.5


@dataclass(frozen=True, slots=True)
class Pair:
    """A promise and what held-back games show, so many half-moves on; parts 0-1 with their standard errors."""

    opening: str
    deep: int
    promised: float
    promised_error: float
    seen: float
    seen_error: float

    @property
    def gap(self) -> float:
        return self.promised - self.seen

    @property
    def near(self) -> bool:
        return abs(self.gap) <= NEAR

    @property
    def inside(self) -> bool:
        return abs(self.gap) <= Z95 * self.error

    @property
    def error(self) -> float:
        """The gap's standard error: the two rest on different games."""
        return float(np.hypot(self.promised_error, self.seen_error))


def pairs(one: GamesBelow, held: GamesBelow, opening: str, side: str) -> list[Pair]:
    """A plan from one field's games, held against another's: the shares along its lines."""
    plan = plan_of(one, side)
    mine, mine_errors = coverage(plan, one, True)
    theirs, their_errors = coverage(plan, held, False)
    return [
        Pair(opening, deep, mine[deep].inside, mine_errors[deep], theirs[deep].inside, their_errors[deep])
        for deep in DEEP
    ]


def coverage(plan: Plan, field: GamesBelow, promised: bool) -> tuple[tuple[FlowLevel, ...], tuple[float, ...]]:
    """How much of the pupil's games stays inside the plan's lines by a field's games, with standard errors."""
    ask = remember_answers(field)
    levels = covered_levels(chess.Board(plan.start), plan.side, ask, told(plan), max(DEEP), promised)
    return levels, standard_errors(levels, games_at(ask, plan.side))


def told(plan: Plan) -> dict[int, dict[str, str]]:
    """By position key the replies told, each with the pupil's answer."""
    chosen: dict[int, dict[str, str]] = {}
    for number in plan.chosen:
        unit = plan.units[number]
        chosen.setdefault(position_key(chess.Board(unit.before)), {})[unit.line[-1]] = unit.answer_uci
    return chosen


def promises(archive: GamesBase) -> None:
    """One split: what one half promises, what the other shows."""
    mask = split(archive, SEED)
    _promises(archive, mask, ~mask)


def years(archive: GamesBase) -> None:
    """The same from the games before a year against those from it on."""
    known = archive.loaded.table.years > 0
    _promises(archive, known & (archive.loaded.table.years < YEAR), archive.loaded.table.years >= YEAR)


def _promises(archive: GamesBase, mine: Mask, others: Mask) -> None:
    print(f"| opening, moves on | games | unseen games | {' | '.join(f'+{deep // 2}' for deep in DEEP)} |")
    print(f"|---|---|---|{'---|' * len(DEEP)}")
    found: list[Pair] = []
    for moves, side in OPENINGS:
        field = field_of(archive, moves)
        one, held = field.among(mine), field.among(others)
        rows = pairs(one, held, moves, side)
        found += rows
        cells = " | ".join(f"{100 * p.promised:.1f} / {100 * p.seen:.1f} ±{100 * Z95 * p.error:.1f}" for p in rows)
        print(f"| {moves} | {one.games:,} | {held.games:,} | {cells} |")
    known = [p for p in found if Z95 * p.error <= NEAR]
    print(
        f"\npromised / seen in %, ± the 95 % interval of their difference. Mean gap {mean_size(found):.2f} points, "
        f"with its sign {100 * np.mean([p.gap for p in found]):+.2f}; {sum(p.near for p in found)} of {len(found)} "
        f"within 2 points, {sum(p.inside for p in found)} within their interval; of the {len(known)} whose interval is "
        f"within ±2 points "
        f"{sum(p.near for p in known)}"
    )


def mean_size(found: list[Pair]) -> float:
    return float(100 * np.mean([abs(p.gap) for p in found]))


def bias(archive: GamesBase) -> None:
    """Many splits, each both ways: sampling cancels out, what is left is bias."""
    print(f"| opening, moves on | {' | '.join(f'+{deep // 2}' for deep in DEEP)} |\n|---|{'---|' * len(DEEP)}")
    means: list[float] = []
    single: list[Pair] = []
    for moves, side in OPENINGS:
        found = list(_both_ways(archive, moves, side, SPLITS))
        single += found
        rows = [mean_gap(found, deep) for deep in DEEP]
        means += [gap for gap, _ in rows]
        print(f"| {moves} | {' | '.join(f'{100 * gap:+.2f} ±{100 * Z95 * error:.2f}' for gap, error in rows)} |")
    near = sum(abs(gap) <= NEAR for gap in means)
    known = [pair for pair in single if Z95 * pair.error <= NEAR]
    print(
        f"\nmean of promised less seen over {2 * SPLITS} plans, in points, ± its 95 % interval. All: "
        f"{100 * np.mean(means):+.2f}; {near} of {len(means)} within 2 points, largest "
        f"{100 * max(means, key=abs):+.2f}. Of {len(single):,} single figures {part(p.near for p in single)} are "
        f"within 2 points and {part(p.inside for p in single)} within their own 95 % interval; of the {len(known)} "
        f"whose interval is within ±2 points {part(p.near for p in known)} are within 2 points"
    )


def part(those: Iterable[bool]) -> str:
    """Percents of those for whom it is so."""
    return f"{100 * np.mean(list(those)):.0f} %"


def _both_ways(archive: GamesBase, moves: str, side: str, splits: int) -> Iterator[Pair]:
    field = field_of(archive, moves)
    for seed in range(splits):
        mask = split(archive, seed)
        one, other = field.among(mask), field.among(~mask)
        yield from pairs(one, other, f"{moves} {seed}", side)
        yield from pairs(other, one, f"{moves} {seed}", side)


def mean_gap(found: list[Pair], deep: int) -> tuple[float, float]:
    """Mean and its standard error over the splits; the two plans of one split err against each other, so count once."""
    splits: dict[str, list[float]] = defaultdict(list)
    for pair in found:
        if pair.deep == deep:
            splits[pair.opening].append(pair.gap)
    each = np.array([np.mean(gaps) for gaps in splits.values()])
    return float(each.mean()), float(each.std(ddof=1) / np.sqrt(len(each)))


def whole(archive: GamesBase) -> None:
    """Whole held-back games, followed move by move: a game whose pupil's side plays another move counts up to there.

    In two ways. *Plain*: the product-limit estimate with Greenwood's error (E. L. Kaplan and P. Meier, Journal of the
    American Statistical Association 53, 1958; here by statsmodels). It takes those who leave the pupil's line for like
    the others, though some replies are answered as the plan wants far more often than others. *Weighted*: each game
    counts for all that played elsewhere where it kept to the plan (inverse probability of censoring weights, J. M.
    Robins and A. Rotnitzky 1992, from memory).
    """
    heads = " | ".join(f"+{deep // 2}" for deep in DEEP)
    print(f"| opening; promised / weighted / plain | whole games | {heads} | went all the way |")
    print(f"|---|---|{'---|' * len(DEEP)}---|")
    mask = split(archive, SEED)
    found: dict[str, list[Pair]] = {"weighted": [], "plain": []}
    for moves, side in OPENINGS:
        field = field_of(archive, moves)
        one, held = field.among(mask), field.among(~mask)
        plan = plan_of(one, side)
        levels, errors = coverage(plan, one, True)
        seen_errors = coverage(plan, held, False)[1]
        games = followed(plan, held)
        plain = SurvfuncRight(np.maximum(games.done, 1e-9), games.left)
        cells = []
        for deep in DEEP:
            promise = moves, deep, levels[deep].inside, errors[deep]
            fair, rough = games.stay(deep // 2), survival(plain, deep // 2)
            found["weighted"].append(Pair(*promise, fair, seen_errors[deep]))
            found["plain"].append(Pair(*promise, *rough))
            cells.append(f"{100 * promise[2]:.1f} / {100 * fair:.1f} / {100 * rough[0]:.1f}")
        print(f"| {moves} | {len(games.done):,} | {' | '.join(cells)} | {int((games.done >= max(DEEP) // 2).sum())} |")
    for name, rows in found.items():
        print(
            f"\n{name}: mean gap {mean_size(rows):.2f} points, with its sign "
            f"{100 * np.mean([p.gap for p in rows]):+.2f}; {sum(p.near for p in rows)} of {len(rows)} within 2 points, "
            f"{sum(p.inside for p in rows)} within their 95 % interval"
        )


def survival(seen: Any, moves: int) -> tuple[float, float]:
    """The share still inside after so many moves, with its standard error."""
    at = int(np.searchsorted(seen.surv_times, moves, "right")) - 1
    return (float(seen.surv_prob[at]), float(seen.surv_prob_se[at])) if at >= 0 else (1.0, 0.0)


@dataclass(frozen=True, slots=True)
class Followed:
    """Whole games against a plan.

    :param done: of each game the opponent's moves until its end, the pupil's other move, or the opponent's leaving.
    :param left: the opponent left.
    :param leaving: by number of the opponent's move, from 1: the weight of the games that left by it; ``staying``: of
        those that were told.
    """

    done: npt.NDArray[np.int64]
    left: Mask
    leaving: dict[int, float]
    staying: dict[int, float]

    def stay(self, moves: int) -> float:
        """The weighted share that is inside after so many moves."""
        share = 1.0
        for move in range(1, moves + 1):
            both = self.leaving[move] + self.staying[move]
            share *= self.staying[move] / both if both else 0.0
        return share


def followed(plan: Plan, field: GamesBelow) -> Followed:
    """Each whole game of a field against a plan's lines."""
    start, replies = chess.Board(plan.start), told(plan)
    done: list[int] = []
    left: list[bool] = []
    leaving: dict[int, float] = defaultdict(float)
    staying: dict[int, float] = defaultdict(float)

    def close(games: Any, moves: int, by_opponent: bool) -> None:
        done.extend([moves] * len(games))
        left.extend([by_opponent] * len(games))

    first = field.games_at(start)
    here = {position_key(start): (start, first, np.ones(len(first)))}
    for number in range(1, max(DEEP) // 2 + 1):
        onward: dict[int, tuple[chess.Board, Any, Any]] = {}
        for key, (board, games, weights) in here.items():
            played = field.moves_of(board, games)
            over = played == NO_MOVE
            close(games[over], number - 1, False)
            weights = weights / (1 - over.mean()) if not over.all() else weights
            own = replies.get(key, {})
            packed = {pack_move(chess.Move.from_uci(uci)): uci for uci in own}
            away = ~over & ~np.isin(played, list(packed))
            close(games[away], number, True)
            leaving[number] += float(weights[away].sum())
            for move, uci in packed.items():
                after = board.copy(stack=False)
                after.push_uci(uci)
                mine = played == move
                came, weighing = games[mine], weights[mine]
                staying[number] += float(weighing.sum())
                # How often the plan's answer is played here, by all held-back games that come here.
                answer = pack_move(chess.Move.from_uci(own[uci]))
                kept_to = field.moves_of(after, came) == answer
                often = np.mean(field.moves_of(after, field.games_at(after)) == answer) if len(came) else 1.0
                close(came[~kept_to], number, False)
                after.push_uci(own[uci])
                rows = came[kept_to], weighing[kept_to] / max(often, 1e-9)
                known = onward.get(position_key(after))
                if known:
                    rows = np.concatenate([known[1], rows[0]]), np.concatenate([known[2], rows[1]])
                order = np.argsort(rows[0], kind="stable")
                onward[position_key(after)] = (after, rows[0][order], rows[1][order])
        here = onward
    for _, games, _ in here.values():
        close(games, max(DEEP) // 2, False)
    return Followed(np.array(done), np.array(left), leaving, staying)


def fit(archive: GamesBase) -> None:
    """What the promise's constant was set by: openings that the tables above do not use."""
    print(f"| added games | {' | '.join(f'+{deep // 2}' for deep in DEEP)} | all | root of mean square |")
    print(f"|---|{'---|' * len(DEEP)}---|---|")
    usual = rules.UNSEEN
    for added in (0.0, 0.25, 0.5, 0.75, 1.0):
        rules.UNSEEN = added  # type: ignore[misc]
        found = [p for moves, side in OTHERS for p in _both_ways(archive, moves, side, 6)]
        cells = [f"{100 * np.mean([p.gap for p in found if p.deep == deep]):+.2f}" for deep in DEEP]
        square = 100 * np.sqrt(np.mean([p.gap**2 for p in found]))
        print(f"| {added} | {' | '.join(cells)} | {100 * np.mean([p.gap for p in found]):+.2f} | {square:.2f} |")
    rules.UNSEEN = usual  # type: ignore[misc]


TABLES: dict[str, Callable[[GamesBase], None]] = {
    "speed": speed, "command": command, "promises": promises, "bias": bias, "whole": whole, "years": years, "fit": fit,
}  # fmt: skip

if __name__ == "__main__":
    main()
