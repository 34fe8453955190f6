"""Helpers for tests: walks made without the reader, and where the open talks lie."""

from __future__ import annotations

import json
import re
import signal
from pathlib import Path
from typing import Any

import chess
import pytest

from linewright.lesson.walk import MoveStep, ReturnStep, Said, Step, Walk
from linewright.talk.model import Place, Talk, Unit, Word

SHARED = Path(__file__).resolve().parents[2] / "shared"
TALKS = SHARED / "talks"

#: The marks of the talks call "open" what Linewright calls "undecided".
UNDECIDED = {"open": "undecided"}

needs_shared = pytest.mark.skipif(not TALKS.is_dir(), reason="needs ../shared/talks beside the project")


def plain_talk(text: str, title: str = "A talk", source: str = "talk.txt") -> Talk:
    """A typed talk split at white space; enough for tests that don't test the loaders."""
    words, paragraph, last = [], 0, 0
    for match in re.finditer(r"\S+", text):
        paragraph += "\n\n" in text[last : match.start()]
        last = match.end()
        line = text.count("\n", 0, match.start()) + 1
        column = match.start() - (text.rfind("\n", 0, match.start()) + 1) + 1
        words.append(Word(match[0], match.span(), *map(float, match.span()), Place(line, column), paragraph))
    return Talk(title, source, Unit.CHARACTERS, text, tuple(words))


def said(talk: Talk, start: int, end: int) -> Said:
    """The words that touch the characters from ``start`` to ``end``."""
    hit = [i for i, w in enumerate(talk.words) if w.at[1] > start and w.at[0] < end]
    first, last = (hit[0], hit[-1] + 1) if hit else (len(talk.words), len(talk.words))
    place = talk.words[first].place if hit else Place(1, 1)
    return Said(first, last, talk.text[start:end], float(start), float(end), place)


def stoppable() -> None:
    """Before a child process runs: Ctrl-C reaches it, also where these tests run in the background of a shell, which
    has its children ignore that signal."""
    signal.signal(signal.SIGINT, signal.default_int_handler)


def same(fen: str) -> str:
    return " ".join(fen.split()[:4])


def walk_from_ref(name: str) -> tuple[Walk, list[dict[str, Any]]]:
    """The true reading of an open talk as a walk, and its marked claims."""
    ref = json.loads((TALKS / f"{name}.ref.json").read_text())
    talk = plain_talk((TALKS / f"{name}.txt").read_text(), ref["meta"]["title"], f"{name}.txt")
    returns = {r["before_move"]: r for r in ref["jumps"]}
    steps: list[Step] = []
    nodes: list[tuple[str, dict[str, int]]] = [(chess.STARTING_FEN, {})]
    at = 0
    for index, move in enumerate(ref["moves"]):
        if same(nodes[at][0]) != same(move["before"]):
            at = max(i for i, (fen, _) in enumerate(nodes) if same(fen) == same(move["before"]))
            r = returns.get(index)
            span = r["at"] if r else [move["at"][0], move["at"][0]]
            steps.append(ReturnStep(said(talk, *span), nodes[at][0], at))
        child = nodes[at][1].get(move["uci"])
        if child is None:
            child = len(nodes)
            nodes[at][1][move["uci"]] = child
            nodes.append((move["after"], {}))
        steps.append(
            MoveStep(said(talk, *move["at"]), move["san"], move["uci"], move["before"], move["after"], at, child)
        )
        at = child
    claims = [claim | {"truth": UNDECIDED.get(claim["truth"], claim["truth"])} for claim in ref["claims"]]
    return Walk(talk, tuple(steps), side=ref["meta"].get("side", "")), claims
