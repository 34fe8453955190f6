"""The command line: each command parses its arguments, calls one function and prints; ``cli_lazy.py`` lists them."""

from __future__ import annotations

import gc
from typing import Annotated, Final

import typer

from linewright import __version__
from linewright.cli_lazy import LazyCommands

#: Objects made, less those freed, after which cycles are looked for: Python's 700 is for small machines.
MADE_BETWEEN_COLLECTIONS: Final = 50_000

app = typer.Typer(
    name="linewright",
    cls=LazyCommands,
    help="Reads a chess trainer's opening talk off against the board, checks what it claims, makes it a lesson.",
    no_args_is_help=True,
    add_completion=False,
    context_settings={"help_option_names": ["-h", "--help"]},
)


@app.callback(invoke_without_command=True)
def main_options(
    version: Annotated[bool, typer.Option("--version", help="Print the version and end.")] = False,
) -> None:
    if version:
        typer.echo(f"linewright {__version__}")
        raise typer.Exit(0)


def main() -> None:
    """The program. Python's cycle collector looks on seldom, and not when the program ends: next to all of what is made
    is freed without it, and looking that through again and again takes a tenth of a check's time."""
    gc.set_threshold(MADE_BETWEEN_COLLECTIONS)
    try:
        app()
    finally:
        gc.freeze()
