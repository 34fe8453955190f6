"""Fit the weights of ``remark_classifier`` on the given talks, our seen ones and the open table of sentences.

    python bench/fit_likely.py [--check]

A stretch counts as a claim of a kind when at least half of its words are in a claim marked so. Fitted by maximum a
posteriori with a Gaussian prior; first each talk, and each fifth of the table, is foretold from all the others, and
what a remark would find is told for several thresholds: claims found, and stretches that claim nothing. ``--check``
only tells.
"""

from __future__ import annotations

import argparse
import json
import sys
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np
import numpy.typing as npt
import scipy.optimize
import scipy.sparse

HERE = Path(__file__).resolve().parent
sys.path[:0] = [str(HERE), str(HERE.parent)]

from tests import support  # noqa: E402

import bench_blind  # noqa: E402
from linewright.claims.remarks.remark import stretches  # noqa: E402
from linewright.claims.remarks.remark_classifier import NOTHING, features  # noqa: E402
from linewright.claims.sentence.talk_scene import Scene  # noqa: E402
from linewright.lesson.walk import Walk  # noqa: E402

FOLDERS = (HERE.parents[1] / "shared" / "talks", HERE / "talks" / "seen")
TABLE = HERE / "claims" / "blind_open.toml"
FILE = HERE.parent / "src" / "linewright" / "language" / "en" / "remark_weights.json"
#: A name is used when it was seen so often; weights below are left out of the file.
OFTEN, WORTH = 3, 0.03
#: One over the variance of the prior.
PRIOR = 3.0

Floats = npt.NDArray[np.float64]


class Stretch(NamedTuple):
    talk: str
    names: tuple[str, ...]
    kind: str


def words(text: str) -> list[str]:
    return "".join(c.lower() if c.isalnum() else " " for c in text).split()


def read() -> Iterator[Stretch]:
    for folder in FOLDERS:
        support.TALKS = folder
        for path in sorted(folder.glob("*.ref.json")):
            name = path.name.split(".")[0]
            if (folder / f"{name}.txt").is_file():
                yield from of_walk(name, *support.walk_from_ref(name))
    for _, number, row in bench_blind.rows([TABLE]):
        claims = [row] if row["kind"] != "none" else []
        yield from of_walk(f"table {number % 5}", bench_blind.walk(row), claims, skip=1 if row["moves"] else 0)


def of_walk(name: str, walk: Walk, marked: list[dict[str, Any]], skip: int = 0) -> Iterator[Stretch]:
    """The stretches of a talk's sentences, but for the first ``skip``."""
    scene = Scene(walk)
    spans = marked_spans(walk.talk.words, marked)
    for sentence in scene.sentences[skip:]:
        for first, last in stretches(sentence, scene):
            tokens = sentence.tokens[first:last]
            low, high = tokens[0].first, tokens[-1].last
            kinds = [k for a, b, k in spans if 2 * (min(b, high) - max(a, low)) >= high - low]
            found = features([t.text for t in tokens], first == 0, last == len(sentence.tokens))
            yield Stretch(name, tuple(found), kinds[-1] if kinds else NOTHING)


def marked_spans(said: Any, marked: list[dict[str, Any]]) -> list[tuple[int, int, str]]:
    """Where the marked claims stand, in words of the talk."""
    flat = [(index, word) for index, each in enumerate(said) for word in words(each.text)]
    texts = [word for _, word in flat]
    spans: list[tuple[int, int, str]] = []
    for claim in marked:
        wanted = words(claim["words"])
        found = [n for n in range(len(texts)) if texts[n : n + len(wanted)] == wanted]
        after = [n for n in found if not spans or flat[n][0] >= spans[-1][1]] or found
        if after:
            spans.append((flat[after[0]][0], flat[after[0] + len(wanted) - 1][0] + 1, claim["kind"]))
    return spans


def matrix(rows: list[Stretch], names: list[str]) -> Any:
    place = {name: n for n, name in enumerate(names)}
    found = [(r, place[name]) for r, row in enumerate(rows) for name in row.names if name in place]
    at = np.array(found, dtype=np.int64).reshape(-1, 2)
    return scipy.sparse.csr_matrix((np.ones(len(at)), (at[:, 0], at[:, 1])), shape=(len(rows), len(names)))


def fit(rows: list[Stretch], classes: list[str]) -> tuple[list[str], Floats]:
    counts = Counter(name for row in rows for name in row.names)
    names = [name for name, count in counts.items() if count >= OFTEN]
    table = matrix(rows, names)
    wanted = np.zeros((len(rows), len(classes)))
    wanted[np.arange(len(rows)), [classes.index(row.kind) for row in rows]] = 1.0
    prior = np.full((len(names), 1), PRIOR)
    prior[names.index("bias")] = 0.01

    def loss(flat: Floats) -> tuple[float, Floats]:
        weights = flat.reshape(len(names), len(classes))
        sums = table @ weights
        top = sums.max(1, keepdims=True)
        total = top[:, 0] + np.log(np.exp(sums - top).sum(1))
        off = np.exp(sums - total[:, None]) - wanted
        value = total.sum() - (wanted * sums).sum() + 0.5 * (prior * weights**2).sum()
        return float(value), (table.T @ off + prior * weights).ravel()

    start = np.zeros(len(names) * len(classes))
    found = scipy.optimize.minimize(loss, start, jac=True, method="L-BFGS-B", options={"maxiter": 200})
    return names, found.x.reshape(len(names), len(classes))


def odds(rows: list[Stretch], names: list[str], weights: Floats) -> tuple[Floats, npt.NDArray[np.int64]]:
    sums = matrix(rows, names) @ weights
    return np.logaddexp.reduce(sums[:, 1:], axis=1) - sums[:, 0], 1 + sums[:, 1:].argmax(1)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--check", action="store_true", help="tell the figures, write nothing")
    args = parser.parse_args()
    rows = list(read())
    classes = [NOTHING, *sorted({row.kind for row in rows} - {NOTHING})]
    talks = sorted({row.talk for row in rows})
    claims = np.array([row.kind != NOTHING for row in rows])
    foretold, kinds = np.zeros(len(rows)), np.zeros(len(rows), dtype=np.int64)
    for talk in talks:
        here = np.array([row.talk == talk for row in rows])
        names, weights = fit([row for row in rows if row.talk != talk], classes)
        foretold[here], kinds[here] = odds([row for row in rows if row.talk == talk], names, weights)
    right = np.mean([classes[kinds[n]] == rows[n].kind for n in np.flatnonzero(claims)])
    print(f"{len(rows)} stretches of {len(talks)} talks, {claims.sum()} of claims; each talk foretold from the others")
    for least in (-1.5, -1.0, -0.5, 0.0, 0.5):
        taken = foretold > least
        print(
            f"log-odds over {least:+.1f}: {taken[claims].mean():.0%} of the claims' stretches, "
            f"{(taken & ~claims).sum() / len(talks):.1f} others a talk"
        )
    print(f"the kind of a claim's stretch is foretold right in {right:.0%}")
    if not args.check:
        names, weights = fit(rows, classes)
        kept = {n: [round(float(w), 2) for w in row] for n, row in zip(names, weights, strict=True)}
        table = {n: row for n, row in sorted(kept.items()) if max(map(abs, row)) >= WORTH}
        lines = ",\n".join(f"  {json.dumps(n, ensure_ascii=False)}: {json.dumps(row)}" for n, row in table.items())
        FILE.write_text(f'{{"classes": {json.dumps(classes)},\n "weights": {{\n{lines}\n}}}}\n', "utf-8")


if __name__ == "__main__":
    main()
