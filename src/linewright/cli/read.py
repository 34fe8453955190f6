"""The command ``read``: reads a talk and prints the moves, in the order they are said."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated, Final

import typer

from linewright.claims.reading_findings import describe_doubt
from linewright.claims.report import reading_json
from linewright.cli.shared import BaseOption, JsonOption, TalkArgument, emit, opened_base, usable
from linewright.cli.terminal.dialogue import settle_doubts
from linewright.cli.terminal.progress import working
from linewright.cli.terminal.text import (
    beside_board,
    fold,
    folded,
    is_terminal,
    place_of,
    remark,
    to_move,
    width,
    without_fen,
)
from linewright.lesson.pgn import walk_to_pgn
from linewright.lesson.spoken import move_number
from linewright.lesson.walk import SURE, ReturnStep, Walk
from linewright.support.paths import verdicts_path
from linewright.workflow.check_lesson import STAGES, find_by_memory
from linewright.workflow.read_lesson import read_lesson

#: Marks a move that is read unsurely, as a printer marks what a note explains. Never "?", which calls a move bad.
UNSURE_MARK: Final = "*"


def read_command(
    talk: TalkArgument,
    base: BaseOption = None,
    as_json: JsonOption = False,
    as_pgn: Annotated[bool, typer.Option("--pgn", help="Print annotated PGN.")] = False,
    ask: Annotated[
        bool,
        typer.Option("--ask", help="Settle doubtful places one by one; the answers are saved in TALK.answers."),
    ] = False,
    json_lines: Annotated[
        bool,
        typer.Option("--json-lines", help="With --ask: questions and answers as JSON, one per line, for programs."),
    ] = False,
) -> None:
    """Read the moves in a talk, and print its lines in the order they are said.

    Moves that are not certain are marked * and explained below the lines.

    Example: linewright read lesson.md
    """
    with usable(), opened_base(base) as games:
        if ask:
            settle_doubts(talk, games, json_lines)
            return
        with working() as work:
            work.plan(STAGES if as_json else STAGES[:1])
            walk = read_lesson(talk, games, remark, work.begin("reading"))
            if as_json:
                work.begin("checking")
                findings = find_by_memory(walk, games, verdicts_path(), remark)
        if as_json:
            emit(reading_json(walk, findings))
        elif as_pgn:
            typer.echo(walk_to_pgn(walk))
        else:
            typer.echo("\n".join([*folded(overview(walk)), *unread_lines(walk)]))


def overview(walk: Walk) -> list[str]:
    """The reading as lines of moves, one for each stretch between returns; ``*`` marks unsure moves, listed below."""
    out = [walk.title]
    if walk.opening is not None:
        out.append(walk.opening.text)
    line: list[str] = []
    for step in walk.steps:
        if isinstance(step, ReturnStep):
            out.append(" ".join(line))
            line = []
            continue
        number = move_number(step.before) if not line or step.before.split()[1] == "w" else ""
        line.append(f"{number}{step.san}{'' if step.sure >= SURE else UNSURE_MARK}")
    out.append(" ".join(line))
    doubtful = [move for move in walk.moves if move.sure < SURE]
    out += [
        f"{UNSURE_MARK} {place_of(walk.talk, m.said)} unsure “{m.said.words}”: {describe_doubt(m)}" for m in doubtful
    ]
    return [row for row in out if row]


def unread_lines(walk: Walk) -> Iterator[str]:
    """The words that look like moves and fit nowhere; on a terminal with a small board instead of a FEN."""
    shown = ""
    for place in walk.unread:
        line = f"unread “{place.said.words}”: {place.why}"
        why, fen = without_fen(place.why)
        if fen is None or not is_terminal():
            yield from folded([line])
            continue
        text = [f"{place_of(walk.talk, place.said)} unread “{place.said.words}”", why]
        if fen == shown:
            yield from (row for part in text for row in fold(part, width()))
            continue
        shown = fen
        yield ""
        yield from beside_board(fen, [*text, "", to_move(fen)], width(), walk.side == "black")
