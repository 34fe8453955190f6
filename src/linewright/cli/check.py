"""The command ``check``: what a talk claims, and what it should have said."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer
from rich.console import Console

from linewright.claims.engine_judge import EACH, SECONDS
from linewright.claims.ranking import grouped
from linewright.claims.report import check_json
from linewright.claims.selection import MOST, filter_findings, select_findings
from linewright.cli.shared import FOUND, BaseOption, JsonOption, TalkArgument, counted, emit, opened_base, usable
from linewright.cli.terminal.findings import Groups, count_findings, print_findings
from linewright.cli.terminal.progress import working
from linewright.cli.terminal.text import aside, remark
from linewright.lesson.finding import Finding, Kind, Verdict
from linewright.support.errors import UnusableInput
from linewright.support.paths import verdicts_path
from linewright.workflow.check_lesson import CheckedLesson, EngineUse, check_lesson
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
    everything: Annotated[
        bool, typer.Option("--all", help=f"Show all findings, not only the {MOST} that matter most.")
    ] = False,
    only: Annotated[
        str | None,
        typer.Option("--only", metavar="KIND,…", help="Show only these kinds or verdicts, e.g. fails,quotes,reply."),
    ] = None,
    boards: Annotated[bool, typer.Option("--boards", help="Show a small board with every finding.")] = False,
) -> None:
    """Check what a talk says, and what it should have said.

    Claims are decided by the board, the games base and a UCI engine, which
    spends its time where the doubt is greatest. Replies passed over, praised
    moves that lose and unread moves are reported too. Of many findings
    the twelve that matter most are shown, the most serious first: what is wrong
    or missing, and which doubtful moves to settle; --all shows the rest, and
    remarks. Into a file or a program each finding is one line,
    file:line:column: …, as linters print. The exit code is 1 when something
    fails.

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
            groups, hidden = _shown(checked, only, everything)
            console = Console(file=sys.stdout, highlight=False, soft_wrap=True, markup=False)
            print_findings(str(talk), checked.walk, groups, console, boards)
            if not groups and not only:
                aside("Nothing is wrong or missing.")
            aside(count_findings(checked.findings))
            if hidden:
                aside(f"{counted(hidden, 'finding')} not shown; --all shows {'it' if hidden == 1 else 'them'}")
    if any(is_wrong(finding) for finding in checked.findings):
        raise typer.Exit(FOUND)


def _shown(checked: CheckedLesson, only: str | None, everything: bool) -> tuple[Groups, int]:
    """The findings to show under their headings, and how many are left out.

    :raises UnusableInput: when ``only`` names something that is no kind.
    """
    found = checked.findings
    if only is not None:
        try:
            found = filter_findings(found, only.split(","))
        except ValueError as error:
            raise UnusableInput(f"--only {only}: {error}", "Name kinds or verdicts, separated by commas.") from error
    if everything or only is not None:
        return grouped(found), 0
    selection = select_findings(found, checked.walk.certainty)
    return grouped(selection.shown), len(selection.left_out)


def is_wrong(finding: Finding) -> bool:
    """It makes ``check`` exit with 1: a claim that fails, or words that can't be read."""
    return finding.verdict is Verdict.FAILS or finding.kind is Kind.UNREAD
