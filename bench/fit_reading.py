"""Fit the reader's weights on talks with a known reading.

    python bench/fit_reading.py [--write] TALK.txt …      (NAME.ref.json beside each)

Four independent log-linear models, each fitted by maximum a posteriori with a Gaussian prior around the weights
in use (so that a feature seen seldom keeps the value that common sense gave it):

* playing   logistic: is this phrase played, or only mentioned?
* returning logistic: does the trainer go back before this move?
* target    conditional logit: which position of the tree is gone back to?
* sure      logistic: is this move of the reading right? (``--sure``: reads the talks, any kind, with ``--base``)

``--write`` puts the fitted weights into ``language/en/reading/weights.json``; without it they are only printed.
Leave the talks that you want to judge with out of the list.
"""

from __future__ import annotations

import argparse
import json
from collections.abc import Callable, Sequence
from multiprocessing import Pool
from pathlib import Path
from typing import Any

import chess
import numpy as np
from scipy.optimize import minimize

from bench_reading import judge, place
from linewright.games.api import GamesBase
from linewright.reading import reader
from linewright.reading.phrases.context import Context, Interlude
from linewright.reading.phrases.phrase_finder import Phrase, PhraseFinder
from linewright.reading.search import weights
from linewright.reading.search.hypothesis import Hypothesis
from linewright.reading.search.positions import Atlas
from linewright.reading.search.returns import TreeNode, led_by, target_odds
from linewright.reading.words.tokens import tokens
from linewright.talk.load import load_talk

#: Standard deviation of the prior around the weights in use, in nats.
PRIOR = 2.0
#: Weights that are not fitted: only one of the talks is written in notation, and its style is not everybody's;
#: squares after "on" are played only in roundabout descriptions, of which the talks have more than their share.
KEPT = frozenset({"written", "number", "place word before"})

Example = tuple[frozenset[str], bool]
Choice = tuple[list[dict[str, float]], int]


class Lesson:
    """A talk with its true reading, taken apart into examples."""

    def __init__(self, path: Path) -> None:
        talk = load_talk(path)
        self.ref: dict[str, Any] = json.loads((path.parent / f"{path.name.split('.')[0]}.ref.json").read_text())
        self.words = tokens(talk)
        self.context = Context(self.words, PhraseFinder(self.words, False).all())
        self.spans = [talk.words[t.word].at for t in self.words]

    def within(self, at: tuple[int, int]) -> list[int]:
        """Tokens that touch a range of characters."""
        return [i for i, (a, b) in enumerate(self.spans) if a < at[1] and b > at[0]]

    def examples(self) -> tuple[list[Example], list[Example], list[Choice]]:
        playing: list[Example] = []
        returning: list[Example] = []
        choices: list[Choice] = []
        root = Atlas(None).start(chess.Board())
        tree: tuple[TreeNode, ...] = (TreeNode(root, -1, ""),)
        at, since, spans = 0, 0, []
        told: list[tuple[int, tuple[TreeNode, ...], int]] = [(0, tree, 0)]
        for move in self.ref["moves"]:
            covered = self.within(move["at"]) or self.within((move["at"][0] - 9, move["at"][1] + 9))  # a false start
            first, last = covered[0], covered[-1] + 1
            inside = [p for p in self.context.main[first:last] if p is not None]
            spans.append((inside[-1].first if inside else first, last))  # the move that stays is said last
            phrase = self._phrase(first, last)
            back = place(tree[at].position.board.fen()) != place(move["before"])
            if phrase is not None and len(tree) > 1:
                gap = self.context.gap(since, phrase.first)
                returning.append((self.context.return_features(since, phrase.first), back))
                if back:
                    targets = [i for i, n in enumerate(tree) if place(n.position.board.fen()) == place(move["before"])]
                    rows = _target_features(tree, at, gap)
                    choices.append((rows, targets[-1]))
            if back:
                at = max(i for i, n in enumerate(tree) if place(n.position.board.fen()) == place(move["before"]))
            known = [i for i, n in enumerate(tree) if n.parent == at and n.uci == move["uci"]]
            if not known:
                legal = next(x for x in tree[at].position.legal if x.uci == move["uci"])
                tree = (*tree, TreeNode(tree[at].position.after(legal), at, legal.uci))
            at = known[0] if known else len(tree) - 1
            since = last
            told.append((last, tree, at))
        for phrase in self.context.main:
            if phrase is None:
                continue
            played = any(a < phrase.last and phrase.first < b for a, b in spans)
            _, then, on = max((t for t in told if t[0] <= phrase.first), key=lambda t: t[0])
            if not played and phrase.to and led_by(then, on, phrase):
                continue  # the move just played, said again: passing over it costs nothing anyway
            playing.append((self.context.features(phrase), played))
        return playing, returning, choices

    def _phrase(self, first: int, last: int) -> Phrase | None:
        found = [p for p in self.context.main[first:last] if p is not None]
        return found[0] if found else None


