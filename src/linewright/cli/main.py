"""The command line: each command parses its arguments, calls one function and prints; see ``command_list.py``."""

from __future__ import annotations

import gc
from typing import Annotated, Final

import typer

from linewright import __version__
from linewright.cli.command_list import LazyCommands

#: Objects made, less those freed, after which cycles are looked for: Python's 700 is for small machines.
MADE_BETWEEN_COLLECTIONS: Final = 50_000

app = typer.Typer(
    name="linewright",
    cls=LazyCommands,
    help="Reads the moves in a chess trainer's opening talk, checks what is said against the board, real games and "
    "an engine, and makes a lesson of it.",
    no_args_is_help=True,
    add_completion=False,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    context_settings={"help_option_names": ["-h", "--help"]},
)


@app.callback(invoke_without_command=True)
def main_options(
    version: Annotated[bool, typer.Option("--version", help="Print the version and exit.")] = False,
) -> None:
    if version:
        typer.echo(f"linewright {__version__}")
        raise typer.Exit(0)


def main() -> None:
    """The program. Python's cycle collector runs seldom, and not when the program ends: almost everything is freed
    without it, and looking through it all again and again takes a tenth of a check's time."""
    gc.set_threshold(MADE_BETWEEN_COLLECTIONS)
    try:
        app(prog_name="linewright")
    finally:
        gc.freeze()
