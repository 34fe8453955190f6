"""``linewright hear``: turn a recording into captions and timed words."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Annotated, Literal

import typer
from rich.console import Console
from rich.progress import BarColumn, TextColumn, TimeRemainingColumn
from rich.progress import Progress as Bar

from linewright.cli.shared import FOUND, BaseOption, ForceOption, usable
from linewright.cli.terminal.text import remark
from linewright.hear.heard_words import Progress
from linewright.hear.models import VARIABLE
from linewright.hear.recording import clock
from linewright.support.paths import base_path
from linewright.workflow.hear_recording import HearingOrder, hear_recording


def hear_command(
    recording: Annotated[
        Path, typer.Argument(metavar="RECORDING", help="Sound or video: wav, mp3, m4a, ogg, opus, mp4, mkv, webm.")
    ],
    out: Annotated[
        Path | None,
        typer.Option(
            "--out", "-o", metavar="TALK.vtt", help="File for the captions, instead of one beside the recording."
        ),
    ] = None,
    about: Annotated[
        str | None,
        typer.Option(
            "--about", metavar="OPENING", help="The talk's opening, for better hearing: “Caro-Kann”, or an ECO code."
        ),
    ] = None,
    model: Annotated[
        str | None,
        typer.Option(
            "--model",
            metavar="MODEL",
            help=f"Speech model to use, instead of {VARIABLE} or the one in Linewright's folder.",
        ),
    ] = None,
    download: Annotated[
        bool, typer.Option("--download", help="Download the speech model if it is not on this machine yet.")
    ] = False,
    base: BaseOption = None,
    force: ForceOption = False,
) -> None:
    """Turn a recording into captions, and words with their times (TALK.words.json).

    Nothing leaves this machine. `linewright read` takes either file; from the words it also knows how sure each one is.

    Example: linewright hear lesson.m4a -o lesson.vtt --about "Caro-Kann"
    """
    order = HearingOrder(recording, out, about, base_path(base), base is not None, model, download, force)
    with usable("stopped, nothing was written"), _bar() as show:
        heard = hear_recording(order, show, remark)
    made = heard.written
    typer.echo(
        f"{made.captions}: {made.words:,} words in {made.cues:,} captions, {clock(heard.seconds)} long; "
        f"words with times: {made.words_file}"
    )
    if heard.trouble:
        remark(f"{recording}: {heard.trouble}")
        raise typer.Exit(FOUND)


@contextmanager
def _bar() -> Iterator[Progress]:
    """A progress bar over the recording's seconds, on standard error where that is a terminal."""
    columns = (
        TextColumn("{task.description}"),
        BarColumn(),
        TextColumn("{task.fields[clock]}"),
        TimeRemainingColumn(),
    )
    console = Console(stderr=True)
    with Bar(*columns, console=console, transient=True, disable=not console.is_terminal) as bar:
        task, shown = bar.add_task("", total=None, clock=""), ""

        def show(doing: Literal["opening", "hearing"], done: float, total: float | None) -> None:
            nonlocal shown
            if doing != shown:
                bar.reset(task)  # the pace of one says nothing of the other's
                shown = doing
            at = clock(done) if total is None else f"{clock(done)} of {clock(total)}"
            bar.update(task, description=doing, completed=done, total=total, clock=at)

        yield show
