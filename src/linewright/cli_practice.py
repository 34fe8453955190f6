"""The command ``drills``: what a talk teaches, asked back: listed, as JSON, on paper, as cards, as a practice page."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from typing import Annotated, Any

import chess
import typer
from rich.console import Console
from rich.progress import BarColumn, Progress, TextColumn

from linewright.base import Base
from linewright.base.archive import Archive
from linewright.claims.check import check_walk
from linewright.cli_build import theme_for
from linewright.cli_shared import BaseOption, JsonOption, emit, opened_base, read, usable
from linewright.engine.memory import Memory
from linewright.engine.model import EngineTrouble, Verdict
from linewright.engine.session import Engine
from linewright.engine.settings import load
from linewright.errors import UnusableInput
from linewright.home import VERDICTS_FILE, home
from linewright.lesson.walk import Walk
from linewright.practice.accepted import BaseGames
from linewright.practice.cards import cards_csv, cards_of
from linewright.practice.drill import Drill, Standing, drill_json, merged
from linewright.practice.drills import Drills, make_drills
from linewright.practice.page import Setting, practice_page
from linewright.practice.punish import Judge
from linewright.practice.schedule import LEAST_RETENTION, MINUTES, MOST_RETENTION, RETENTION
from linewright.practice.sheet import MOST, sheet_pdf
from linewright.writing import write

#: Suffix of cards, which are drills already.
CARDS = ".csv"
#: Nodes that an engine looks at for each move that a drill may see answered: a twentieth of a second.
NODES = 50_000

TalksArgument = Annotated[
    list[Path], typer.Argument(metavar="TALK…", help="Talks as for read; or cards as .csv (columns fen, moves, …).")
]
SideOption = Annotated[
    str,
    typer.Option("--side", metavar="white|black|both", help="Whose moves; the side the talk is told for unless given."),
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
        typer.Option("--page", metavar="FILE.html", help="The practice page in one file, without network."),
    ] = None,
    pdf: Annotated[
        Path | None, typer.Option("--pdf", metavar="FILE.pdf", help="A drill sheet to print, with its answers.")
    ] = None,
    csv: Annotated[Path | None, typer.Option("--csv", metavar="FILE.csv", help="Cards for other programs.")] = None,
    most: Annotated[int, typer.Option("--most", min=1, help="Drills on the sheet at most.")] = MOST,
    title: Annotated[str, typer.Option("--title", help="Of page and sheet; the talk's unless given.")] = "",
    minutes: Annotated[float, typer.Option("--minutes", min=1, max=240, help="Page: minutes a day.")] = MINUTES,
    retention: Annotated[
        float,
        typer.Option(
            "--retention", min=LEAST_RETENTION, max=MOST_RETENTION, help="Page: how sure things are to be known."
        ),
    ] = RETENTION,
    force: Annotated[bool, typer.Option("--force", help="Write over files that are there.")] = False,
) -> None:
    """Make drills of talks: answer the move, punish the mistake, choose the plan, see the structure.

    What pupils are likeliest to meet comes first. Without --page, --pdf or --csv they are listed.

    Example: linewright drills lesson.md --page practice.html --pdf sheet.pdf
    """
    with usable(), opened_base(base) as games, judge(engine) as asked:
        made = [drills_of(talk, games, asked, side) for talk in talks]
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
            if path.exists() and not force:
                raise UnusableInput(f"{path} is there already", "Name another file, or write over it with --force.")
        for path, content in wanted.items():
            write(path, content())
            typer.echo(path)
        if as_json:
            emit({"drills": [drill_json(drill) for drill in drills], "left_out": left_out(made)})
        elif not wanted:
            for line in listed(drills):
                typer.echo(line)
        count = sum(len(one.left_out) for one in made)
        if count:
            typer.echo(
                f"linewright: {count} positions left out, where moves are read unsurely: settle them with read --ask",
                err=True,
            )


def drills_of(talk: Path, games: Base | None, asked: Judge | None = None, side: str = "") -> Drills:
    """The drills of a talk, or of a file of cards.

    :raises UnusableInput: when it holds none.
    """
    if side not in ("", "white", "black", "both"):
        raise UnusableInput(f"--side {side}", "Write white, black or both.")
    if talk.suffix.lower() == CARDS:
        made = Drills(tuple(_cards(talk)))
    else:
        walk: Walk = read(talk, games)
        known = BaseGames(games) if games else None
        plans = Archive(games) if games else None
        made = make_drills(walk, check_walk(walk, games), known, asked, side, plans)
    if not made.drills:
        raise UnusableInput(
            f"{talk}: no drill can be made of it ({len(made.left_out)} positions are read unsurely)",
            "Settle what is doubtful: linewright read TALK --ask",
        )
    return made


def _cards(path: Path) -> Iterator[Drill]:
    for card in cards_of(path):
        if isinstance(card, str):
            typer.echo(f"linewright: left out: {card}", err=True)
        else:
            yield replace(card, lesson=card.lesson or path.stem)


def in_order(drills: Sequence[Drill]) -> tuple[Drill, ...]:
    """The likeliest to be met first."""
    return tuple(sorted(drills, key=lambda drill: (-drill.reach, len(drill.line), drill.id)))


@contextmanager
def judge(wanted: bool) -> Iterator[Judge | None]:
    """An engine with its memory, where one is asked for, with a count of what it has judged on a terminal."""
    if not wanted:
        yield None
        return
    settings = replace(load(), nodes=NODES, lines=1)
    console = Console(stderr=True)
    columns = (TextColumn("engine"), BarColumn(), TextColumn("{task.completed} moves judged"))
    with (
        Memory.open(home() / VERDICTS_FILE) as memory,
        Engine.open(settings, memory) as engine,
        Progress(*columns, console=console, transient=True, disable=not console.is_terminal) as bar,
    ):
        yield _Counted(engine, bar)


class _Counted:
    """An engine whose verdicts move a progress bar."""

    def __init__(self, engine: Engine, bar: Progress) -> None:
        self._engine, self._bar = engine, bar
        self._task = bar.add_task("", total=None)

    def verdicts(self, positions: Sequence[chess.Board | str]) -> list[Verdict | EngineTrouble]:
        found = self._engine.verdicts(positions)
        self._bar.advance(self._task, len(found))
        return found


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
