"""The command line: each command parses its arguments, calls one function and prints."""

from __future__ import annotations

import json
import sys
from collections.abc import Iterator, Sequence
from contextlib import ExitStack, contextmanager
from pathlib import Path
from typing import Annotated, Any

import typer

from linewright import __version__, cli_base, cli_hear
from linewright.asking.sitting import ask_about
from linewright.asking.store import load_answers
from linewright.base import Base
from linewright.claims.check import check_walk
from linewright.claims.lines import finding_line
from linewright.claims.model import Finding, Kind, Verdict
from linewright.claims.report import finding_json, reading_json
from linewright.cli_shared import FINE, FOUND, BaseOption, JsonOption, usable
from linewright.errors import UnusableInput
from linewright.home import base_path
from linewright.lesson.pgn import walk_to_pgn
from linewright.lesson.spoken import move_number
from linewright.lesson.walk import SURE, ReturnStep, Walk, doubt
from linewright.publish.build import build
from linewright.publish.captions import NO_PLAYERS, Notation, mended_captions
from linewright.reading.reader import read_talk
from linewright.talk.load import load_talk

app = typer.Typer(
    name="linewright",
    help="Reads a chess trainer's opening talk off against the board, checks what it claims, makes it a lesson.",
    no_args_is_help=True,
    add_completion=False,
    context_settings={"help_option_names": ["-h", "--help"]},
)
app.add_typer(cli_base.app, name="base")
app.command("hear")(cli_hear.hear_command)

TalkArgument = Annotated[
    Path,
    typer.Argument(metavar="TALK", help="Typed talk (.md .txt), captions (.vtt .srt) or recogniser JSON."),
]


@app.callback(invoke_without_command=True)
def main_options(
    version: Annotated[bool, typer.Option("--version", help="Print the version and end.")] = False,
) -> None:
    if version:
        typer.echo(f"linewright {__version__}")
        raise typer.Exit(FINE)


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


@app.command("check")
def check_command(talk: TalkArgument, base: BaseOption = None, as_json: JsonOption = False) -> None:
    """Check what a talk says: illegal and doubtful moves, claims about the position and the games.

    Prints one line for each finding, as linters do; ends with 1 when something fails.

    Example: linewright check lesson.md
    """
    with usable(), opened_base(base) as games:
        walk = read(talk, games)
        findings = check_walk(walk, games)
        if as_json:
            emit({"source": walk.talk.source, "findings": [finding_json(f) for f in findings]})
        else:
            for finding in findings:
                typer.echo(finding_line(str(talk), finding))
            typer.echo(summary(findings), err=True)
    if any(is_wrong(f) for f in findings):
        raise typer.Exit(FOUND)


@app.command("build")
def build_command(
    talk: TalkArgument,
    out: Annotated[Path, typer.Option("--out", "-o", metavar="DIR", help="Folder for the lesson's files.")],
    base: BaseOption = None,
    force: Annotated[
        bool,
        typer.Option("--force", help="Write into a folder that holds other files, over changed ones too."),
    ] = False,
    notation: Annotated[
        bool, typer.Option("--notation", help="Captions: write the moves, in figurines, rather than spoken.")
    ] = False,
    letters: Annotated[
        bool, typer.Option("--letters", help="As --notation, with piece letters for players without figurines.")
    ] = False,
) -> None:
    """Make the lesson: an annotated PGN, one page that needs no network, and a timed talk's captions, mended.

    Example: linewright build lesson.md -o lesson/
    """
    with usable(), opened_base(base) as games:
        walk = read(talk, games)
        findings = check_walk(walk, games)
        form = Notation(figurines=not letters) if notation or letters else None
        captions = mended_captions(walk, games or NO_PLAYERS, form)
        for path in build(walk, findings, out, force, captions):
            typer.echo(path)
        if captions is not None:
            typer.echo(captions.summary, err=True)
        typer.echo(summary(findings), err=True)


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


def emit(document: dict[str, Any]) -> None:
    """One JSON object on standard output."""
    json.dump(document, sys.stdout, ensure_ascii=False, indent=1)
    sys.stdout.write("\n")


def is_wrong(finding: Finding) -> bool:
    """It makes ``check`` end with 1: a claim that fails, or words that can't be read."""
    return finding.verdict is Verdict.FAILS or finding.kind is Kind.UNREAD


def summary(findings: Sequence[Finding]) -> str:
    """How many findings of each sort, in one line."""
    claims = [f for f in findings if f.kind not in (Kind.UNREAD, Kind.UNSURE)]
    parts = [
        f"{sum(f.verdict is verdict for f in claims)} {word}"
        for verdict, word in ((Verdict.FAILS, "fail"), (Verdict.HOLDS, "hold"), (Verdict.OPEN, "open"))
    ]
    unread = sum(f.kind is Kind.UNREAD for f in findings)
    unsure = sum(f.kind is Kind.UNSURE for f in findings)
    return f"{len(claims)} claims: {', '.join(parts)}; {unsure} unsure and {unread} unread places"


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
