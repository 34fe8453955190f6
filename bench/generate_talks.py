"""Make opening talks from real game trees, with the frames and faults of real speech and their true readings.

    python bench/generate_talks.py [--base FILE | --games FILE.pgn] [--count 20] [--seed 1] [--noise mild]
                                   [--style any] [--held] [--rates FILE.toml] OUT

Writes OUT/NAME.txt and OUT/NAME.ref.json, the latter in the shape of bench/talks/make_refs.py with four parts more:
``faults`` (kind, place in the text, first move at or after it), ``unsaid`` (moves on the board that nobody told),
``traits`` of the whole talk and ``meta``. The same settings give the same talks.

Every wording stands in bench/generator/wordings; half of each kind is marked ``held`` and used only with --held, so
that one can fit on one half and judge on the other. Rates stand in bench/generator/rates.toml; --rates names a TOML
file whose top-level keys go over them, e.g. ``plain = 0.6``.
"""

from __future__ import annotations

import argparse
import json
import tomllib
from collections import Counter
from pathlib import Path

from generator.lines import BaseLines, GameLines, Source
from generator.talk import generate
from generator.wordings import load_rates

DEMO = Path(__file__).resolve().parents[1] / "src" / "linewright" / "demo" / "games.pgn"


def source_of(args: argparse.Namespace) -> Source:
    return BaseLines(args.base) if args.base else GameLines.read(args.games)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("out", type=Path, help="folder for the talks")
    parser.add_argument("--base", type=Path, help="a Linewright games base")
    parser.add_argument("--games", type=Path, default=DEMO, help="a PGN file, where there is no base (the demo's)")
    parser.add_argument("--count", type=int, default=20)
    parser.add_argument("--seed", type=int, default=1, help="seed of the first talk; the others follow")
    parser.add_argument("--noise", choices=sorted(load_rates()["noise"]), default="mild")
    parser.add_argument("--style", choices=sorted(load_rates()["style"]), default="any")
    parser.add_argument("--held", action="store_true", help="use the wordings held back for judging")
    parser.add_argument("--rates", type=Path, help="TOML file with rates of your own")
    args = parser.parse_args()
    own = tomllib.loads(args.rates.read_text(encoding="utf-8")) if args.rates else None
    source = source_of(args)
    args.out.mkdir(parents=True, exist_ok=True)
    faults: Counter[str] = Counter()
    words = moves = 0
    for seed in range(args.seed, args.seed + args.count):
        text, ref = generate(seed, source, args.noise, args.style, args.held, own)
        name = args.out / f"{ref['meta']['style'].replace('_', '-')}-{args.noise}-{seed}"
        name.with_name(name.name + ".txt").write_text(text + "\n", encoding="utf-8")
        name.with_name(name.name + ".ref.json").write_text(
            json.dumps(ref, indent=1, ensure_ascii=False), encoding="utf-8"
        )
        faults.update(f["kind"] for f in ref["faults"])
        words, moves = words + len(text.split()), moves + len(ref["moves"])
    print(f"{args.count} talks, {words} words, {moves} moves")
    for kind, count in sorted(faults.items()):
        print(f"{kind:32} {count:6} {count / max(1, moves):7.1%} of moves")


if __name__ == "__main__":
    main()
