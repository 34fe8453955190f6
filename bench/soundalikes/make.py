"""Make the reader's table of sound-alikes from the counts.

    python bench/soundalikes/make.py [--without WORD …] [TABLE.json]

``--without rough`` leaves out every source with that word in its name, to judge on them. Without it the table that
ships, ``src/linewright/language/en/sound_alikes_counted.json``, is rebuilt.

The table holds, for each run of heard units (see ``reading/words/units.py``), what may have been meant with
-log P(heard so | meant) in nats; log P(unit) in ordinary talk; and how a word's probability speaks for a mishearing.
P(heard | meant) is the share of the counts, smoothed with a weak prior made by hand (``prior.json``: rhyming
letters, homophones, words that sound like pieces): forms never counted keep a sensible cost, and the counts soon
outweigh it.
"""

from __future__ import annotations

import argparse
import json
import math
from collections import Counter, defaultdict
from collections.abc import Iterable
from pathlib import Path
from typing import Any

import numpy as np
from scipy.optimize import minimize

from linewright.reading.words.soundalikes import LONGEST, SUREST
from linewright.reading.words.units import KINDS, units
from linewright.reading.words.vocabulary import DIGITS, LETTERS

HERE = Path(__file__).resolve().parent
TABLE = HERE.parents[1] / "src" / "linewright" / "language" / "en" / "sound_alikes_counted.json"
CLASSES = units().classes
UNITS = frozenset(CLASSES)
#: How many times of saying a unit the prior is worth.
PRIOR_WEIGHT = 30.0
#: Probability that the prior gives to each form in its lists, to any other letter, and to any other digit.
FORM, LETTER, DIGIT = 0.01, 0.0007, 0.0005
#: A form counted once in all is as often an accident of the alignment as a form: its count is lessened by this.
DISCOUNT = 0.3
#: Within one recording a recogniser that has once written "light" for the knight goes on so: a word's form counts
#: this often at most. Letters and digits are heard anew each time.
PLAIN, AGAIN = LETTERS | DIGITS, 4
#: Weight of the prior for runs of units (how a piece is heard before any letter, how letters rhyme).
BACKED_WEIGHT = 10.0
#: Log-odds, in nats, at which a form in ordinary words is as good as a plain one; meanings dearer than the next
#: and beyond that many are left out, so that the lattice stays small. Chosen by hand on both voices'
#: cross-validated figures (`judge.py`).
EVIDENCE, DEAREST, MOST = 5.0, 7.0, 14
#: Nats above which a form isn't even listed.
LISTED = 9.0


def pooled(
    counts: dict[str, Any], without: Iterable[str]
) -> tuple[Counter[str], dict[str, Counter[str]], Counter[str], list[tuple[float, bool, int]]]:
    """Sums over the sources: units meant, forms by meaning, words of talk, probabilities."""
    meant: Counter[str] = Counter()
    pairs: dict[str, Counter[str]] = defaultdict(Counter)
    words: Counter[str] = Counter()
    trust: list[tuple[float, bool, int]] = []
    for source, tally in counts.items():
        if any(word in source.split() for word in without):
            continue
        meant.update(tally["meant"])
        for one, heard in tally["pairs"].items():
            pairs[one].update({h: n if h == one or one in PLAIN else min(n, AGAIN) for h, n in heard.items()})
        trust += [(p, right, n) for p, right, n in tally["trust"]]
        if not source.startswith("texts"):
            words.update(tally["words"])
    return meant, pairs, words, trust


def prior() -> dict[str, dict[str, float]]:
    """P(heard | meant) by hand, for single units."""
    lists = json.loads((HERE / "prior.json").read_text("utf-8"))
    out: dict[str, dict[str, float]] = {u: {} for u in UNITS}
    for letter in LETTERS:
        out[letter] |= {other: LETTER for other in LETTERS if other != letter}
    for digit in DIGITS:
        out[digit] |= {other: DIGIT for other in DIGITS if other != digit}
    for rhyme in lists["rhymes"]:
        for one in rhyme:
            if one in out:
                out[one] |= {other: FORM for other in rhyme if other != one}
    for meant, forms in lists["forms"].items():
        if " " not in meant:
            out[meant] |= dict.fromkeys(forms, FORM)
    return out


def spoken(meant: Counter[str], pairs: dict[str, Counter[str]]) -> dict[str, dict[str, float]]:
    """P(heard | meant) for single units and for runs of them."""
    table: dict[str, dict[str, float]] = {}
    by_hand = prior()
    for unit in sorted(UNITS):
        total = meant[unit] + PRIOR_WEIGHT
        forms = {h: max(0.0, n - DISCOUNT) if h != unit else float(n) for h, n in pairs.get(unit, {}).items()}
        for heard, p in by_hand[unit].items():
            forms[heard] = forms.get(heard, 0.0) + PRIOR_WEIGHT * p
        rest = 1.0 - sum(by_hand[unit].values())
        forms[unit] = forms.get(unit, 0.0) + PRIOR_WEIGHT * rest
        table[unit] = {h: n / total for h, n in forms.items() if h and n}
    table |= runs(meant, pairs)
    return table


