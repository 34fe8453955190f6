"""The command ``demo``: read, check and build an invented lesson."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from linewright.cli.shared import usable
from linewright.cli.terminal.text import remark


def demo_command(
    out: Annotated[Path, typer.Option("--out", "-o", metavar="DIR", help="Folder for the demo's files.")] = Path(
        "lesson-demo"
    ),
) -> None:
    """Read, check and build an invented lesson, to see what Linewright does.

    The talk and the games base stay in the folder: edit the talk and run the demo again.

    Example: linewright demo
    """
    from linewright.demo import run_demo

    with usable():
        for line in run_demo(out, remark):
            typer.echo(line)
