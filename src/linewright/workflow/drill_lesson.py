"""Drilling a lesson: the exercises that a talk, or a file of cards, gives."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from typing import Final

from linewright.claims.check import check_walk
from linewright.engine.session import Engine
from linewright.engine.settings import load
from linewright.engine.verdict_memory import VerdictMemory
from linewright.games.api import GameSource
from linewright.practice.drills.drill import Drill
from linewright.practice.drills.drill_maker import Drills, make_drills
from linewright.practice.drills.punishments import Judge
from linewright.practice.drills.taught_moves import BaseGames
from linewright.practice.outputs.cards import cards_of
from linewright.support.errors import UnusableInput
from linewright.workflow.progress import CHECKING, READING, Note, PartDone, first_part, ignore
from linewright.workflow.read_lesson import read_lesson

#: Suffix of cards, which are drills already.
CARDS: Final = ".csv"
#: Nodes that an engine looks at for each move that a drill may see answered: a twentieth of a second.
NODES: Final = 50_000


def drill_lesson(
    talk: Path,
    games: GameSource | None,
    judge: Judge | None = None,
    side: str = "",
    note: Note = ignore,
    progress: PartDone = ignore,
) -> Drills:
    """The drills of a talk, or of a file of cards.

    :param judge: an engine, for replies as good and for what punishes wrong ones.
    :param side: whose moves to ask: ``white``, ``black`` or ``both``; the talk's own side unless given.
    :raises UnusableInput: when there are none.
    """
    if talk.suffix.lower() == CARDS:
        made = Drills(tuple(_cards(talk, note)))
    else:
        walk = read_lesson(talk, games, note, first_part(progress, READING / (READING + CHECKING)))
        # Claims that hold become questions, also of kinds that the trainer doesn't want to hear of in a check.
        findings = check_walk(walk, games)
        known = BaseGames(games) if games else None
        plans = games if games is not None and games.has_games else None
        made = make_drills(walk, findings, known, judge, side, plans)
    if not made.drills:
        count = len(made.left_out)
        raise UnusableInput(
            f"{talk}: no drill can be made from it ({count:,} unsure {'position' if count == 1 else 'positions'})",
            "Settle what is doubtful with: linewright read TALK --ask",
        )
    return made


def _cards(path: Path, note: Note) -> Iterator[Drill]:
    for card in cards_of(path):
        if isinstance(card, str):
            note(f"left out: {card}")
        else:
            yield replace(card, lesson=card.lesson or path.stem)


@contextmanager
def open_judge(verdicts: Path, wanted: bool) -> Iterator[Judge | None]:
    """An engine for drills, with its memory; None where none is wanted.

    :raises UnusableInput: when there is no engine.
    """
    if not wanted:
        yield None
        return
    settings = replace(load(), nodes=NODES, lines=1)
    with VerdictMemory.open(verdicts) as memory, Engine.open(settings, memory) as engine:
        yield engine
