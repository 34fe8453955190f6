"""Claims measured on single sentences written by people who had not seen the finders.

    python bench/bench_blind.py bench/claims/blind_open.toml [--base GAMES.duckdb] [--engine SECONDS] [--quiet]

Each row is said right after the last of its moves, which is told in notation just before it. Per kind: claims, found
(a finding of that kind shares at least half of the claim's words, in order), verdict right, undecided where the table
decides, wrong, and false alarms (a true claim, or words that claim nothing, called false). Of rows that claim
nothing, what is found all the same is told apart: a finding there is no harm unless it is called false.
"""

from __future__ import annotations

import argparse
import sys
import tomllib
from collections import Counter
from collections.abc import Iterator
from contextlib import nullcontext
from dataclasses import replace
from pathlib import Path
from typing import Any

HERE = Path(__file__).resolve().parent
sys.path[:0] = [str(HERE), str(HERE.parent)]

from tests.claims.support import as_captions, walk_of  # noqa: E402
from tests.support import UNDECIDED  # noqa: E402

from bench_claims import _print, common, words  # noqa: E402
from linewright.claims.check import check_walk  # noqa: E402
from linewright.claims.engine_judge import judging  # noqa: E402
from linewright.claims.finding_lines import finding_line  # noqa: E402
from linewright.lesson.finding import Finding, Kind, Verdict  # noqa: E402
from linewright.lesson.walk import Walk  # noqa: E402

#: Kinds that are not claims of the words.
UNASKED = frozenset({Kind.UNREAD, Kind.UNSURE, Kind.REPLY, Kind.PRAISE, Kind.REFUTATION, Kind.BRANCH, Kind.FINISH})


def rows(tables: list[Path]) -> Iterator[tuple[Path, int, dict[str, Any]]]:
    for path in tables:
        for number, row in enumerate(tomllib.loads(path.read_text("utf-8"))["row"], 1):
            yield path, number, row | {"truth": UNDECIDED.get(row["truth"], row["truth"])}


def walk(row: dict[str, Any]) -> Walk:
    """The row's line with its last move told in notation, and then the sentence."""
    *line, last = row["moves"].split() or [""]
    silent = "".join(f"[{move}|]" for move in line)
    told = f"{silent}[{last}|{last}]. {row['said']}" if last else row["said"]
    made = walk_of(told, side=row["side"])
    return replace(made, talk=as_captions(made.talk)) if "captions" in row["voice"] else made


def result(row: dict[str, Any], found: list[Finding]) -> tuple[str, Finding | None]:
    """How the row's claim fared, and the finding that speaks of it."""
    told = words(row["words"])  # compare ../shared/talks/score.py
    fitting = [f for f in found if f.kind.value == row["kind"]]
    best = max(fitting, key=lambda f: common(told, words(f.said.words)), default=None)
    if best is None or 2 * common(told, words(best.said.words)) < len(told):
        return "missed", None
    if best.verdict == row["truth"]:
        return "right", best
    return "undecided" if best.verdict is Verdict.UNDECIDED else "wrong", best


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("tables", nargs="+", type=Path)
    parser.add_argument("--base", type=Path)
    parser.add_argument("--engine", type=float, metavar="SECONDS", help="for each row that wants it")
    parser.add_argument("--memory", type=Path, default=Path("/tmp/bench-blind-engine.sqlite"), help="its memory")
    parser.add_argument("--quiet", action="store_true", help="the figures only")
    args = parser.parse_args()
    base = None
    if args.base:
        from linewright.games.api import GamesBase

        base = GamesBase.open(args.base)
    table: dict[str, Counter[str]] = {}
    alarms = nothing = 0
    with judging(None, args.memory, args.engine, print) if args.engine else nullcontext() as judge:
        for path, number, row in rows(args.tables):
            found = list(check_walk(walk(row), base, judge, off=UNASKED))
            place, count = f"{path.name}#{number}", table.setdefault(row["kind"], Counter())
            if row["kind"] == "none":
                nothing += 1
                false = [f for f in found if f.verdict is Verdict.FAILS]
                alarms += bool(false)
                notes = [("ALARM" if f in false else "UNMARKED", f) for f in found]
            else:
                fared, best = result(row, found)
                count["marked"] += 1
                count["found"] += fared != "missed"
                count[fared] += 1
                notes = [(f.kind.value.upper() if f is not best else fared, f) for f in found] or [("MISSED", None)]
                if best is None:
                    notes = [("MISSED", None), *notes] if found else notes
            if args.quiet or [n for n, _ in notes] == ["right"] or not notes:
                continue
            print(f"\n{place} {row['kind']} {row['truth']} ({row['voice']}, {row['side']})\n  {row['said']}")
            print(f"  claim: {row['words']} | {row['note']}\n  {row['moves']}")
            for name, finding in notes:
                print(f"  {name} {finding_line(place, finding) if finding else ''}")
    print()
    table.pop("none", None)
    _print(table)
    print(f"rows that claim nothing: {nothing}, false alarms in them: {alarms}")


if __name__ == "__main__":
    main()
