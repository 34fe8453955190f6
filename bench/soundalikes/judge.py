"""How well moves are understood where the position is known, by table of sound-alikes.

    python bench/soundalikes/judge.py --base FILE [--table FILE | --without WORD …] [--misses] TALK …

TALK is NAME.VOICE.vtt or NAME.VOICE.words.json. For every true move (NAME.ref.json) the words where it was said
(NAME.txt, aligned with what was heard) are read in
the true position: is the move found at all, is it the likeliest, and what probability has it? So the table is
judged apart from the search, returns and what is only mentioned. ``--without`` makes the table anew without the
sources that have that word in their names (as ``make.py`` does), to judge on them.
"""

from __future__ import annotations

import argparse
import json
import math
import sys
from pathlib import Path

import chess

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))
import align
import make

from linewright.games.api import GamesBase
from linewright.reading.phrases.phrase_finder import Phrase, PhraseFinder
from linewright.reading.search.move_candidates import LIKELIHOOD_POWER
from linewright.reading.search.positions import Atlas, Position
from linewright.reading.words import soundalikes
from linewright.reading.words.soundalikes import SoundAlikes
from linewright.reading.words.tokens import tokens
from linewright.reading.words.units import atoms
from linewright.talk.load import load_talk

#: Nats at which a move that no phrase fits counts: about the chance of one among all legal moves.
MISSED = 6.0
#: A move's words may be heard this many tokens before or after the place where they align.
SLACK = 1


def use(document: dict[str, object] | None) -> None:
    """Read with this table from now on."""
    if document is not None:
        known = SoundAlikes.of(document)
        soundalikes.table.cache_clear()
        soundalikes.table = lambda language=None: known  # type: ignore[assignment,misc]


def places(text: str, heard: list[str]) -> list[tuple[int, int]]:
    """For each character of the text, the heard tokens (first, last) that its unit was heard as."""
    units, spans, owner = [], [], []
    for match in align.re.finditer(r"[^\s\-–—/]+", text):
        for unit in atoms(align.bare(match[0])):
            units.append(unit)
            spans.append(match.span())
    said: list[str] = []
    for index, token in enumerate(heard):
        for unit in atoms(token):
            said.append(unit)
            owner.append(index)
    out = [(0, 0)] * (len(text) + 1)
    for a, b, c, d in align.pairs(units, said):
        for k in range(a, b):
            first, last = (owner[c], owner[d - 1] + 1) if d > c else (owner[min(c, len(owner) - 1)],) * 2
            for at in range(*spans[k]):
                out[at] = (min(first, out[at][0]), max(last, out[at][1])) if out[at] != (0, 0) else (first, last)
    return out


def fits(position: Position, phrases: list[Phrase]) -> dict[str, float]:
    """Log-weight of each legal move that some phrase fits."""
    out: dict[str, float] = {}
    for phrase in phrases:
        for match in position.matches(phrase):
            score = LIKELIHOOD_POWER * position.log_likelihood(match.legal) - match.cost - phrase.cost
            out[match.legal.uci] = max(score, out.get(match.legal.uci, -math.inf))
    return out


def judge(path: Path, base: GamesBase, misses: bool) -> tuple[int, int, int, float, int]:
    """(moves, found, likeliest, nats lost in all, phrases)."""
    name = path.name.split(".")[0]
    ref = json.loads((path.parent / f"{name}.ref.json").read_text("utf-8"))
    words = tokens(load_talk(path))
    found = PhraseFinder(words, True).all()
    where = places((path.parent / f"{name}.txt").read_text("utf-8"), [t.text for t in words])
    atlas = Atlas(base)
    hit = best = 0
    lost = 0.0
    for move in ref["moves"]:
        spans = [where[at] for at in range(*move["at"]) if where[at] != (0, 0)]
        first, last = min((s[0] for s in spans), default=0), max((s[1] for s in spans), default=0)
        position = atlas.start(chess.Board(move["before"]))
        atlas.ask([position])
        inside = [p for i in range(max(0, first - SLACK), min(last + SLACK, len(found))) for p in found[i]]
        near = [p for p in inside if p.last <= last + SLACK and not p.past]
        weights = fits(position, near)
        mine = weights.get(move["uci"])
        hit += mine is not None
        top = max(weights.values(), default=0.0)
        best += mine is not None and mine == top
        total = top + math.log(sum(math.exp(w - top) for w in weights.values())) if weights else 0.0
        lost += MISSED if mine is None else min(MISSED, total - mine)
        if misses and (mine is None or mine < top):
            said = " ".join(t.raw for t in words[max(0, first - 2) : last + 2])
            rival = max(weights, key=lambda u: weights[u], default="nothing")
            by = "" if mine is None else f", {top - mine:.1f} nats better"
            print(f"  {move['words']!r} {move['san']} heard {said!r}: {rival}{by}")
    return len(ref["moves"]), hit, best, lost, sum(map(len, found))


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("talks", nargs="+", type=Path)
    parser.add_argument("--base", type=Path, required=True)
    parser.add_argument("--table", type=Path)
    parser.add_argument("--counts", type=Path, default=make.HERE / "counts.json")
    parser.add_argument("--without", action="append", default=[])
    parser.add_argument("--misses", action="store_true")
    args = parser.parse_args()
    if args.without:
        use(make.make(json.loads(args.counts.read_text("utf-8")), args.without))
    elif args.table:
        use(json.loads(args.table.read_text("utf-8")))
    base = GamesBase.open(args.base)
    sums = [0.0] * 5
    for path in args.talks:
        row = judge(path, base, args.misses)
        sums = [a + b for a, b in zip(sums, row, strict=True)]
        print(told(path.name, row))
    print(told("all", sums))


def told(name: str, row: tuple[float, ...] | list[float]) -> str:
    moves, hit, best, lost, phrases = row
    return (
        f"{name:32} found {hit / moves:.3f}  likeliest {best / moves:.3f}  nats lost {lost / moves:.3f}  "
        f"{phrases / moves:.1f} phrases a move"
    )


if __name__ == "__main__":
    main()
