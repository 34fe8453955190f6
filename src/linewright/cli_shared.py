"""What all commands share: options, exit codes, and how unusable input is told."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Annotated

import typer

from linewright.errors import UnusableInput

#: Exit codes, as linters have them: fine; something found, or done only in part; input that can't be used; stopped
#: by Ctrl-C (128 + SIGINT, common practice).
FINE, FOUND, UNUSABLE, STOPPED = 0, 1, 2, 130

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
