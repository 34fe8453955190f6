"""Effort to perfect: how many truthful answers a reading needs until its F1 reaches 0.99.

    python bench/bench_ask.py --base FILE [--most N] [--trace] TALK …

A script plays the trainer: it drives the machine interface of ``linewright read TALK --ask --json-lines`` in process
and answers each question from NAME.ref.json: the moves whose words lie in the question's words (or in the words passed
over before them), "no move" where there is none. Every answer counts, also one that only confirms. A typed talk's
moves stand at their character offsets; for captions the words of NAME.txt are aligned with the caption's words.
F1 as in ``bench_reading.py``.
"""

from __future__ import annotations

import argparse
import pickle
import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from difflib import SequenceMatcher
from pathlib import Path
from typing import Any

from bench_reading import errors, judge, place, ref_of
from linewright.games.api import GamesBase
from linewright.language.tokens import word_key
from linewright.lesson.walk import Walk
from linewright.reading.answers import Answer
from linewright.reading.reader import read_talk
from linewright.settle.machine import question_json, take
from linewright.settle.session import CannotBe, Session
from linewright.talk.load import load_talk
from linewright.talk.model import Talk, Unit

#: F1 at which a reading counts as perfect.
PERFECT = 0.99
#: Words within which the same move counts as told by other words.
NEAR = 12


@dataclass(frozen=True)
class True_:
    """A move of the truth with its words in the talk."""

    san: str
    before: str
    first: int
    last: int


def truth(path: Path, talk: Talk) -> list[True_]:
    """The moves that a talk really tells, by its words."""
    ref = ref_of(path)
    if talk.unit is Unit.CHARACTERS:
        spans = [w.at for w in talk.words]
        where = {i: i for i in range(len(spans))}
    else:
        text = (path.parent / f"{path.name.split('.')[0]}.txt").read_text()
        spans = [m.span() for m in re.finditer(r"\S+", text)]
        where = aligned([word_key(text[a:b]) for a, b in spans], [word_key(w.text) for w in talk.words])
    out = []
    for move in ref["moves"]:
        at = move["at"]
        hit = [where[i] for i, (a, b) in enumerate(spans) if a < at[1] and b > at[0] and i in where]
        if hit:
            out.append(True_(move["san"], move["before"], min(hit), max(hit) + 1))
    return out


