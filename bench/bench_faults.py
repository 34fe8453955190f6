"""Which frames and faults of speech cost how many moves: the reader on generated talks.

    python bench/bench_faults.py [--base FILE] [--jobs 2] [--first N] FOLDER …

FOLDER holds talks of ``bench/generate_talks.py`` (NAME.txt, NAME.ref.json with ``faults``). First F1 by folder and by
trait of whole talks; then, for each kind of fault: places, true moves in the six from the fault on, how many of them
were lost; at how many places the reader was following (the move before was read), and at how many of these it broke
(the fault's own move lost). Sorted by the share lost, which also counts what an earlier break cost. To compare with:
``all moves``, and ``square:…``, moves told with piece and square and nothing else.
"""

from __future__ import annotations

import argparse
import json
import sys
import time
from collections import defaultdict
from collections.abc import Iterable
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from functools import cache, partial
from pathlib import Path
from typing import Any

from bench_reading import Result, aligned, judge, place, ref_of, show
from linewright.games.api import GamesBase
from linewright.reading.reader import read_talk
from linewright.reading.search.search_setup import ReadingOptions
from linewright.talk.load import load_talk

#: True moves looked at from a fault on: one lost move costs five or six (../shared/SPEECH.md).
WINDOW = 6


@dataclass(frozen=True)
class Read:
    """One talk's result, its true reading, and the true moves that were read."""

    folder: str
    result: Result
    ref: dict[str, Any]
    hit: frozenset[int]


@dataclass
class Cost:
    """What one kind of fault goes with."""

    places: int = 0
    moves: int = 0
    lost: int = 0
    followed: int = 0
    breaks: int = 0


@cache
def open_base(path: Path) -> GamesBase:
    """The base, opened once in each process: its index is read into memory."""
    return GamesBase.open(path)


def read(path: Path, base: Path | None) -> Read:
    talk = load_talk(path)
    start = time.process_time()
    walk = read_talk(talk, open_base(base) if base else None, ReadingOptions())
    result = judge(path, walk, time.process_time() - start)
    ref = ref_of(path)
    true = [(place(m["before"]), m["uci"]) for m in ref["moves"]]
    said = [(place(m.before), m.uci) for m in walk.moves]
    return Read(path.parent.name, result, ref, frozenset(aligned(said, true)))


def costs(talks: Iterable[Read]) -> dict[str, Cost]:
    out: dict[str, Cost] = defaultdict(Cost)
    for talk in talks:
        total = len(talk.ref["moves"])
        everything = [{"kind": "all moves", "move": i} for i in range(total)]
        for fault in [*talk.ref.get("faults", []), *everything]:
            at = fault["move"]
            window = range(at, min(at + WINDOW, total))
            if not window:
                continue
            cost = out[fault["kind"]]
            cost.places += 1
            cost.moves += len(window)
            cost.lost += sum(i not in talk.hit for i in window)
            followed = at == 0 or at - 1 in talk.hit
            cost.followed += followed
            cost.breaks += followed and at not in talk.hit
    return out


def print_costs(table: dict[str, Cost]) -> None:
    print(f"{'kind':30} {'places':>7} {'in six':>7} {'lost':>6} {'share':>7} {'followed':>9} {'broke here':>12}")
    share = {kind: c.lost / c.moves for kind, c in table.items()}
    for kind in sorted(table, key=lambda k: (-share[k], k)):
        c = table[kind]
        window = f"{c.places:7} {c.moves:7} {c.lost:6} {share[kind]:7.1%}"
        print(f"{kind:30} {window} {c.followed:9} {c.breaks:5} {c.breaks / max(1, c.followed):6.1%}")


def in_order_of_seeds(folder: Path) -> list[Path]:
    """A folder's talks by the number their names end in, so that the first few mix all styles."""
    return sorted(folder.glob("*.txt"), key=lambda p: (int(p.stem.rpartition("-")[2]), p.name))


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("folders", nargs="+", type=Path)
    parser.add_argument("--base", type=Path)
    parser.add_argument("--jobs", type=int, default=1)
    parser.add_argument("--first", type=int, help="only so many talks of each folder")
    parser.add_argument("--json", type=Path, help="also write F1 by talk and the costs here")
    args = parser.parse_args()
    paths = [p for folder in args.folders for p in in_order_of_seeds(folder)[: args.first]]
    with ProcessPoolExecutor(args.jobs) as pool:
        talks = []
        for talk in pool.map(partial(read, base=args.base), paths):
            talks.append(talk)
            print(f"{talk.folder}/{talk.result.name} {talk.result.f1:.3f}", file=sys.stderr, flush=True)
    for folder in dict.fromkeys(t.folder for t in talks):
        show([t.result for t in talks if t.folder == folder], folder)
    for trait in sorted({trait for t in talks for trait in t.ref["traits"]}):
        show([t.result for t in talks if trait in t.ref["traits"]], f"  {trait}")
    show([t.result for t in talks if not t.ref["traits"]], "  typed, present, spoken moves")
    print()
    table = costs(talks)
    print_costs(table)
    if args.json:
        rows = {kind: vars(cost) for kind, cost in table.items()}
        by_talk = {f"{t.folder}/{t.result.name}": round(t.result.f1, 4) for t in talks}
        args.json.write_text(json.dumps({"f1": by_talk, "costs": rows}, indent=1))


if __name__ == "__main__":
    main()
