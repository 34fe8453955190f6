"""The command ``demo``: the main job on an invented lesson."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from linewright.cli_shared import usable


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
