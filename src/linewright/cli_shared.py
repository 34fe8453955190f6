"""What all commands share: options, exit codes, and how unusable input is told."""

from __future__ import annotations

import json
import sys
from collections.abc import Iterator, Sequence
from contextlib import ExitStack, contextmanager
from pathlib import Path
from typing import Annotated, Any

import typer

from linewright.asking.store import load_answers
from linewright.base import Base
from linewright.claims.model import TROUBLES, UNASKED, Finding, Kind, Verdict
from linewright.errors import UnusableInput
from linewright.home import VERDICTS_FILE, base_path, home
from linewright.lesson.walk import Walk
from linewright.talk.load import load_talk

#: Exit codes, as linters have them: fine; something found, or done only in part; input that can't be used; stopped
#: by Ctrl-C (128 + SIGINT, common practice).
FINE, FOUND, UNUSABLE, STOPPED = 0, 1, 2, 130

TalkArgument = Annotated[
    Path,
    typer.Argument(metavar="TALK", help="Typed talk (.md .txt), captions (.vtt .srt) or recogniser JSON."),
]
BaseOption = Annotated[
    Path | None,
    typer.Option("--base", metavar="FILE", help="The games base; else the one in Linewright's folder."),
]
JsonOption = Annotated[bool, typer.Option("--json", help="Print one JSON object, for programs.")]


@contextmanager
def usable(stopped: str = "stopped") -> Iterator[None]:
    """Unusable input in one line on standard error, exit code 2; Ctrl-C in one line too.

    :param stopped: what is said after Ctrl-C.
    """
    try:
        yield
    except UnusableInput as error:
        typer.echo(f"linewright: {error}", err=True)
        raise typer.Exit(UNUSABLE) from None
    except KeyboardInterrupt:
        typer.echo(f"linewright: {stopped}", err=True)
        raise typer.Exit(STOPPED) from None


@contextmanager
def opened_base(named: Path | None) -> Iterator[Base | None]:
    """The base as named, else the user's own, else none: then one line says what is missed."""
    path = base_path(named)
    if named is None and not path.exists():
        typer.echo(
            f"linewright: no games base at {path}: reading by the rules and by sense alone. "
            "Add games with: linewright base add FILE.pgn",
            err=True,
        )
        yield None
        return
    with ExitStack() as stack:
        yield stack.enter_context(Base.open(path))


def read(path: Path, base: Base | None) -> Walk:
    """Load and read a talk with what was settled about it; what can't be used goes to standard error.

    :raises UnusableInput: when the talk can't be loaded or tells no move at all.
    """
    from linewright.reading.reader import read_talk  # what only talks need: a plan from a position starts without

    talk = load_talk(path)
    for note in talk.notes:
        typer.echo(f"linewright: {note}", err=True)
    kept = load_answers(path, talk)
    walk = read_talk(talk, base, answers=kept.answers)
    for trouble in (*kept.troubles, *kept.unfit(walk)):
        typer.echo(f"linewright: {trouble}", err=True)
    if not walk.moves:
        raise UnusableInput(
            f"{path}: no move can be read off this talk ({len(talk.words)} words)",
            "Say moves as in “knight f3” or write them as in Nf3; {start: FEN} sets another first position.",
        )
    return walk


def findings_of(walk: Walk, base: Base | None) -> tuple[Finding, ...]:
    """What ``check`` finds, by the verdicts that an engine gave before and without what the settings switch off."""
    from linewright.claims.check import check_walk  # as above
    from linewright.claims.judging import remembering
    from linewright.claims.switches import load_off

    with remembering(home() / VERDICTS_FILE) as judge:
        return check_walk(walk, base, judge, load_off())


def emit(document: dict[str, Any]) -> None:
    """One JSON object on standard output."""
    json.dump(document, sys.stdout, ensure_ascii=False, indent=1)
    sys.stdout.write("\n")


def summary(findings: Sequence[Finding]) -> str:
    """How many findings of each sort, in one line."""
    claims = [f for f in findings if f.kind not in TROUBLES | UNASKED]
    parts = [
        f"{sum(f.verdict is verdict for f in claims)} {word}"
        for verdict, word in ((Verdict.FAILS, "fail"), (Verdict.HOLDS, "hold"), (Verdict.UNDECIDED, "undecided"))
    ]
    unread = sum(f.kind is Kind.UNREAD for f in findings)
    unsure = sum(f.kind is Kind.UNSURE for f in findings)
    unasked = sum(f.kind in UNASKED for f in findings)
    more = f"; {unasked} unasked" if unasked else ""
    return f"{len(claims)} claims: {', '.join(parts)}{more}; {unsure} unsure and {unread} unread places"
