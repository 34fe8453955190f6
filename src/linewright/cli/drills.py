"""The command ``drills``: exercises made from talks: listed, as JSON, on paper, as cards, as a practice page."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from pathlib import Path
from typing import Annotated, Any

import typer

from linewright.cli.shared import (
    BaseOption,
    ForceOption,
    JsonOption,
    counted,
    emit,
    opened_base,
    refuse_existing,
    usable,
)
from linewright.cli.terminal.progress import working
from linewright.cli.terminal.text import folded, remark
from linewright.games.api import GameSource
from linewright.practice.drills.drill import Drill, Standing, drill_json, merged
from linewright.practice.drills.drill_maker import Drills
from linewright.practice.outputs.cards import cards_csv
from linewright.practice.outputs.practice_page import Setting, practice_page
from linewright.practice.outputs.sheet import MOST, sheet_pdf
from linewright.practice.schedule.settings import LEAST_RETENTION, MINUTES, MOST_RETENTION, RETENTION
from linewright.support.atomic_write import write
from linewright.support.errors import UnusableInput
from linewright.support.paths import OWN_THEME_FILE, home, verdicts_path
from linewright.workflow.drill_lesson import drill_lesson, open_judge
from linewright.workflow.find_theme import find_theme
from linewright.workflow.progress import CHECKING, READING

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


PageOption = Annotated[
    Path | None,
    typer.Option("--page", metavar="FILE.html", help="Write the practice page: one file, works offline."),
]
PdfOption = Annotated[
    Path | None, typer.Option("--pdf", metavar="FILE.pdf", help="Write a drill sheet to print, with answers.")
]
CsvOption = Annotated[Path | None, typer.Option("--csv", metavar="FILE.csv", help="Write cards for other programs.")]
MostOption = Annotated[int, typer.Option("--most", metavar="N", min=1, help="At most so many drills on the sheet.")]
TitleOption = Annotated[
    str, typer.Option("--title", metavar="TITLE", help="Title of page and sheet, instead of the talk's.")
]
MinutesOption = Annotated[float, typer.Option("--minutes", metavar="N", min=1, max=240, help="Page: minutes a day.")]
RetentionOption = Annotated[
    float,
    typer.Option(
        "--retention",
        metavar="SHARE",
        min=LEAST_RETENTION,
        max=MOST_RETENTION,
        help="Page: target chance of recall.",
    ),
]


def drills_command(
    talks: TalksArgument,
    base: BaseOption = None,
    as_json: JsonOption = False,
    side: SideOption = "",
    engine: EngineOption = False,
    page: PageOption = None,
    pdf: PdfOption = None,
    csv: CsvOption = None,
    most: MostOption = MOST,
    title: TitleOption = "",
    minutes: MinutesOption = MINUTES,
    retention: RetentionOption = RETENTION,
    force: ForceOption = False,
) -> None:
    """Make exercises from talks: answer the move, punish the mistake, choose the plan, see the structure.

    What pupils are likeliest to meet comes first. Without --page, --pdf or --csv the exercises are listed.

    Example: linewright drills lesson.md --page practice.html
    """
    with usable(), opened_base(base) as games:
        made = make_all(talks, games, side, engine)
        drills = in_order(merged(drill for one in made for drill in one.drills))
        named = title or drills[0].lesson or talks[0].stem
        look = find_theme(talks[0], home() / OWN_THEME_FILE)
        setting = Setting(retention, minutes)
        files: dict[Path | None, Callable[[], bytes]] = {
            page: lambda: practice_page(drills, named, look.trainer, setting).encode(),
            pdf: lambda: sheet_pdf(drills, named, look, most),
            csv: lambda: cards_csv(drills).encode(),
        }
        wanted = {path: content for path, content in files.items() if path is not None}
        write_files(wanted, force)
        if as_json:
            emit({"drills": [drill_json(drill) for drill in drills], "left_out": left_out(made)})
        elif not wanted:
            for line in folded(list(listed(drills))):
                typer.echo(line)
        remark_unsure(made)


def make_all(talks: Sequence[Path], games: GameSource | None, side: str, engine: bool) -> list[Drills]:
    """The drills of each talk or file of cards.

    :raises UnusableInput: for a side that is none, and for a talk that gives no drill.
    """
    if side not in ("", "white", "black", "both"):
        raise UnusableInput(f"--side {side}", "Use white, black or both.")
    stages = ((talk.name, READING + CHECKING) for talk in talks)
    with working(*stages) as work, open_judge(verdicts_path(), engine) as judge:
        return [drill_lesson(talk, games, judge, side, remark, work.begin(talk.name)) for talk in talks]


def write_files(wanted: Mapping[Path, Callable[[], bytes]], force: bool) -> None:
    """Write files and name each; none where one of them exists, unless ``force``.

    :raises UnusableInput: when one exists.
    """
    for path in wanted:
        refuse_existing(path, force)
    for path, content in wanted.items():
        write(path, content())
        typer.echo(path)


def in_order(drills: Iterable[Drill]) -> tuple[Drill, ...]:
    """The likeliest to be met come first."""
    return tuple(sorted(drills, key=lambda drill: (-drill.reach, len(drill.line), drill.id)))


def remark_unsure(made: Iterable[Drills]) -> None:
    """How many positions were left out for unsure moves, and how to settle them."""
    count = sum(len(one.left_out) for one in made)
    if count:
        remark(
            f"{counted(count, 'position')} left out, since moves there are unsure. "
            "Settle them with: linewright read TALK --ask"
        )


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
