"""``linewright desk``: the local web pages over a folder of talks."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Final

import platformdirs
import typer

from linewright.cli.classes import ClassesOption, opened
from linewright.cli.shared import BaseOption, usable
from linewright.cli.terminal.text import remark
from linewright.support.atomic_write import write
from linewright.support.errors import UnusableInput
from linewright.support.paths import base_path, home

#: Remembers, in Linewright's folder, which folder of talks was opened last.
LAST_FOLDER: Final = "desk-folder.txt"
#: The folder of talks, in the user's documents, where none was ever named.
FIRST_FOLDER: Final = "Chess talks"


def desk_command(
    folder: Annotated[Path | None, typer.Argument(metavar="[FOLDER]", help="Folder of talks.")] = None,
    base: BaseOption = None,
    port: Annotated[
        int, typer.Option("--port", metavar="N", min=0, max=65535, help="Port to listen on; 0 is any free one.")
    ] = 0,
    host: Annotated[
        str,
        typer.Option(
            "--host",
            metavar="ADDRESS",
            help="Address to listen on; any but 127.0.0.1 makes the desk reachable from other machines.",
        ),
    ] = "127.0.0.1",
    engine: Annotated[
        Path | None, typer.Option("--engine", metavar="PATH", help="UCI engine to use instead of the one found.")
    ] = None,
    model: Annotated[
        str | None, typer.Option("--model", metavar="MODEL", help="Speech model for dictation and recordings.")
    ] = None,
    no_browser: Annotated[bool, typer.Option("--no-browser", help="Print the address, and open no browser.")] = False,
    pupils: Annotated[
        bool, typer.Option("--pupils", help="Serve the pupils' practice page instead; see linewright class.")
    ] = False,
    classes: ClassesOption = "",
) -> None:
    """Open the desk: write, check, rehearse and build the talks of a folder in the browser.

    Without a folder, the one opened last; the first time, “Chess talks” in your documents, which is made. Everything
    stays on this machine, and the talks stay plain files that any other editor may change meanwhile.

    Example: linewright desk talks/
    """
    if pupils:
        from linewright.practice.server.class_server import serve_class

        with opened(classes) as store:
            serve_class(store, host, port, typer.echo, engine)
        return
    from linewright.desk.serving import serve
    from linewright.desk.state import Desk

    with usable():
        chosen = talks_folder(folder)
        desk = Desk(chosen, base_path(base), home(), engine, model)
        serve(desk, host, port, say=typer.echo, browse=not no_browser)


def talks_folder(named: Path | None) -> Path:
    """The folder of talks to open: as named, else the one opened last, else one in the user's documents, which is
    made. It is remembered.

    :raises UnusableInput: when there is no such folder, or it can't be made.
    """
    kept = home() / LAST_FOLDER
    if named is not None:
        if not named.is_dir():
            raise UnusableInput(f"{named}: no such folder", "Name the folder with your talks, or create it.")
        folder = named.resolve()
    else:
        folder = _last_folder(kept) or Path(platformdirs.user_documents_dir()) / FIRST_FOLDER
        remark(f"opening the talks in {folder}")
    try:
        folder.mkdir(parents=True, exist_ok=True)
        kept.parent.mkdir(parents=True, exist_ok=True)
        write(kept, f"{folder}\n".encode())
    except OSError as error:
        raise UnusableInput(
            f"{error.filename or folder}: {error.strerror or error}", "Name a folder: linewright desk FOLDER"
        ) from None
    return folder


def _last_folder(kept: Path) -> Path | None:
    """The folder that was opened last, if it is still there."""
    try:
        folder = Path(kept.read_text(encoding="utf-8").strip())
    except (OSError, UnicodeDecodeError):
        return None
    return folder if folder.is_absolute() and folder.is_dir() else None