def judged_all(paths: list[Path], base: Path | None, jobs: int) -> list[tuple[dict[str, float], bool]]:
    """As :func:`judged`, over several processes, each with the base open for itself."""
    with Pool(jobs, _open, (base,)) as pool:
        return [row for rows in pool.imap(_judged, paths) for row in rows]


def _open(base: Path | None) -> None:
    global _base
    _base = GamesBase.open(base) if base else None


def _judged(path: Path) -> list[tuple[dict[str, float], bool]]:
    return judged([path], _base)


_base: GamesBase | None = None


def judged(paths: list[Path], base: GamesBase | None) -> list[tuple[dict[str, float], bool]]:
    """For each move that the reader hears in the talks: the evidence for it, and whether it is right."""
    out: list[tuple[dict[str, float], bool]] = []
    seen: list[dict[str, float]] = []
    steps: list[dict[str, float] | None] = []
    evidence, whole = reader.Telling.evidence, reader.Telling.judge

    def spy(self: reader.Telling, hypothesis: Hypothesis, share: float, line: float) -> dict[str, float]:
        seen.append(evidence(self, hypothesis, share, line))
        return seen[-1]

    def spy_on_step(self: reader.Telling, *args: Any) -> Any:
        seen.clear()
        found = whole(self, *args)
        steps.append(dict(seen[0]) if seen else None)  # moves put in without their words are judged by no evidence
        return found

    reader.Telling.evidence = spy  # type: ignore[method-assign]
    reader.Telling.judge = spy_on_step  # type: ignore[method-assign]
    for path in paths:
        steps.clear()
        walk = reader.read_talk(load_talk(path), base)
        right = [flag for _, flag in judge(path, walk, 0.0).sure]
        out += [(step, flag) for step, flag in zip(steps, right, strict=True) if step is not None]
    reader.Telling.evidence, reader.Telling.judge = evidence, whole  # type: ignore[method-assign]
    return out


def fit_sure(paths: list[Path], base: Path | None, write: bool, jobs: int = 2) -> None:
    """Fit the "sure" table so that moves called 90 % sure are right nine times in ten."""
    rows = judged_all(paths, base, jobs)
    old = weights.load()
    names = sorted(old["sure"])
    x = np.array([[features.get(n, 0.0) for n in names] for features, _ in rows])
    y = np.array([1.0 if right else -1.0 for _, right in rows])
    mean, spread = np.array([old["sure"][n] for n in names]), _spread(names)

    def loss(w: np.ndarray) -> tuple[float, np.ndarray]:
        margin = y * (x @ w)
        grad = -(x.T @ (y / (1.0 + np.exp(np.clip(margin, -500, 500))))) + (w - mean) / spread**2
        return float(np.logaddexp(0, -margin).sum() + (((w - mean) / spread) ** 2).sum() / 2), grad

    fitted = _solve(loss, names, mean)
    print(len(rows), fitted)
    if write:
        weights.write({**old, "sure": fitted})


