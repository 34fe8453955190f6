"""The commands ``pupils``: pupils' games compared with the lesson."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from linewright.cli.plan import engine_judge
from linewright.cli.plan_talks import lessons_of, paths_of
from linewright.cli.shared import FOUND, READING, BaseOption, JsonOption, emit, opened_base, usable
from linewright.cli.terminal.help import Command, Group
from linewright.cli.terminal.progress import working
from linewright.cli.terminal.text import folded
from linewright.games.api import FileGame, find_game_files, read_game_file
from linewright.plan.pupils.leavings import (
    Left,
    find_leavings,
    questions,
    with_engine,
)
from linewright.plan.pupils.leavings_text import leavings_json, leavings_lines
from linewright.support.errors import UnusableInput

#: Spots that an engine is asked about.
ASKED = 40
#: Seconds that reading the games, comparing them and the engine usually take (see :mod:`linewright.cli.shared`).
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
    with usable(), opened_base(base) as known, engine_judge(engine) as (judged, ask):
        talks = list(paths_of(lesson))
        if not talks:
            raise UnusableInput("no talk to compare with", "Name one with --lesson TALK.")
        stages = [(talk.name, READING) for talk in talks]
        with working(
            *stages, ("reading games", GAMES), ("comparing", GAMES), ("engine", ENGINE * (ask is not None))
        ) as work:
            lessons, left_out = lessons_of(talks, known, side, work=work)
            work.begin("reading games")
            found, troubles = [], []
            for path in find_game_files(files):
                for game in read_game_file(path):
                    if isinstance(game, FileGame):
                        found.append(game)
                    else:
                        troubles.append(game)
            work.begin("comparing")
            group = find_leavings(found, lessons, known.replies if known is not None else None, pupil, troubles, apart)
            if ask is not None:
                work.begin("engine")
                ask(questions(group, ASKED))
            group = with_engine(group, judged)
        if as_json:
            emit({**leavings_json(group), "left_out": left_out})
        else:
            for line in folded(list(leavings_lines(group, games))):
                typer.echo(line)
    if group.spots(Left.PUPIL) or left_out:
        raise typer.Exit(FOUND)
