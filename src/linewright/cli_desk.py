"""``linewright desk``: the local web pages over a folder of talks."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from linewright.cli_class import ClassesOption, opened
from linewright.cli_shared import BaseOption, usable
from linewright.errors import UnusableInput
from linewright.home import base_path, home


def desk_command(
    folder: Annotated[Path, typer.Argument(metavar="[FOLDER]", help="Folder of talks.")] = Path(),
    base: BaseOption = None,
    port: Annotated[int, typer.Option("--port", min=0, max=65535, help="Port; 0 takes any free one.")] = 0,
    host: Annotated[
        str, typer.Option("--host", metavar="ADDRESS", help="Address to open on; others than this machine see it then.")
    ] = "127.0.0.1",
    engine: Annotated[Path | None, typer.Option("--engine", metavar="PATH", help="UCI engine to ask.")] = None,
    model: Annotated[
        str | None, typer.Option("--model", metavar="DIR|NAME", help="Speech model, for dictation and recordings.")
    ] = None,
    no_browser: Annotated[bool, typer.Option("--no-browser", help="Only print the address.")] = False,
    pupils: Annotated[
        bool, typer.Option("--pupils", help="Open the practice page for classes instead; see linewright class.")
    ] = False,
    classes: ClassesOption = "",
) -> None:
    """Open the desk: write, check, rehearse and build the talks of a folder in the browser.

    Everything stays on this machine; the talks stay plain files that any editor can change meanwhile.

    Example: linewright desk talks/
    """
    if pupils:
        from linewright.desk.pupils_serving import serve_pupils

        with opened(classes) as store:
            serve_pupils(store, host, port, typer.echo, engine)
        return
    from linewright.desk.serving import serve
    from linewright.desk.state import Desk

    with usable():
        if not folder.is_dir():
            raise UnusableInput(f"{folder}: no such folder", "Name the folder that holds your talks, or make it.")
        desk = Desk(folder.resolve(), base_path(base), home(), engine, model)
        serve(desk, host, port, told=typer.echo, browse=not no_browser)
