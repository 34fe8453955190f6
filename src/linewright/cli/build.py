"""The ``build`` command: the lesson's files, made from one talk or from a folder of them."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Annotated, Final

import typer

from linewright.captions.corrected import NO_PLAYERS, Notation, correct_captions
from linewright.cli.course import build_course, day_of
from linewright.cli.run import as_told
from linewright.cli.shared import (
    CHECKING,
    READING,
    BaseOption,
    ForceOption,
    findings_of,
    opened_base,
    read,
    summary,
    usable,
)
from linewright.cli.terminal.progress import Work, working
from linewright.cli.terminal.text import aside, remark
from linewright.engine.remembered_signs import remembered_signs
from linewright.lesson.walk import Walk
from linewright.publish.build import build
from linewright.publish.handout.book import Depth
from linewright.publish.outputs import ALL, Filming, Order, OutputPart
from linewright.publish.theme import PLAIN, THEME_FILE, Theme, load_theme
from linewright.publish.timing import FASTEST, RATE, SLOWEST, length
from linewright.support.errors import UnusableInput
from linewright.support.extras import extra
from linewright.support.paths import VERDICTS_FILE, base_path, home
from linewright.talk.model import Unit

NAMES = ", ".join(OutputPart)

#: Where lessons are written when no folder is named: ``lessons/NAME`` beside the talk, as the desk does.
LESSONS: Final = "lessons"
#: Where a folder's course is written when no folder is named: inside it.
COURSE: Final = "course"
#: Seconds that the parts but the film usually take (see ``shared``), and the film for each second of the talk.
MAKING: Final = 1.5
FILMING: Final = 0.15

#: The talk, or a folder of them.
TalkArgument = Annotated[
    Path,
    typer.Argument(
        metavar="TALK",
        help="A typed talk (.md .txt), captions (.vtt .srt), a recogniser's JSON, or a folder of talks.",
    ),
]


def build_command(
    talk: TalkArgument,
    out: Annotated[
        Path | None,
        typer.Option(
            "--out",
            "-o",
            metavar="DIR",
            help=f"Folder for the lesson's files, instead of {LESSONS}/NAME beside the talk.",
        ),
    ] = None,
    base: BaseOption = None,
    force: ForceOption = False,
    only: Annotated[
        list[str] | None,
        typer.Option("--only", metavar="PART,…", help=f"Make only these, separated by commas: {NAMES}."),
    ] = None,
    level: Annotated[
        int,
        typer.Option(
            "--level",
            metavar="N",
            min=1,
            max=3,
            help="Hand-out: 1 outline, moves only; 2 every line; 3 every sentence too.",
        ),
    ] = 2,
    theme: Annotated[
        Path | None,
        typer.Option(
            "--theme",
            metavar="FILE",
            help=f"Name, colours, paper and language, instead of {THEME_FILE} beside the talk.",
        ),
    ] = None,
    findings_shown: Annotated[
        bool, typer.Option("--findings", help="Page: show findings and unsure places, hidden from pupils otherwise.")
    ] = False,
    recording: Annotated[
        Path | None,
        typer.Option(
            "--recording", metavar="FILE", help="Sound or video to play on the page and use as the film's sound."
        ),
    ] = None,
    film: Annotated[bool, typer.Option("--film", help="Make a film too: the board in step with the talk.")] = False,
    tall: Annotated[bool, typer.Option("--tall", help="Film: upright for phones, 1080 × 1920.")] = False,
    burnt: Annotated[bool, typer.Option("--burn-captions", help="Film: show the captions in the picture.")] = False,
    rate: Annotated[
        int,
        typer.Option("--rate", metavar="N", min=SLOWEST, max=FASTEST, help="Film of a typed talk: words a minute."),
    ] = RATE,
    notation: Annotated[
        bool, typer.Option("--notation", help="Captions: write moves in notation, with figurines.")
    ] = False,
    letters: Annotated[
        bool, typer.Option("--letters", help="As --notation, with piece letters instead of figurines.")
    ] = False,
    run: Annotated[
        Path | None,
        typer.Option("--run", metavar="FILE", help="Take the times from a run of the stage, matched to --recording."),
    ] = None,
    run_at: Annotated[
        float | None,
        typer.Option("--run-at", metavar="SECONDS", help="When the run starts in the recording, in seconds."),
    ] = None,
) -> None:
    """Make the lesson: a page that works offline, a hand-out to print, an annotated PGN, and corrected captions.

    A folder of talks becomes a course: contents, index, one PGN and one book. A recording beside its captions under
    the same name is played on the page. Only what has changed is rebuilt.

    Example: linewright build lesson.md
    """
    with usable():
        parts, look = chosen(only), theme_for(talk, theme)
        if film:
            parts |= {OutputPart.FILM}
        if talk.is_dir():
            if OutputPart.FILM in parts or recording is not None:
                raise UnusableInput(
                    f"{talk}: a course takes neither a film nor one recording",
                    "A recording beside its talk under the same name (slav.mp3, slav.vtt) is played without asking; "
                    "for a film, build the talk alone: linewright build TALK --film --recording FILE",
                )
            place = out or talk / COURSE
            with opened_base(base) as games, remembered_signs(home() / VERDICTS_FILE) as signs, working() as work:
                order = Order(parts, look, games, signs, level=Depth(level), doubts=findings_shown)
                course = list(build_course(talk, place, games, base_path(base), order, force, work))
            for path in course:
                typer.echo(path)
            if not course:
                remark(f"{place} is up to date")
            return
        if OutputPart.FILM in parts:
            extra("av", "film")  # said before the work, not after it
        place = out or talk.parent / LESSONS / talk.name.split(".")[0]
        stages = (("reading", READING), ("checking", CHECKING), ("making", MAKING))
        with (
            opened_base(base) as games,
            remembered_signs(home() / VERDICTS_FILE) as signs,
            working(*stages) as work,
        ):
            walk = read(talk, games, work.begin("reading"))
            staged = None
            if run is not None:
                walk, staged = as_told(walk, run, recording, run_at, float(rate))
            if recording is not None and walk.talk.unit is not Unit.SECONDS:
                raise UnusableInput(
                    f"{talk}: a typed talk has no times to go with {recording}",
                    "Write the recording down first: linewright hear RECORDING -o TALK.vtt",
                )
            work.begin("checking")
            findings = findings_of(walk, games)
            work.begin("making")
            form = Notation(figurines=not letters) if notation or letters else None
            wants = OutputPart.CAPTIONS in parts or burnt
            captions = correct_captions(walk, games or NO_PLAYERS, form) if wants else None
            order = Order(
                parts,
                look,
                games,
                signs,
                level=Depth(level),
                captions=captions,
                doubts=findings_shown,
                recording=recording,
                filming=Filming(tall, burnt, rate, staged),
                progress=filmed(work, walk),
                day=day_of(talk),
            )
            made = build(walk, findings, place, force, order=order)
    for path in made:
        typer.echo(path)
    if captions is not None:
        aside(captions.summary)
    aside(summary(findings))


def filmed(work: Work, walk: Walk) -> Callable[[float], None]:
    """What hears how far a film is, and shows it."""
    stage: list[Callable[[float], None]] = []

    def show(part: float) -> None:
        if not stage:
            stage.append(work.begin("filming", FILMING * length(walk)))
        stage[0](part)

    return show


def chosen(only: list[str] | None) -> frozenset[OutputPart]:
    """The parts named with ``--only``, separated by commas; all of them without it."""
    if not only:
        return ALL
    names = [name.strip().lower() for value in only for name in value.split(",") if name.strip()]
    for name in names:
        if name not in set(OutputPart):
            raise UnusableInput(f"--only {name}: no such part", f"Parts are: {NAMES}.")
    return frozenset(map(OutputPart, names))


def theme_for(talk: Path, named: Path | None) -> Theme:
    """The theme as named, else the one beside the talk or in the folder of talks, else Linewright's own, else plain."""
    if named is not None:
        return load_theme(named)
    beside = (talk if talk.is_dir() else talk.parent) / THEME_FILE
    for path in (beside, home() / "theme.toml"):
        if path.is_file():
            return load_theme(path)
    return PLAIN
