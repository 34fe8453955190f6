"""The command ``drills``: exercises made from talks: listed, as JSON, on paper, as cards, as a practice page."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from typing import Annotated, Any

import typer

from linewright.claims.check import check_walk
from linewright.cli.build import theme_for
from linewright.cli.shared import (
    CHECKING,
    READING,
    BaseOption,
    ForceOption,
    JsonOption,
    counted,
    emit,
    opened_base,
    read,
    reading_part,
    refuse_existing,
    usable,
)
from linewright.cli.terminal.progress import Part, working
from linewright.cli.terminal.text import folded, remark
from linewright.engine.session import Engine
from linewright.engine.settings import load
from linewright.engine.verdict_memory import VerdictMemory
from linewright.games.api import GameSource
from linewright.lesson.walk import Walk
from linewright.practice.drills.drill import Drill, Standing, drill_json, merged
from linewright.practice.drills.drill_maker import Drills, make_drills
from linewright.practice.drills.punishments import Judge
from linewright.practice.drills.taught_moves import BaseGames
from linewright.practice.outputs.cards import cards_csv, cards_of
from linewright.practice.outputs.practice_page import Setting, practice_page
from linewright.practice.outputs.sheet import MOST, sheet_pdf
from linewright.practice.schedule.settings import LEAST_RETENTION, MINUTES, MOST_RETENTION, RETENTION
from linewright.support.atomic_write import write
from linewright.support.errors import UnusableInput
from linewright.support.paths import VERDICTS_FILE, home

#: Suffix of cards, which are drills already.
CARDS = ".csv"
#: Nodes that an engine looks at for each move that a drill may see answered: a twentieth of a second.
NODES = 50_000

TalksArgument = Annotated[
    list[Path], typer.Argument(metavar="TALK…", help="Talks, or cards as .csv (columns fen, moves, …).")
]
SideOption = Annotated[
    str,
    typer.Option(
        "--side", metavar="SIDE", help="Whose moves to ask, white, black or both, instead of the talk's side."
    ),
]
EngineOption = Annotated[
    bool, typer.Option("--engine", help="Ask an engine which other moves are as good, and what punishes wrong ones.")
]


def drills_command(
    talks: TalksArgument,
    base: BaseOption = None,
    as_json: JsonOption = False,
    side: SideOption = "",
    engine: EngineOption = False,
    page: Annotated[
        Path | None,
        typer.Option("--page", metavar="FILE.html", help="Write the practice page: one file, works offline."),
    ] = None,
    pdf: Annotated[
        Path | None, typer.Option("--pdf", metavar="FILE.pdf", help="Write a drill sheet to print, with answers.")
    ] = None,
    csv: Annotated[
        Path | None, typer.Option("--csv", metavar="FILE.csv", help="Write cards for other programs.")
    ] = None,
    most: Annotated[
        int, typer.Option("--most", metavar="N", min=1, help="At most so many drills on the sheet.")
    ] = MOST,
    title: Annotated[
        str, typer.Option("--title", metavar="TITLE", help="Title of page and sheet, instead of the talk's.")
    ] = "",
    minutes: Annotated[
        float, typer.Option("--minutes", metavar="N", min=1, max=240, help="Page: minutes a day.")
    ] = MINUTES,
    retention: Annotated[
        float,
        typer.Option(
            "--retention",
            metavar="SHARE",
            min=LEAST_RETENTION,
            max=MOST_RETENTION,
            help="Page: target chance of recall.",
        ),
    ] = RETENTION,
    force: ForceOption = False,
) -> None:
    """Make exercises from talks: answer the move, punish the mistake, choose the plan, see the structure.

    What pupils are likeliest to meet comes first. Without --page, --pdf or --csv the exercises are listed.

    Example: linewright drills lesson.md --page practice.html
    """
    with usable(), opened_base(base) as games:
        with working(*stages(talks)) as work, judge(engine) as asked:
            made = [drills_of(talk, games, asked, side, work.begin(talk.name)) for talk in talks]
        drills = in_order(merged(drill for one in made for drill in one.drills))
        named = title or drills[0].lesson or talks[0].stem
        look = theme_for(talks[0], None)
        setting = Setting(retention, minutes)
        files: dict[Path | None, Callable[[], bytes]] = {
            page: lambda: practice_page(drills, named, look.trainer, setting).encode(),
            pdf: lambda: sheet_pdf(drills, named, look, most),
            csv: lambda: cards_csv(drills).encode(),
        }
        wanted = {path: content for path, content in files.items() if path is not None}
        for path in wanted:
            refuse_existing(path, force)
        for path, content in wanted.items():
            write(path, content())
            typer.echo(path)
        if as_json:
            emit({"drills": [drill_json(drill) for drill in drills], "left_out": left_out(made)})
        elif not wanted:
            for line in folded(list(listed(drills))):
                typer.echo(line)
        count = sum(len(one.left_out) for one in made)
        if count:
            remark(
                f"{counted(count, 'position')} left out, since moves there are unsure. "
                "Settle them with: linewright read TALK --ask"
            )


def stages(talks: Sequence[Path]) -> list[tuple[str, float]]:
    """The work on talks, for a bar: a stage for each."""
    return [(talk.name, READING + CHECKING) for talk in talks]


def drills_of(
    talk: Path, games: GameSource | None, asked: Judge | None = None, side: str = "", progress: Part | None = None
) -> Drills:
    """The drills of a talk, or of a file of cards.

    :param progress: called with the part (0-1) that is done.
    :raises UnusableInput: when there are none.
    """
    if side not in ("", "white", "black", "both"):
        raise UnusableInput(f"--side {side}", "Use white, black or both.")
    if talk.suffix.lower() == CARDS:
        made = Drills(tuple(_cards(talk)))
    else:
        walk: Walk = read(talk, games, reading_part(progress, READING + CHECKING) if progress else None)
        known = BaseGames(games) if games else None
        plans = games if games is not None and games.has_games else None
        made = make_drills(walk, check_walk(walk, games), known, asked, side, plans)
    if not made.drills:
        raise UnusableInput(
            f"{talk}: no drill can be made from it ({counted(len(made.left_out), 'unsure position')})",
            "Settle what is doubtful with: linewright read TALK --ask",
        )
    return made


def _cards(path: Path) -> Iterator[Drill]:
    for card in cards_of(path):
        if isinstance(card, str):
            remark(f"left out: {card}")
        else:
            yield replace(card, lesson=card.lesson or path.stem)


def in_order(drills: Sequence[Drill]) -> tuple[Drill, ...]:
    """The likeliest to be met come first."""
    return tuple(sorted(drills, key=lambda drill: (-drill.reach, len(drill.line), drill.id)))


@contextmanager
def judge(wanted: bool) -> Iterator[Judge | None]:
    """An engine with its memory, where one is asked for."""
    if not wanted:
        yield None
        return
    settings = replace(load(), nodes=NODES, lines=1)
    with VerdictMemory.open(home() / VERDICTS_FILE) as memory, Engine.open(settings, memory) as engine:
        yield engine


def left_out(made: Sequence[Drills]) -> list[dict[str, Any]]:
    return [{"fen": one.fen, "move": one.move, "why": one.why} for drills in made for one in drills.left_out]


def listed(drills: Sequence[Drill]) -> Iterator[str]:
    """One line for each drill: how likely it is met, what is asked, what is right."""
    for drill in drills:
        yield f"{100 * drill.reach:5.1f} %  {drill.task:7}  {drill.asked}  {_right(drill)}".rstrip()


def _right(drill: Drill) -> str:
    if drill.moves:
        also = [move.san for move in drill.moves if move.standing is Standing.EQUAL]
        return " or ".join(move.san for move in drill.taught) + (f" (also {', '.join(also)})" if also else "")
    if drill.squares:
        return ", ".join(f"{s[0]}-file" if drill.whole_files else s for s in drill.squares)
    return f"“{drill.choices[drill.right]}”" if drill.choices else ""
