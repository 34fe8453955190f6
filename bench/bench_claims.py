"""Claims measured on the open talks with their true readings.

    python bench/bench_claims.py [--base GAMES.duckdb] [--engine SECONDS] [NAME ...]
    python bench/bench_claims.py --times [--base GAMES.duckdb] [NAME ...]

Per kind: claims marked, found (a finding of that kind shares at least half of their words, in order; compare
../shared/talks/score.py), verdict right, undecided, wrong; then every finding that is not marked, to be read
with the eyes. Without ``--base`` frequency claims stay undecided,
without ``--engine`` assessments do.

``--times`` runs the command ``check`` on each talk three times: without an engine, with one and nothing remembered,
and again; seconds, and what the engine costs the second time as a ratio to none.
"""

from __future__ import annotations

import argparse
import dataclasses
import os
import subprocess
import sys
import tempfile
import time
from collections import Counter
from contextlib import nullcontext
from pathlib import Path
from typing import Any

HERE = Path(__file__).resolve().parent
sys.path.insert(0, str(HERE.parent))

from tests import support  # noqa: E402
from tests.claims.support import as_captions  # noqa: E402

from linewright.claims.check import check_walk  # noqa: E402
from linewright.claims.engine_judge import judging  # noqa: E402
from linewright.claims.finding_lines import finding_line  # noqa: E402
from linewright.lesson.finding import Finding, Verdict  # noqa: E402


def with_text(ref: Path) -> bool:
    return ref.with_name(ref.name.replace(".ref.json", ".txt")).is_file()


def words(text: str) -> list[str]:
    return "".join(c.lower() if c.isalnum() else " " for c in text).split()


def common(a: list[str], b: list[str]) -> int:
    """Length of the longest common subsequence."""
    row = [0] * (len(b) + 1)
    for x in a:
        last = 0
        for j, y in enumerate(b, 1):
            last, row[j] = row[j], last + 1 if x == y else max(row[j], row[j - 1])
    return row[-1]


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("names", nargs="*")
    parser.add_argument("--base", type=Path)
    parser.add_argument("--talks", type=Path, default=support.TALKS, help="folder of NAME.ref.json and NAME.txt")
    parser.add_argument("--bare", action="store_true", help="without punctuation and case, as captions may be")
    parser.add_argument("--engine", type=float, metavar="SECONDS", help="ask an engine, so long for each talk")
    parser.add_argument("--memory", type=Path, default=Path("/tmp/bench-claims-engine.duckdb"), help="its memory")
    parser.add_argument("--quiet", action="store_true", help="the table only")
    parser.add_argument("--times", action="store_true", help="how long the command takes, instead")
    args = parser.parse_args()
    if args.times:
        _times(args)
        return
    support.TALKS = args.talks
    base = None
    if args.base:
        from linewright.games.api import GamesBase

        base = GamesBase.open(args.base)
    table: dict[str, Counter[str]] = {}
    notes: list[str] = []
    for name in args.names or sorted(p.name.split(".")[0] for p in args.talks.glob("*.ref.json") if with_text(p)):
        walk, marked = support.walk_from_ref(name)
        if args.bare:
            walk = dataclasses.replace(walk, talk=as_captions(walk.talk))
        with judging(None, args.memory, args.engine, print) if args.engine else nullcontext() as judge:
            found = [f for f in check_walk(walk, base, judge) if f.kind.value not in ("unread", "unsure")]
        used: set[int] = set()
        for claim in marked:
            count = table.setdefault(claim["kind"], Counter())
            count["marked"] += 1
            best = _best(claim, found, used)
            if best is None:
                notes.append(f"MISSED {name} {claim['kind']} {claim['truth']}: {claim['words']}")
                continue
            used.add(best)
            count["found"] += 1
            verdict, truth = found[best].verdict, claim["truth"]
            result = "right" if verdict == truth else "undecided" if verdict is Verdict.UNDECIDED else "wrong"
            count[result] += 1
            if result != "right":
                notes.append(f"{result.upper()} ({truth}) {finding_line(name, found[best])}  [{claim.get('note', '')}]")
            elif not args.quiet:
                notes.append(f"right {finding_line(name, found[best])}")
        notes += [f"UNMARKED {finding_line(name, f)}" for i, f in enumerate(found) if i not in used]
    if not args.quiet:
        print("\n".join(notes), end="\n\n")
    _print(table)


def _times(args: argparse.Namespace) -> None:
    """Seconds of ``linewright check`` without an engine, with one for the first time, and again."""
    names = args.names or sorted(p.name.split(".")[0] for p in args.talks.glob("*.ref.json") if with_text(p))
    load = f"load {os.getloadavg()[0]:.1f} on {os.cpu_count()} cores" if hasattr(os, "getloadavg") else ""
    print(f"{'talk':14}{'none':>8}{'first':>8}{'again':>8}{'again/none':>12}   {load}")
    for name in names:
        with tempfile.TemporaryDirectory() as home:
            seconds = [_timed(args, name, home, *words) for words in (("--no-engine",), (), ())]
        none, first, again = seconds
        print(f"{name:14}{none:8.1f}{first:8.1f}{again:8.1f}{again / none:12.2f}", flush=True)


def _timed(args: argparse.Namespace, name: str, home: str, *words: str) -> float:
    command = [
        sys.executable,
        "-c",
        "from linewright.cli.main import main; main()",
        "check",
        str(args.talks / f"{name}.txt"),
    ]
    base = ["--base", str(args.base)] if args.base else []
    started = time.perf_counter()
    environment = os.environ | {"LINEWRIGHT_HOME": home}
    done = subprocess.run([*command, *base, *words], env=environment, capture_output=True, text=True)
    if done.returncode > 1:
        raise SystemExit(done.stderr)
    return time.perf_counter() - started


def _best(claim: dict[str, Any], found: list[Finding], used: set[int]) -> int | None:
    """The unused finding of the claim's kind that shares most of its words, if at least half of them."""
    wanted = words(claim["words"])
    shares = [
        (common(wanted, words(f.said.words)) / len(wanted), -i)
        for i, f in enumerate(found)
        if i not in used and f.kind == claim["kind"]
    ]
    share, index = max(shares, default=(0.0, 0))
    return -index if share >= 0.5 else None


def _print(table: dict[str, Counter[str]]) -> None:
    columns = ("marked", "found", "right", "undecided", "wrong")
    total = sum(table.values(), Counter())
    print(f"{'kind':14}" + "".join(f"{c:>11}" for c in columns))
    for kind, count in [*sorted(table.items()), ("all", total)]:
        print(f"{kind:14}" + "".join(f"{count[c]:>11}" for c in columns))


if __name__ == "__main__":
    main()