def _target_features(tree: tuple[TreeNode, ...], at: int, gap: Interlude) -> list[dict[str, float]]:
    """For each position of the tree, the "target" features that hold for going back to it."""
    names = weights.load()["target"]
    columns = {n: target_odds(tree, at, gap, {m: float(m == n) for m in names}) for n in names}
    return [{n: column[i] for n, column in columns.items() if column[i]} for i in range(len(tree))]


def map_logistic(examples: list[Example], prior: dict[str, float], only: Sequence[str] = ()) -> dict[str, float]:
    """Maximum a posteriori weights of a logistic model; of those whose names begin otherwise than ``only``, none
    changes."""
    names = sorted(prior)
    x = np.array([[float(n in features) for n in names] for features, _ in examples])
    y = np.array([1.0 if label else -1.0 for _, label in examples])
    mean, spread = np.array([prior[n] for n in names]), _spread(names)
    if only:
        spread[[not n.startswith(tuple(only)) for n in names]] = 1e-3

    def loss(w: np.ndarray) -> tuple[float, np.ndarray]:
        margin = y * (x @ w)
        grad = -(x.T @ (y / (1.0 + np.exp(np.clip(margin, -500, 500)))))
        return float(np.logaddexp(0, -margin).sum() + (((w - mean) / spread) ** 2).sum() / 2), grad + (
            w - mean
        ) / spread**2

    return _solve(loss, names, mean)


def map_choice(choices: list[Choice], prior: dict[str, float]) -> dict[str, float]:
    """Maximum a posteriori weights of a conditional logit."""
    names = sorted(prior)
    tables = [(np.array([[f.get(n, 0.0) for n in names] for f in rows]), t) for rows, t in choices]
    mean, spread = np.array([prior[n] for n in names]), _spread(names)

    def loss(w: np.ndarray) -> tuple[float, np.ndarray]:
        total, grad = float((((w - mean) / spread) ** 2).sum() / 2), (w - mean) / spread**2
        for table, target in tables:
            scores = table @ w
            scores -= scores.max()
            p = np.exp(scores) / np.exp(scores).sum()
            total -= float(np.log(p[target]))
            grad = grad + p @ table - table[target]
        return total, grad

    return _solve(loss, names, mean)


def _solve(
    loss: Callable[[np.ndarray], tuple[float, np.ndarray]], names: list[str], start: np.ndarray
) -> dict[str, float]:
    found = minimize(loss, start, jac=True, method="L-BFGS-B")
    return {n: round(float(w), 2) for n, w in zip(names, found.x, strict=True)}


def _spread(names: list[str]) -> np.ndarray:
    """Standard deviation of the prior of each weight."""
    return np.array([1e-3 if n in KEPT else PRIOR for n in names])


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("talks", nargs="+", type=Path)
    parser.add_argument("--write", action="store_true")
    parser.add_argument("--sure", action="store_true")
    parser.add_argument("--base", type=Path)
    parser.add_argument("--only", nargs="*", default=(), help="fit only the playing weights whose names begin so")
    args = parser.parse_args()
    if args.sure:
        fit_sure(args.talks, args.base, args.write)
        return
    playing: list[Example] = []
    returning: list[Example] = []
    choices: list[Choice] = []
    for path in args.talks:
        one, two, three = Lesson(path).examples()
        playing += one
        returning += two
        choices += three
    print(f"{len(playing)} phrases, {len(returning)} moves, {len(choices)} returns")
    old = weights.load()
    new = {
        "playing": map_logistic(playing, old["playing"], args.only),
        "returning": old["returning"] if args.only else map_logistic(returning, old["returning"]),
        "target": old["target"] if args.only else map_choice(choices, old["target"]),
    }
    for group, values in new.items():
        for name, value in values.items():
            seen = sum(name in f for f, _ in (playing if group == "playing" else returning))
            print(f"{group:10} {name:32} {old[group][name]:6.2f} -> {value:6.2f}   {seen if group != 'target' else ''}")
    if args.write:
        weights.write({**old, **new})


if __name__ == "__main__":
    main()