def runs(meant: Counter[str], pairs: dict[str, Counter[str]]) -> dict[str, dict[str, float]]:
    """P(heard | meant) for what can't be cut into units: "90" for "knight d", "before" for "b 4"."""
    lists = json.loads((HERE / "prior.json").read_text("utf-8"))
    wholes = {m: forms for m, forms in pairs.items() if " " in m and kind(m)}
    wholes |= {m: Counter() for m in lists["forms"] if " " in m and m not in wholes}
    by_shape: dict[str, Counter[str]] = defaultdict(Counter)
    shape_total: Counter[str] = Counter()
    for one, forms in wholes.items():
        by_shape[shape(one)].update(forms)
    for one, n in meant.items():
        if " " in one:
            shape_total[shape(one)] += n
    table: dict[str, dict[str, float]] = {}
    for pattern, forms in by_shape.items():
        for one in spelt(pattern):
            total = meant[one] + BACKED_WEIGHT
            out: dict[str, float] = {}
            for heard, n in forms.items():
                if not heard:
                    continue
                if n > 1:  # once may be an accident
                    backed = BACKED_WEIGHT * n / (shape_total[pattern] + BACKED_WEIGHT)
                    out[heard] = (max(0.0, pairs.get(one, {}).get(heard, 0) - DISCOUNT) + backed) / total
            table[one] = out
    for one, heard_forms in lists["forms"].items():
        if " " in one:
            known = table.setdefault(one, {})
            for heard in heard_forms:
                known[heard] = known.get(heard, 0.0) + FORM * PRIOR_WEIGHT / (meant[one] + PRIOR_WEIGHT)
    return table


def mixed(form: str) -> bool:
    """A whole word of talk or chess beside other chess units ("and d" for "e"): each was heard for itself."""
    units = form.split()
    chess = [u for u in units if u in UNITS]
    words = [u for u in units if len(u) > 2]
    return len(units) > 1 and bool(chess) and bool(words)


def kind(run: str) -> bool:
    """The run is a part of a move, or may be continued to one."""
    return "".join(CLASSES[u] for u in run.split()) in KINDS


def shape(run: str) -> str:
    """The run with its letters left open: forms are shared between letters ("knight d", "knight e")."""
    return " ".join("*" if u in LETTERS else u for u in run.split())


def spelt(pattern: str) -> list[str]:
    """The runs of a shape."""
    out = [""]
    for unit in pattern.split():
        out = [f"{o} {u}" for o in out for u in (sorted(LETTERS) if unit == "*" else [unit])]
    return [o.strip() for o in out]


def confidence(trust: list[tuple[float, bool, int]]) -> list[float]:
    """Log-odds that a heard letter or digit is wrong: (bias, slope) over the log-odds of its probability, the bias
    without the log-odds of all together, so that an average word's doubt is nothing."""
    p = np.clip(np.array([t[0] for t in trust]), 1 - SUREST, SUREST)
    wrong = np.array([not t[1] for t in trust], dtype=float)
    n = np.array([t[2] for t in trust], dtype=float)
    x = np.log(p / (1 - p))

    def loss(w: np.ndarray) -> float:
        z = w[0] + w[1] * x
        return float((n * (np.logaddexp(0, z) - wrong * z)).sum() + w[1] ** 2 / 2)

    bias, slope = minimize(loss, np.zeros(2)).x
    share = ((n * wrong).sum() + 0.5) / (n.sum() + 1.0)
    return [round(float(bias - np.log(share / (1 - share))), 2), round(float(slope), 2)]


def make(counts: dict[str, Any], without: Iterable[str] = ()) -> dict[str, Any]:
    """The table."""
    meant, pairs, words, trust = pooled(counts, without)
    total = sum(words.values()) + sum(n for u, n in meant.items() if " " not in u)
    heard: dict[str, dict[str, float]] = defaultdict(dict)
    for one, forms in spoken(meant, pairs).items():
        for form, p in forms.items():
            nats = -math.log(p)
            if nats <= LISTED and len(form.split()) <= LONGEST and not mixed(form):
                heard[form][one] = round(nats, 2)
    used = {unit for run in heard for unit in run.split()} & (words.keys() | DIGITS)
    talk = {u: round(math.log((words[u] + 0.5) / total), 2) for u in sorted(used | {"#"})}
    return {
        "note": "How chess words are misheard. Made by bench/soundalikes/make.py; see there.",
        "heard": {run: dict(sorted(heard[run].items(), key=lambda kv: kv[1])) for run in sorted(heard)},
        "talk": talk,
        "other": round(math.log(0.5 / total), 2),
        "evidence": EVIDENCE,
        "dearest": DEAREST,
        "most": MOST,
        "trust": confidence(trust),
    }


def dump(table: dict[str, Any]) -> str:
    """JSON with one line for each heard run, so that changes can be read."""
    head = [f" {json.dumps(k)}: {json.dumps(v, ensure_ascii=False)}" for k, v in table.items() if k != "heard"]
    rows = ",\n".join(f"  {json.dumps(k, ensure_ascii=False)}: {json.dumps(v)}" for k, v in table["heard"].items())
    return "{\n" + ",\n".join(head) + ',\n "heard": {\n' + rows + "\n }\n}\n"


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("table", nargs="?", type=Path, default=TABLE)
    parser.add_argument("--without", action="append", default=[])
    parser.add_argument("--counts", type=Path, default=HERE / "counts.json")
    args = parser.parse_args()
    counts = json.loads(args.counts.read_text("utf-8"))
    table = make(counts, args.without)
    args.table.write_text(dump(table), "utf-8")
    print(f"{len(table['heard'])} heard forms, {sum(map(len, table['heard'].values()))} meanings: {args.table}")


if __name__ == "__main__":
    main()
