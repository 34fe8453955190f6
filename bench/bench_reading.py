"""How well talks are read: F1 by talk, how often moves called sure are right, time.

    python bench/bench_reading.py [--base FILE | --starter] [--ablations] [--errors] TALK …

TALK is NAME.txt, NAME.md, NAME.VOICE.vtt … with NAME.ref.json beside it. A move counts when the same move is made
from the same position in the same order (longest common subsequence), as in ../shared/talks/score.py.
"""

from __future__ import annotations

import argparse
import json
import time
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path
from typing import Any

from linewright.games.api import GamesBase, StarterTable
from linewright.lesson.walk import SURE, Walk
from linewright.reading.reader import read_talk
from linewright.reading.search.search_setup import ReadingOptions
from linewright.talk.load import load_talk

BINS = (0.0, 0.2, 0.4, 0.6, 0.8, 0.9, 0.95, 0.99, 1.01)


@dataclass(frozen=True)
class Result:
    """One talk's score: moves in the truth, moves said, moves right; (sure, right) of each said move."""

    name: str
    true: int
    said: int
    hit: int
    sure: tuple[tuple[float, bool], ...]
    seconds: float

    @property
    def f1(self) -> float:
        return 2 * self.hit / (self.true + self.said) if self.true + self.said else 0.0


def place(fen: str) -> str:
    return " ".join(fen.split()[:3])


def aligned(true: Sequence[object], said: Sequence[object]) -> set[int]:
    """Indices in ``said`` of a longest common subsequence with ``true``."""
    rows = [[0] * (len(said) + 1)]
    for x in true:
        row = [0]
        for j, y in enumerate(said, 1):
            row.append(rows[-1][j - 1] + 1 if x == y else max(rows[-1][j], row[-1]))
        rows.append(row)
    i, j, out = len(true), len(said), set()
    while i and j:
        if true[i - 1] == said[j - 1] and rows[i][j] == rows[i - 1][j - 1] + 1:
            out.add(j - 1)
            i, j = i - 1, j - 1
        elif rows[i - 1][j] >= rows[i][j - 1]:
            i -= 1
        else:
            j -= 1
    return out


def ref_of(path: Path) -> dict[str, Any]:
    name = path.name.split(".")[0]
    document: dict[str, Any] = json.loads((path.parent / f"{name}.ref.json").read_text())
    return document


def judge(path: Path, walk: Walk, seconds: float) -> Result:
    ref = ref_of(path)
    true = [(place(m["before"]), m["uci"]) for m in ref["moves"]]
    said = [(place(m.before), m.uci) for m in walk.moves]
    right = aligned(true, said)
    sure = tuple((m.sure, i in right) for i, m in enumerate(walk.moves))
    return Result(path.name, len(true), len(said), len(right), sure, seconds)


def errors(path: Path, walk: Walk) -> list[str]:
    """The places where a reading leaves the truth, for looking at."""
    ref = ref_of(path)
    true = [(place(m["before"]), m["uci"]) for m in ref["moves"]]
    said = [(place(m.before), m.uci) for m in walk.moves]
    right = aligned(true, said)
    hit = aligned(said, true)
    out = [f"  missed {m['words']!r} {m['san']}" for i, m in enumerate(ref["moves"]) if i not in hit]
    out += [f"  wrong {m.said.words!r} {m.san} {m.sure:.2f}" for i, m in enumerate(walk.moves) if i not in right]
    return out


def show(results: list[Result], title: str) -> None:
    hit, said, true = (sum(getattr(r, k) for r in results) for k in ("hit", "said", "true"))
    sure = [right for r in results for s, right in r.sure if s >= SURE]
    print(
        f"{title:28} F1 {2 * hit / (said + true):.3f}  P {hit / max(1, said):.3f}  R {hit / true:.3f}  "
        f"sure right {sum(sure) / max(1, len(sure)):.3f} ({len(sure) / max(1, said):.0%} of moves)  "
        f"{max(r.seconds for r in results):.1f} s at most"
    )


def reliability(results: list[Result]) -> None:
    print("sure         moves  right")
    for low, high in pairwise(BINS):
        inside = [right for r in results for s, right in r.sure if low <= s < high]
        if inside:
            print(f"{low:.2f}-{min(high, 1):.2f}   {len(inside):6} {sum(inside) / len(inside):6.3f}")


def run(
    paths: list[Path], base: GamesBase | StarterTable | None, options: ReadingOptions, show_errors: bool = False
) -> list[Result]:
    out = []
    for path in paths:
        talk = load_talk(path)
        start = time.process_time()
        walk = read_talk(talk, base, options)
        out.append(judge(path, walk, time.process_time() - start))
        if show_errors:
            print(f"{out[-1].name}: F1 {out[-1].f1:.3f} {out[-1].seconds:.1f} s")
            print("\n".join(errors(path, walk)))
    return out


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("talks", nargs="+", type=Path)
    games = parser.add_mutually_exclusive_group()
    games.add_argument("--base", type=Path)
    games.add_argument("--starter", action="store_true", help="the starter table instead of a base")
    parser.add_argument("--ablations", action="store_true")
    parser.add_argument("--errors", action="store_true")
    args = parser.parse_args()
    base = StarterTable.load() if args.starter else GamesBase.open(args.base) if args.base else None
    results = run(args.talks, base, ReadingOptions(), args.errors)
    for result in results:
        show([result], result.name)
    show(results, "all")
    reliability(results)
    if args.ablations:
        show(run(args.talks, None, ReadingOptions()), "without the games")
        show(run(args.talks, base, ReadingOptions(returns=False)), "without returns")
        show(run(args.talks, base, ReadingOptions(soundalikes=False)), "without sound-alikes")
        show(run(args.talks, base, ReadingOptions(greedy=True)), "greedy")


if __name__ == "__main__":
    main()
