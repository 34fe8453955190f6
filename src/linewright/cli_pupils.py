"""The commands ``pupils``: pupils' games against the lesson."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from linewright.base.sources import find
from linewright.cli_plan import engine_judge
from linewright.cli_plan_talks import lessons_of, paths_of
from linewright.cli_shared import FOUND, BaseOption, JsonOption, emit, opened_base, usable
from linewright.errors import UnusableInput
from linewright.plan.pupils import (
    Left,
    PupilsGame,
    check_games,
    games_in,
    group_json,
    group_lines,
    questions,
    with_engine,
)

#: Spots that an engine is asked about.
ASKED = 40

app = typer.Typer(name="pupils", help="Pupils' games against the lesson.", no_args_is_help=True)


@app.callback()
def pupils_options() -> None:
    """Pupils' games against the lesson."""


@app.command("check")
def check_command(
    files: Annotated[list[Path], typer.Argument(metavar="GAMES…", help="PGN files, plain or packed, or folders.")],
    lesson: Annotated[
        list[Path], typer.Option("--lesson", metavar="TALK", help="A talk or a folder of talks; may be given again.")
    ],
    side: Annotated[
        str,
        typer.Option("--as", metavar="white|black", help="The pupils' side; of several talks, where one doesn't say."),
    ] = "",
    pupil: Annotated[str, typer.Option("--pupil", metavar="NAME", help="Only this player's games.")] = "",
    apart: Annotated[
        bool, typer.Option("--apart", help="Count spellings of a name apart, however alike they are.")
    ] = False,
    games: Annotated[bool, typer.Option("--games", help="Tell every game.")] = False,
    engine: Annotated[bool, typer.Option("--engine", help="Ask an engine, too, what leaving cost.")] = False,
    base: BaseOption = None,
    as_json: JsonOption = False,
) -> None:
    """Where each game left the lesson, who left it, what it cost, and what to repeat.

    Ends with 1 where a pupil left the lesson though it had the answer, or where
    one of several talks can't be used.

    Example: linewright pupils check club-games.pgn --lesson panov.md
    """
    with usable(), opened_base(base) as known, engine_judge(engine) as (judged, ask):
        talks = list(paths_of(lesson))
        if not talks:
            raise UnusableInput("no talk to compare with", "Name one with --lesson TALK.")
        lessons, left_out = lessons_of(talks, known, side)
        found, troubles = [], []
        for path in find(files):
            for game in games_in(path):
                if isinstance(game, PupilsGame):
                    found.append(game)
                else:
                    troubles.append(game)
        group = check_games(found, lessons, known.replies if known is not None else None, pupil, troubles, apart)
        if ask is not None:
            ask(questions(group, ASKED))
        group = with_engine(group, judged)
        if as_json:
            emit({**group_json(group), "left_out": left_out})
        else:
            for line in group_lines(group, games):
                typer.echo(line)
    if group.spots(Left.PUPIL) or left_out:
        raise typer.Exit(FOUND)
