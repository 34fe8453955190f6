"""The ``build`` command: what leaves the house, made from one talk."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path
from typing import Annotated

import typer
from rich.console import Console
from rich.progress import Progress

from linewright.cli_course import build_course
from linewright.cli_run import as_told
from linewright.cli_shared import BaseOption, TalkArgument, findings_of, opened_base, read, summary, usable
from linewright.engine.remembered import remembered_signs
from linewright.errors import UnusableInput
from linewright.extras import extra
from linewright.home import VERDICTS_FILE, base_path, home
from linewright.publish.book import Level
from linewright.publish.build import build
from linewright.publish.captions import NO_PLAYERS, Notation, mended_captions
from linewright.publish.parts import ALL, Filming, Order, Part
from linewright.publish.theme import PLAIN, THEME_FILE, Theme, load_theme
from linewright.publish.timing import FASTEST, RATE, SLOWEST
from linewright.talk.model import Unit

NAMES = ", ".join(Part)


def build_command(
    talk: TalkArgument,
    out: Annotated[Path, typer.Option("--out", "-o", metavar="DIR", help="Folder for the lesson's files.")],
    base: BaseOption = None,
    force: Annotated[
        bool,
        typer.Option("--force", help="Write into a folder that holds other files, over changed ones too."),
    ] = False,
    only: Annotated[
        list[str] | None, typer.Option("--only", metavar="PART,…", help=f"Make only these: {NAMES}.")
    ] = None,
    level: Annotated[
        int,
        typer.Option(
            "--level", min=1, max=3, help="Hand-out: 1 outline, moves only; 2 every line; 3 with every sentence."
        ),
    ] = 2,
    theme: Annotated[
        Path | None,
        typer.Option("--theme", metavar="FILE", help=f"Name, colours, paper, language; else {THEME_FILE} by the talk."),
    ] = None,
    findings_shown: Annotated[
        bool, typer.Option("--findings", help="Page: show findings and unsure places; pupils don't see them else.")
    ] = False,
    recording: Annotated[
        Path | None,
        typer.Option("--recording", metavar="FILE", help="Sound or video that the page plays and the film sounds."),
    ] = None,
    film: Annotated[bool, typer.Option("--film", help="Make a film too: the board, in step with the talk.")] = False,
    tall: Annotated[bool, typer.Option("--tall", help="Film: upright, 1080 by 1920, for phones.")] = False,
    burnt: Annotated[bool, typer.Option("--burn-captions", help="Film: the captions in the picture.")] = False,
    rate: Annotated[
        int,
        typer.Option("--rate", min=SLOWEST, max=FASTEST, help="Film of a typed talk: words a minute."),
    ] = RATE,
    notation: Annotated[
        bool, typer.Option("--notation", help="Captions: write the moves, in figurines, rather than spoken.")
    ] = False,
    letters: Annotated[
        bool, typer.Option("--letters", help="As --notation, with piece letters for players without figurines.")
    ] = False,
    run: Annotated[
        Path | None,
        typer.Option("--run", metavar="FILE", help="Times from a run of the stage; lined up with --recording."),
    ] = None,
    run_at: Annotated[
        float | None,
        typer.Option("--run-at", metavar="SECONDS", help="The recording's moment at which the run began."),
    ] = None,
) -> None:
    """Make the lesson: a page that needs no network, a hand-out for paper, an annotated PGN, and captions, mended.

    A folder of talks becomes a course: contents, index, one PGN and one book; recordings that lie beside their
    captions under the same name are played on the pages. Only what changed is made anew.

    Example: linewright build lesson.md -o lesson/
    """
    with usable(), tempo() as told:
        parts, look = chosen(only), theme_for(talk, theme)
        if film:
            parts |= {Part.FILM}
        if talk.is_dir():
            if Part.FILM in parts or recording is not None:
                raise UnusableInput(
                    f"{talk}: a course takes neither a film nor one recording",
                    "Recordings that lie beside their talks, slav.mp3 by slav.vtt, are played by themselves; "
                    "for a film build the talk alone: linewright build TALK --film --recording FILE -o DIR",
                )
            with opened_base(base) as games, remembered_signs(home() / VERDICTS_FILE) as signs:
                order = Order(parts, look, games, signs, level=Level(level), doubts=findings_shown)
                count = 0
                for path in build_course(talk, out, games, base_path(base), order, force, read):
                    typer.echo(path)
                    count += 1
            if not count:
                typer.echo("linewright: nothing has changed", err=True)
            return
        if Part.FILM in parts:
            extra("av", "film")  # said before the work, not after it
        with opened_base(base) as games, remembered_signs(home() / VERDICTS_FILE) as signs:
            walk = read(talk, games)
            staged = None
            if run is not None:
                walk, staged = as_told(walk, run, recording, run_at, float(rate))
            if recording is not None and walk.talk.unit is not Unit.SECONDS:
                raise UnusableInput(
                    f"{talk}: a typed talk has no times to go with {recording}",
                    "Write the recording down first: linewright hear RECORDING -o TALK.vtt",
                )
            findings = findings_of(walk, games)
            form = Notation(figurines=not letters) if notation or letters else None
            wants = Part.CAPTIONS in parts or burnt
            captions = mended_captions(walk, games or NO_PLAYERS, form) if wants else None
            order = Order(
                parts,
                look,
                games,
                signs,
                level=Level(level),
                captions=captions,
                doubts=findings_shown,
                recording=recording,
                filming=Filming(tall, burnt, rate, staged),
                progress=told,
            )
            made = build(walk, findings, out, force, order=order)
    for path in made:
        typer.echo(path)
    if captions is not None:
        typer.echo(captions.summary, err=True)
    typer.echo(summary(findings), err=True)


@contextmanager
def tempo() -> Iterator[Callable[[float], None]]:
    """A progress bar on standard error that appears when there is progress to tell."""
    with ExitStack() as stack:
        bar: list[Progress] = []

        def tell(part: float) -> None:
            if not bar:
                bar.append(stack.enter_context(Progress(console=Console(stderr=True), transient=True)))
                bar[0].add_task("Filming", total=1.0)
            bar[0].update(bar[0].tasks[0].id, completed=part)

        yield tell


def chosen(only: list[str] | None) -> frozenset[Part]:
    """The parts named with ``--only``, parted by commas; all of them without it."""
    if not only:
        return ALL
    names = [name.strip().lower() for value in only for name in value.split(",") if name.strip()]
    for name in names:
        if name not in set(Part):
            raise UnusableInput(f"--only {name}: no such part", f"Parts are: {NAMES}.")
    return frozenset(map(Part, names))


def theme_for(talk: Path, named: Path | None) -> Theme:
    """The theme as named, else the one beside the talk or in the folder of talks, else Linewright's own, else plain."""
    if named is not None:
        return load_theme(named)
    beside = (talk if talk.is_dir() else talk.parent) / THEME_FILE
    for path in (beside, home() / "theme.toml"):
        if path.is_file():
            return load_theme(path)
    return PLAIN
