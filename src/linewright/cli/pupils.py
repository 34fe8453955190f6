"""The commands ``pupils``: pupils' games compared with the lesson."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from linewright.cli.shared import FOUND, BaseOption, JsonOption, emit, opened_base, usable
from linewright.cli.terminal.help import Command, Group
from linewright.cli.terminal.progress import working
from linewright.cli.terminal.text import folded, remark
from linewright.plan.pupils.leavings import Left
from linewright.plan.pupils.leavings_text import leavings_json, leavings_lines
from linewright.support.errors import UnusableInput
from linewright.support.paths import verdicts_path
from linewright.workflow.compare_pupils import PupilGames, compare_pupils
from linewright.workflow.engine_scores import open_scores
from linewright.workflow.index_lesson import find_talks, index_lessons
from linewright.workflow.progress import READING

#: Seconds that reading the games, comparing them and the engine usually take (see :mod:`linewright.workflow.progress`).
GAMES, ENGINE = 1.0, 4.0

ABOUT = """Compare pupils' games with the lesson.

Example: linewright pupils check club-games.pgn --lesson panov.md"""

app = typer.Typer(
    name="pupils",
    help=ABOUT,
    cls=Group,
    no_args_is_help=True,
    add_completion=False,
    rich_markup_mode=None,
)


@app.callback(help=ABOUT)
def pupils_options() -> None:
    """Keeps ``check`` a command of its own, though it is the only one."""


@app.command("check", cls=Command)
def check_command(
    files: Annotated[
        list[Path], typer.Argument(metavar="GAMES…", help="PGN files, plain or compressed, or folders of them.")
    ],
    lesson: Annotated[
        list[Path],
        typer.Option("--lesson", metavar="TALK", help="A talk or a folder of talks; can be given several times."),
    ],
    side: Annotated[
        str,
        typer.Option("--as", metavar="SIDE", help="The pupils' side, white or black, for talks that don't say."),
    ] = "",
    pupil: Annotated[str, typer.Option("--pupil", metavar="NAME", help="Only this player's games.")] = "",
    apart: Annotated[
        bool, typer.Option("--apart", help="Treat different spellings of a name as different pupils.")
    ] = False,
    games: Annotated[bool, typer.Option("--games", help="Show every game.")] = False,
    engine: Annotated[bool, typer.Option("--engine", help="Ask an engine too what leaving the lesson cost.")] = False,
    base: BaseOption = None,
    as_json: JsonOption = False,
) -> None:
    """Show where each game left the lesson, who left it, what it cost, and what to repeat.

    The exit code is 1 when a pupil left the lesson though it had the answer, or
    when one of several talks can't be used.

    Example: linewright pupils check club-games.pgn --lesson panov.md
    """
    wanted = PupilGames(tuple(files), pupil, apart)
    with usable(), opened_base(base) as known, open_scores(verdicts_path(), engine) as scores:
        talks = list(find_talks(lesson))
        if not talks:
            raise UnusableInput("no talk to compare with", "Name one with --lesson TALK.")
        stages = [*((talk.name, READING) for talk in talks), ("reading games", GAMES), ("comparing", GAMES)]
        with working(*stages, ("engine", ENGINE if scores.engine is not None else 0.0)) as work:
            lessons, left_out = index_lessons(talks, known, side, remark, work)
            group = compare_pupils(wanted, lessons, known, scores, work)
        if as_json:
            emit({**leavings_json(group), "left_out": list(left_out)})
        else:
            for line in folded(list(leavings_lines(group, games))):
                typer.echo(line)
    if group.spots(Left.PUPIL) or left_out:
        raise typer.Exit(FOUND)
