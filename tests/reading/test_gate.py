"""A gate: how well the given talks are read by what ships alone must not fall.

The figures are those of the day that stands beside them; raise them with a better reader, never lower them to pass.
"""

from __future__ import annotations

import json

import pytest
from bench.bench_reading import aligned

from linewright.games.api import StarterTable
from linewright.reading.reader import read_talk
from linewright.talk.load import load_talk
from tests.support import TALKS, needs_shared

#: F1 over moves with the starter table, on 2026-11-29.
F1 = {
    "benoni.txt": 0.99,
    "panov.txt": 0.94,
    "scotch.txt": 0.966,
    "slav.txt": 0.98,
    "benoni.clear.vtt": 0.95,
    "panov.clear.vtt": 0.915,
    "scotch.clear.vtt": 0.94,
    "slav.clear.vtt": 0.98,
}
#: One move of a talk more or less: how floating-point numbers are rounded may differ between machines.
SLACK = 0.011


def place(fen: str) -> str:
    return " ".join(fen.split()[:3])


@needs_shared
@pytest.mark.parametrize("name", F1)
def test_no_given_talk_is_read_worse(name: str) -> None:
    ref = json.loads((TALKS / f"{name.split('.')[0]}.ref.json").read_text("utf-8"))
    walk = read_talk(load_talk(TALKS / name), StarterTable.load())
    true = [(place(m["before"]), m["uci"]) for m in ref["moves"]]
    said = [(place(m.before), m.uci) for m in walk.moves]
    f1 = 2 * len(aligned(true, said)) / (len(true) + len(said))
    assert f1 >= F1[name] - SLACK, f"{name}: F1 {f1:.3f}"
