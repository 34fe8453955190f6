"""The command ``check``: parses arguments, reads and checks the talk, and prints what was found."""

from __future__ import annotations

import sys
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Annotated, Final

import typer
from rich.console import Console
from rich.text import Text

from linewright.claims.check import check_walk, notes
from linewright.claims.engine_judge import EACH, SECONDS, judging
from linewright.claims.finding_lines import finding_line
from linewright.claims.model import TROUBLES, UNASKED, Finding, Kind, Verdict
from linewright.claims.ranking import grouped
from linewright.claims.report import check_json
from linewright.claims.suppressions import load_off
from linewright.cli.shared import (
    CHECKING,
    FOUND,
    READING,
    BaseOption,
    JsonOption,
    TalkArgument,
    emit,
    opened_base,
    read,
    summary,
    usable,
)
from linewright.cli.terminal.progress import Work, working
from linewright.cli.terminal.text import aside, beside_board, fold, place_of, remark, to_move, width, without_fen
from linewright.games.api import GameSource
from linewright.lesson.walk import Walk
from linewright.support.paths import VERDICTS_FILE, home

#: How verdicts are coloured on a terminal, in the colour-blind-safe colours of Okabe and Ito (2008); the words stay, so
#: that nothing is shown by colour alone.
_STYLES = {Verdict.FAILS: "bold #d55e00", Verdict.UNDECIDED: "#e69f00", Verdict.HOLDS: "#009e73"}


#: Words of a finding that a reader is shown; the talk has the rest.
MOST_WORDS: Final = 24
#: Columns for a place: ``123:1234`` or ``1:23:45``.
_PLACES: Final = 8


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
        off = load_off()
        with working(("reading", READING), ("checking", CHECKING)) as work:
            walk = read(talk, games, work.begin("reading"))
            for words in notes(walk):
                remark(words)
            findings = _checked(walk, games, off, None if no_engine else (engine, seconds), work)
        if as_json:
            emit(check_json(walk, findings))
        else:
            show(str(talk), walk, findings, Console(file=sys.stdout, highlight=False, soft_wrap=True, markup=False))
            aside(summary(findings))
    if any(is_wrong(f) for f in findings):
        raise typer.Exit(FOUND)


def _checked(
    walk: Walk,
    base: GameSource | None,
    off: frozenset[Kind],
    engine: tuple[Path | None, float | None] | None,
    work: Work,
) -> tuple[Finding, ...]:
    """The findings, with the engine asked where one is wanted."""
    part = work.begin("checking")
    if engine is None:
        return check_walk(walk, base, off=off)
    path, seconds = engine

    def judged(done: int, total: int) -> None:
        nonlocal part
        if not asked:
            asked.append(total)
            time = seconds if seconds is not None else min(SECONDS, EACH * total)
            part = work.begin("engine", time, f"engine: {total} positions")
        part(done / total)

    asked: list[int] = []
    with judging(path, home() / VERDICTS_FILE, seconds, remark, judged) as judge:
        return check_walk(walk, base, judge, off)


def show(source: str, walk: Walk, findings: Sequence[Finding], console: Console) -> None:
    """The findings under headings, the most serious first, an empty line between the groups: for a reader folded to
    the terminal's width, with small boards; for a program a line each."""
    if console.is_terminal and findings:
        console.print(source, style="dim")
    for number, (heading, group) in enumerate(grouped(findings)):
        console.print(f"{chr(10) if number or console.is_terminal else ''}{heading}", style="bold")
        for finding in group:
            for row in _rows(walk, finding) if console.is_terminal else [_line(source, finding)]:
                console.print(row)


def _line(source: str, finding: Finding) -> Text:
    """A finding's line, for editors and programs."""
    return Text(finding_line(source, finding))


def _rows(walk: Walk, finding: Finding) -> Iterator[Text]:
    """A finding for a reader: where and which words, then what is found, coloured by its verdict."""
    place = f"{place_of(walk.talk, finding.said):<{_PLACES}} "
    indent, columns = len(place), width()
    words = " ".join(finding.said.words.split())
    quoted = fold(f"“{_shortened(words, MOST_WORDS)}”" if words else "(not said)", columns - indent, 0)
    for number, row in enumerate(quoted):
        yield Text.assemble((place if not number else " " * indent, "dim"), row)
    evidence, fen = without_fen(" ".join(finding.evidence.split()))
    what = finding_name(finding)
    text = fold(f"{what}: {evidence}", columns - indent, 2)
    first = Text(" " * indent + text[0])
    first.stylize(_STYLES[finding.verdict], indent, indent + len(what))
    yield first
    yield from (Text(" " * indent + row) for row in text[1:])
    if fen is not None:
        rows = beside_board(fen, [to_move(fen)], columns - indent, walk.side == "black")
        yield from (Text(" " * indent + row) for row in rows)


def finding_name(finding: Finding) -> str:
    """Its kind, and a claim's verdict."""
    return str(finding.kind) if finding.kind in TROUBLES | UNASKED else f"{finding.kind} {finding.verdict}"


def _shortened(words: str, most: int) -> str:
    """The first words, whole ones."""
    listed = words.split()
    return words if len(listed) <= most else f"{' '.join(listed[:most])} …"


def is_wrong(finding: Finding) -> bool:
    """It makes ``check`` exit with 1: a claim that fails, or words that can't be read."""
    return finding.verdict is Verdict.FAILS or finding.kind is Kind.UNREAD
