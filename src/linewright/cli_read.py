"""The command ``read``: has a talk read and prints the moves, in the order they are told."""

from __future__ import annotations

from typing import Annotated

import typer

from linewright.asking.sitting import ask_about
from linewright.claims.check import check_walk
from linewright.claims.report import reading_json
from linewright.cli_shared import BaseOption, JsonOption, TalkArgument, emit, opened_base, read, usable
from linewright.lesson.pgn import walk_to_pgn
from linewright.lesson.spoken import move_number
from linewright.lesson.walk import SURE, ReturnStep, Walk, doubt


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
