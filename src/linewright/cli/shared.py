"""What all commands share: options, exit codes, and how unusable input is reported."""

from __future__ import annotations

import json
import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Annotated, Any

import typer

from linewright.claims.model import TROUBLES, UNASKED, Finding, Kind, Verdict
from linewright.cli.terminal.text import remark
from linewright.games.api import GameSource, open_games
from linewright.lesson.walk import Walk
from linewright.settle.answers_file import load_answers
from linewright.support.errors import UnusableInput
from linewright.support.paths import VERDICTS_FILE, base_path, home
from linewright.talk.load import load_talk

#: Exit codes, as linters have them: fine; something found, or done only in part; input that can't be used; stopped
#: by Ctrl-C (128 + SIGINT, common practice).
FINE, FOUND, UNUSABLE, STOPPED = 0, 1, 2, 130

#: Seconds that the steps of a command usually take on two cores, for the time left that a bar shows; a talk of seven
#: minutes, the base of 167,000 games. Measured once; the bar corrects itself by the pace it sees.
READING, CHECKING = 2.5, 1.0

TalkArgument = Annotated[
    Path,
    typer.Argument(metavar="TALK", help="A typed talk (.md .txt), captions (.vtt .srt) or a recogniser's JSON."),
]
BaseOption = Annotated[
    Path | None,
    typer.Option("--base", metavar="FILE", help="Games base to use instead of your own."),
]
JsonOption = Annotated[bool, typer.Option("--json", help="Print one JSON object, for programs.")]
ForceOption = Annotated[bool, typer.Option("--force", help="Overwrite files that already exist.")]


@contextmanager
def usable(stopped: str = "stopped") -> Iterator[None]:
    """Unusable input in one line on standard error, exit code 2; Ctrl-C in one line too.

    :param stopped: what is said after Ctrl-C.
    """
    try:
        yield
    except UnusableInput as error:
        remark(f"{error}")
        raise typer.Exit(UNUSABLE) from None
    except KeyboardInterrupt:
        remark(f"{stopped}")
        raise typer.Exit(STOPPED) from None


def refuse_existing(path: Path, force: bool) -> None:
    """Overwrite nothing unasked.

    :raises UnusableInput: when the file exists, unless ``force``.
    """
    if path.exists() and not force:
        raise UnusableInput(f"{path} already exists", "Name another file, or add --force to overwrite it.")


@contextmanager
def opened_base(named: Path | None) -> Iterator[GameSource]:
    """The base as named, else the user's own, else the starter table: then one line says so."""
    with open_games(base_path(named), named is not None) as games:
        if games.note:
            remark(games.note)
        yield games


def read(path: Path, base: GameSource | None, progress: Callable[[float], None] | None = None) -> Walk:
    """Load and read a talk, with its answers; what can't be used goes to standard error.

    :param progress: called with the part (0-1) of the words that are read.
    :raises UnusableInput: when the talk can't be loaded or contains no move at all.
    """
    from linewright.reading.reader import read_talk  # what only talks need: a plan from a position starts without

    talk = load_talk(path)
    for note in talk.notes:
        remark(f"{note}")
    kept = load_answers(path, talk)
    walk = read_talk(talk, base, answers=kept.answers, progress=progress)
    for trouble in (*kept.troubles, *kept.unfit(walk)):
        remark(f"{trouble}")
    if not walk.moves:
        raise UnusableInput(
            f"{path}: no move can be read in this talk ({len(talk.words)} words)",
            "Say moves as in “knight f3” or write them as in Nf3; {start: FEN} sets another first position.",
        )
    return walk


def reading_part(progress: Callable[[float], None], of: float) -> Callable[[float], None]:
    """What hears how far reading is, as the first part of a stage that takes ``of`` seconds."""
    return lambda part: progress(part * READING / of)


def findings_of(walk: Walk, base: GameSource | None) -> tuple[Finding, ...]:
    """What ``check`` finds, by the verdicts that an engine gave before and without what the settings switch off."""
    from linewright.claims.check import check_walk  # as above
    from linewright.claims.engine_judge import remembering
    from linewright.claims.suppressions import load_off

    with remembering(home() / VERDICTS_FILE) as judge:
        return check_walk(walk, base, judge, load_off())


def emit(document: dict[str, Any]) -> None:
    """One JSON object on standard output."""
    json.dump(document, sys.stdout, ensure_ascii=False, indent=1)
    sys.stdout.write("\n")


def counted(number: int, one: str, many: str = "") -> str:
    """A number with its noun: ``1 place``, ``2 places``."""
    return f"{number:,} {one if number == 1 else many or one + 's'}"


def summary(findings: Sequence[Finding]) -> str:
    """How many findings of each sort, in one line."""
    claims = [f for f in findings if f.kind not in TROUBLES | UNASKED]
    fails, holds, undecided = (
        sum(f.verdict is verdict for f in claims) for verdict in (Verdict.FAILS, Verdict.HOLDS, Verdict.UNDECIDED)
    )
    verdicts = f"{fails} {'fails' if fails == 1 else 'fail'}, {holds} {'holds' if holds == 1 else 'hold'}"
    unread = sum(f.kind is Kind.UNREAD for f in findings)
    unsure = sum(f.kind is Kind.UNSURE for f in findings)
    unasked = sum(f.kind in UNASKED for f in findings)
    more = f"; {unasked} not asked for" if unasked else ""
    return (
        f"{counted(len(claims), 'claim')}: {verdicts}, {undecided} undecided{more}; "
        f"{unsure} unsure and {counted(unread, 'unread place')}"
    )
