"""The command line: each command parses its arguments, calls one function and prints."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from linewright import __version__, cli_base, cli_build, cli_check, cli_class, cli_desk, cli_hear, cli_practice
from linewright.asking.sitting import ask_about
from linewright.claims.check import check_walk
from linewright.claims.report import reading_json
from linewright.cli_shared import FINE, BaseOption, JsonOption, TalkArgument, emit, opened_base, read, usable
from linewright.lesson.pgn import walk_to_pgn
from linewright.lesson.spoken import move_number
from linewright.lesson.walk import SURE, ReturnStep, Walk, doubt

app = typer.Typer(
    name="linewright",
    help="Reads a chess trainer's opening talk off against the board, checks what it claims, makes it a lesson.",
    no_args_is_help=True,
    add_completion=False,
    context_settings={"help_option_names": ["-h", "--help"]},
)
app.add_typer(cli_base.app, name="base")
app.command("hear")(cli_hear.hear_command)
app.command("build")(cli_build.build_command)
app.command("check")(cli_check.check_command)
app.command("desk")(cli_desk.desk_command)
app.command("drills")(cli_practice.drills_command)
app.add_typer(cli_class.app, name="class")


@app.callback(invoke_without_command=True)
def main_options(
    version: Annotated[bool, typer.Option("--version", help="Print the version and end.")] = False,
) -> None:
    if version:
        typer.echo(f"linewright {__version__}")
        raise typer.Exit(FINE)


@app.command("read")
def read_command(
    talk: TalkArgument,
    base: BaseOption = None,
    as_json: JsonOption = False,
    as_pgn: Annotated[bool, typer.Option("--pgn", help="Print annotated PGN.")] = False,
    ask: Annotated[
        bool, typer.Option("--ask", help="Settle doubtful places one by one; the answers go to TALK.answers.")
    ] = False,
    json_lines: Annotated[
        bool, typer.Option("--json-lines", help="With --ask: questions and answers as JSON, one a line, for programs.")
    ] = False,
) -> None:
    """Read every move off a talk and print the lines in the order they are told.

    Example: linewright read lesson.md --pgn
    """
    with usable(), opened_base(base) as games:
        if ask:
            ask_about(talk, games, json_lines)
            return
        walk = read(talk, games)
        if as_json:
            emit(reading_json(walk, check_walk(walk, games)))
        elif as_pgn:
            typer.echo(walk_to_pgn(walk))
        else:
            typer.echo(overview(walk))


@app.command("demo")
def demo_command(
    out: Annotated[Path, typer.Option("--out", "-o", metavar="DIR", help="Folder for what the demo makes.")] = Path(
        "lesson-demo"
    ),
) -> None:
    """The main job on an invented lesson: read it, check it, build it.

    Example: linewright demo
    """
    from linewright.demo import run_demo

    with usable():
        for line in run_demo(out):
            typer.echo(line)


def overview(walk: Walk) -> str:
    """The reading as lines of moves, one for each stretch between returns; "(?)" marks unsure moves, told below."""
    out = [walk.title]
    if walk.opening is not None:
        out.append(f"{walk.opening.name} ({walk.opening.eco})")
    line: list[str] = []
    for step in walk.steps:
        if isinstance(step, ReturnStep):
            out.append(" ".join(line))
            line = []
            continue
        number = move_number(step.before) if not line or step.before.split()[1] == "w" else ""
        line.append(f"{number}{step.san}{'' if step.sure >= SURE else '(?)'}")
    out.append(" ".join(line))
    out += [f"unsure “{m.said.words}”: {doubt(m)}" for m in walk.moves if m.sure < SURE]
    out += [f"unread “{u.said.words}”: {u.why}" for u in walk.unread]
    return "\n".join(filter(None, out))


def main() -> None:
    """The program."""
    app()
