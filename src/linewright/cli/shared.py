"""What all commands share: options, exit codes, and how unusable input is reported."""

from __future__ import annotations

import json
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Annotated, Any

import typer

from linewright.cli.terminal.text import remark
from linewright.games.api import GameSource, open_games
from linewright.support.errors import UnusableInput
from linewright.support.paths import base_path

#: Exit codes, as linters have them: fine; something found, or done only in part; input that can't be used; stopped
#: by Ctrl-C (128 + SIGINT, common practice).
FINE, FOUND, UNUSABLE, STOPPED = 0, 1, 2, 130

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


def emit(document: dict[str, Any]) -> None:
    """One JSON object on standard output."""
    json.dump(document, sys.stdout, ensure_ascii=False, indent=1)
    sys.stdout.write("\n")


def counted(number: int, one: str, many: str = "") -> str:
    """A number with its noun: ``1 place``, ``2 places``."""
    return f"{number:,} {one if number == 1 else many or one + 's'}"
