"""The command ``check``: what a talk claims, and what it should have said."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer
from rich.console import Console

from linewright.claims.engine_judge import EACH, SECONDS
from linewright.claims.report import check_json
from linewright.cli.shared import FOUND, BaseOption, JsonOption, TalkArgument, emit, opened_base, usable
from linewright.cli.terminal.findings import count_findings, print_findings
from linewright.cli.terminal.progress import working
from linewright.cli.terminal.text import aside, remark
from linewright.lesson.finding import Finding, Kind, Verdict
from linewright.support.paths import verdicts_path
from linewright.workflow.check_lesson import EngineUse, check_lesson
from linewright.workflow.read_lesson import load_lesson


def check_command(
    talk: TalkArgument,
    base: BaseOption = None,
    as_json: JsonOption = False,
    engine: Annotated[
        Path | None,
        typer.Option("--engine", metavar="PATH", help="UCI engine to use instead of the one found."),
    ] = None,
    seconds: Annotated[
        float | None,
        typer.Option(
            "--seconds",
            metavar="N",
            min=0.0,
            help=f"Engine time for the whole talk; without it {EACH:.0f} s a position, {SECONDS:.0f} s at most. "
            "Verdicts are remembered.",
            show_default=False,
        ),
    ] = None,
    no_engine: Annotated[bool, typer.Option("--no-engine", help="Check without an engine.")] = False,
) -> None:
    """Check what a talk says, and what it should have said.

    Claims are decided by the board, the games base and a UCI engine, which
    spends its time where the doubt is greatest. Replies passed over, praised
    moves that lose and unread moves are reported too. The five most serious
    come first, then the rest in groups. Into a file or a program each finding
    is one line, file:line:column: …, as linters print. The exit code is 1 when
    something fails.

    To leave something as it is, write {stet} or {stet: reply} in the sentence;
    to switch a kind off for good, put off = ["reply", "branch"] under [check]
    in settings.toml.

    Example: linewright check lesson.md --seconds 30
    """
    with usable("stopped; the engine's verdicts so far are remembered"), opened_base(base) as games:
        use = None if no_engine else EngineUse(engine, seconds)
        with working() as work:
            checked = check_lesson(load_lesson(talk), games, verdicts_path(), use, remark, work)
        if as_json:
            emit(check_json(checked.walk, checked.findings))
        else:
            console = Console(file=sys.stdout, highlight=False, soft_wrap=True, markup=False)
            print_findings(str(talk), checked.walk, checked.findings, console)
            aside(count_findings(checked.findings))
    if any(is_wrong(finding) for finding in checked.findings):
        raise typer.Exit(FOUND)


def is_wrong(finding: Finding) -> bool:
    """It makes ``check`` exit with 1: a claim that fails, or words that can't be read."""
    return finding.verdict is Verdict.FAILS or finding.kind is Kind.UNREAD
