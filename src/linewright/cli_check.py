"""The command ``check``: parses arguments, has the talk read and checked, and prints what was found."""

from __future__ import annotations

import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Annotated

import typer
from rich.console import Console
from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn
from rich.text import Text

from linewright.base import Base
from linewright.claims.check import check_walk, notes
from linewright.claims.judging import EACH, SECONDS, judging
from linewright.claims.lines import finding_line
from linewright.claims.model import Finding, Kind, Verdict
from linewright.claims.report import check_json
from linewright.claims.seriousness import grouped
from linewright.claims.switches import load_off
from linewright.cli_shared import FOUND, BaseOption, JsonOption, TalkArgument, emit, opened_base, read, summary, usable
from linewright.engine.session import Progress as Told
from linewright.home import VERDICTS_FILE, home
from linewright.lesson.walk import Walk

#: How verdicts are coloured on a terminal, in the colour-blind-safe colours of Okabe and Ito (2008); the words stay, so
#: that nothing is told by colour alone.
_STYLES = {Verdict.FAILS: "bold #d55e00", Verdict.UNDECIDED: "#e69f00", Verdict.HOLDS: "#009e73"}


def check_command(
    talk: TalkArgument,
    base: BaseOption = None,
    as_json: JsonOption = False,
    engine: Annotated[
        Path | None,
        typer.Option("--engine", metavar="PATH", help="UCI engine to ask; else the settings' or one found."),
    ] = None,
    seconds: Annotated[
        float | None,
        typer.Option(
            "--seconds",
            min=0.0,
            help=f"Engine time for the whole talk; else {EACH:.0f} for each position, at most {SECONDS:.0f}. "
            "Verdicts are remembered.",
            show_default=False,
        ),
    ] = None,
    no_engine: Annotated[bool, typer.Option("--no-engine", help="Ask no engine.")] = False,
) -> None:
    """Check what a talk says, and what it should have said.

    Claims are decided by the board, the games base and a UCI engine, which
    shares its time out where the doubt is greatest. Replies passed over,
    praised moves that lose and unread moves are told too. The five most
    serious come first, then the rest by place, a line each, as linters do;
    ends with 1 when something fails.

    To let something stand: {stet} or {stet: reply} in the sentence, or for
    good in settings.toml, table check: off = ["reply", "branch"].

    Example: linewright check lesson.md --seconds 30
    """
    with usable("stopped; the engine's verdicts so far are remembered"), opened_base(base) as games:
        off = load_off()
        walk = read(talk, games)
        for told in notes(walk):
            note(told)
        findings = _checked(walk, games, off, None if no_engine else (engine, seconds))
        if as_json:
            emit(check_json(walk, findings))
        else:
            show(str(talk), findings, Console(file=sys.stdout, highlight=False, soft_wrap=True, markup=False))
            typer.echo(summary(findings), err=True)
    if any(is_wrong(f) for f in findings):
        raise typer.Exit(FOUND)


def _checked(
    walk: Walk, base: Base | None, off: frozenset[Kind], engine: tuple[Path | None, float | None] | None
) -> tuple[Finding, ...]:
    """The findings, with the engine asked where one is wanted."""
    if engine is None:
        return check_walk(walk, base, off=off)
    path, seconds = engine
    with _bar() as progress, judging(path, home() / VERDICTS_FILE, seconds, note, progress) as judge:
        return check_walk(walk, base, judge, off)


@contextmanager
def _bar() -> Iterator[Told]:
    """A progress bar on a terminal, for positions that the engine judges."""
    console = Console(stderr=True)
    columns = (TextColumn("engine"), BarColumn(), MofNCompleteColumn(), TextColumn("positions"), TimeRemainingColumn())
    with Progress(*columns, console=console, transient=True, disable=not console.is_terminal) as bar:
        task = bar.add_task("", total=None)

        def told(done: int, total: int) -> None:
            bar.update(task, completed=done, total=total)

        yield told


def show(source: str, findings: Sequence[Finding], console: Console) -> None:
    """The findings as lines under headings, the most serious first; an empty line between the groups."""
    for number, (heading, group) in enumerate(grouped(findings)):
        console.print(f"{chr(10) if number else ''}{heading}", style="bold")
        for finding in group:
            console.print(_line(source, finding))


def _line(source: str, finding: Finding) -> Text:
    """A finding's line, coloured by its verdict where the terminal shows colours."""
    text = Text(finding_line(source, finding))
    place = finding.said.place
    start = len(f"{source}:{place.line}:{place.column}: ")
    end = start + len(f"{finding.kind} {finding.verdict}")
    text.stylize("dim", 0, start)
    text.stylize(_STYLES[finding.verdict], start, end)
    return text


def note(told: str) -> None:
    """A word to the user beside the results."""
    typer.echo(f"linewright: {told}", err=True)


def is_wrong(finding: Finding) -> bool:
    """It makes ``check`` end with 1: a claim that fails, or words that can't be read."""
    return finding.verdict is Verdict.FAILS or finding.kind is Kind.UNREAD