def aligned(one: Sequence[str], two: Sequence[str]) -> dict[int, int]:
    """For each word of one text its counterpart in another; replaced stretches are matched in proportion."""
    out: dict[int, int] = {}
    for tag, a, b, c, d in SequenceMatcher(None, one, two, autojunk=False).get_opcodes():
        if tag == "equal":
            out.update(zip(range(a, b), range(c, d), strict=True))
        elif tag == "replace":
            out.update((i, c + (i - a) * (d - c) // (b - a)) for i in range(a, b))
        elif tag == "delete" and d < len(two):
            out.update((i, max(0, d - 1)) for i in range(a, b))
    return out


def reply(question: dict[str, Any], walk: Walk, true: Sequence[True_]) -> dict[str, Any]:
    """A truthful answer to a question: the moves told in its words and in those passed over before them."""
    read = question["choices"][0]
    end = question["places"][-1]["last"]
    told = [t for t in as_worded(walk, true) if t.first < end and t.last > question["since"]]
    told = [t for t in told if t.first >= question["since"] or t.last > question["first"]]
    if [m["san"] for m in read] == [t.san for t in told] and all(
        place(m["from"]) == place(t.before) for m, t in zip(read, told, strict=True)
    ):
        return {"choose": 0}
    if told and place(told[0].before) not in {place(node.fen) for node in walk.nodes}:
        return {"do": "back"}
    return {"moves": [{"san": t.san, "from": t.before} for t in told]}


def as_worded(walk: Walk, true: Sequence[True_]) -> list[True_]:
    """The truth, where the reading has the same move by other words near by with those words.

    "We take. E takes d5" tells one move; by which of the words is a matter of taste.
    """
    ours = [(m.san, place(m.before)) for m in walk.moves]
    theirs = [(t.san, place(t.before)) for t in true]
    out = list(true)
    for tag, a, b, c, _ in SequenceMatcher(None, theirs, ours, autojunk=False).get_opcodes():
        for i in range(a, b) if tag == "equal" else ():
            said = walk.moves[c + i - a].said
            if said.first < said.last and abs(said.first - true[i].first) <= NEAR:
                out[i] = replace(true[i], first=said.first, last=said.last)
    return out


class Reading:
    """Reads a talk, each set of answers once."""

    def __init__(self, talk: Talk, base: GamesBase | None, cache: Path | None) -> None:
        self.talk, self.base, self.cache = talk, base, cache
        self.known: dict[tuple[Answer, ...], Walk] = {}
        if cache is not None and cache.exists():
            self.known = pickle.loads(cache.read_bytes())

    def __call__(self, answers: Sequence[Answer]) -> Walk:
        made = tuple(answers)
        if made not in self.known:
            self.known[made] = read_talk(self.talk, self.base, answers=made)
            if self.cache is not None:
                self.cache.write_bytes(pickle.dumps(self.known))
        return self.known[made]


@dataclass(frozen=True)
class Effort:
    """What a talk cost.

    :param scores: F1 before and after each answer.
    :param kept: answers that only confirmed; ``named`` moves that the others named in all.
    """

    scores: tuple[float, ...]
    kept: int
    named: int

    @property
    def answers(self) -> int:
        return len(self.scores) - 1


def effort(path: Path, base: GamesBase | None, most: int, trace: bool, cache: Path | None) -> Effort:
    """Answer until the reading is perfect, nothing is left to ask, or ``most`` answers are given."""
    talk = load_talk(path)
    true = truth(path, talk)
    session = Session(talk, Reading(talk, base, cache and cache / f"{path.name}.pickle"), base=base)
    scores = [judge(path, session.walk, 0.0).f1]
    kept = named = 0
    while scores[-1] < PERFECT and len(scores) <= most:
        question = session.question()
        if question is None:
            break
        asked = question_json(session, question)
        answer = reply(asked, session.walk, true)
        try:
            take(session, answer)
        except CannotBe as error:
            answer = {"error": str(error)}
            session.skip()
        kept += answer == {"choose": 0}
        named += len(answer.get("moves", ()))
        scores.append(judge(path, session.walk, 0.0).f1)
        if trace:
            print(f"  {scores[-1]:.3f} {described(asked)} -> {answered(answer)}", flush=True)
    if trace:
        print("\n".join(errors(path, session.walk)))
    return Effort(tuple(scores), kept, named)


def described(asked: dict[str, Any]) -> str:
    read = ", ".join(f"“{p['words']}” {' '.join(p['moves']) or '-'} {p['sure']}" for p in asked["places"])
    return f"{asked['worth']:5.2f} {asked['kind']:8} {asked['left'][-20:]} [{read}]"


def answered(answer: dict[str, Any]) -> str:
    if "moves" in answer:
        return " ".join(m["san"] for m in answer["moves"]) or "no move"
    return "as read" if answer == {"choose": 0} else str(answer)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("talks", nargs="+", type=Path)
    parser.add_argument("--base", type=Path)
    parser.add_argument("--most", type=int, default=30, help="give up after this many answers")
    parser.add_argument("--trace", action="store_true", help="print each question and answer")
    parser.add_argument("--cache", type=Path, help="folder for readings, while only the questions change")
    args = parser.parse_args()
    base = GamesBase.open(args.base) if args.base else None
    groups: dict[str, list[int]] = {}
    for path in args.talks:
        cost = effort(path, base, args.most, args.trace, args.cache)
        voice = path.name.split(".")[1] if path.suffix == ".vtt" else "typed"
        groups.setdefault(voice, []).append(cost.answers)
        print(
            f"{path.name:28} F1 {cost.scores[0]:.3f} -> {cost.scores[-1]:.3f}  {cost.answers:2} answers, "
            f"{cost.kept} confirm, {cost.named} moves named{'' if cost.scores[-1] >= PERFECT else '  NOT REACHED'}",
            flush=True,
        )
    for voice, counts in groups.items():
        print(f"{voice}: {sum(counts) / len(counts):.1f} answers on average")


if __name__ == "__main__":
    main()
