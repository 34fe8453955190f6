"""The command ``build``: the lesson's files, made from one talk or from a folder of them."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from linewright.captions.corrected import Notation
from linewright.cli.shared import BaseOption, ForceOption, opened_base, usable
from linewright.cli.terminal.findings import count_findings
from linewright.cli.terminal.progress import working
from linewright.cli.terminal.text import aside, remark
from linewright.publish.handout.book import Depth
from linewright.publish.outputs import ALL, Filming, Order, OutputPart
from linewright.publish.theme import THEME_FILE
from linewright.publish.timing import FASTEST, RATE, SLOWEST
from linewright.support.errors import UnusableInput
from linewright.support.paths import OWN_THEME_FILE, base_path, home, verdicts_path
from linewright.talk.talk_files import source_talk
from linewright.workflow.build_course import CourseOrder, build_course, course_talks
from linewright.workflow.build_lesson import LESSONS, LessonOrder, build_lesson
from linewright.workflow.find_theme import find_theme
from linewright.workflow.time_by_run import StageRun

NAMES = ", ".join(OutputPart)

#: The talk, or a folder of them.
TalkArgument = Annotated[
    Path,
    typer.Argument(
        metavar="TALK",
        help="A typed talk (.md .txt), captions (.vtt .srt), a recogniser's JSON, or a folder of talks.",
    ),
]


OutOption = Annotated[
    Path | None,
    typer.Option(
        "--out",
        "-o",
        metavar="DIR",
        help=f"Folder for the lesson's files, instead of {LESSONS}/NAME beside the talk.",
    ),
]
OnlyOption = Annotated[
    list[str] | None,
    typer.Option("--only", metavar="PART,…", help=f"Make only these, separated by commas: {NAMES}."),
]
LevelOption = Annotated[
    int,
    typer.Option(
        "--level",
        metavar="N",
        min=1,
        max=3,
        help="Hand-out: 1 outline, moves only; 2 every line; 3 every sentence too.",
    ),
]
ThemeOption = Annotated[
    Path | None,
    typer.Option(
        "--theme",
        metavar="FILE",
        help=f"Name, colours, paper and language, instead of {THEME_FILE} beside the talk.",
    ),
]
FindingsShownOption = Annotated[
    bool, typer.Option("--findings", help="Page: show findings and unsure places, hidden from pupils otherwise.")
]
RecordingOption = Annotated[
    Path | None,
    typer.Option("--recording", metavar="FILE", help="Sound or video to play on the page and use as the film's sound."),
]
FilmOption = Annotated[bool, typer.Option("--film", help="Make a film too: the board in step with the talk.")]
TallOption = Annotated[bool, typer.Option("--tall", help="Film: upright for phones, 1080 × 1920.")]
BurntOption = Annotated[bool, typer.Option("--burn-captions", help="Film: show the captions in the picture.")]
RateOption = Annotated[
    int,
    typer.Option("--rate", metavar="N", min=SLOWEST, max=FASTEST, help="Film of a typed talk: words a minute."),
]
NotationOption = Annotated[bool, typer.Option("--notation", help="Captions: write moves in notation, with figurines.")]
LettersOption = Annotated[
    bool, typer.Option("--letters", help="As --notation, with piece letters instead of figurines.")
]
RunOption = Annotated[
    Path | None,
    typer.Option("--run", metavar="FILE", help="Take the times from a run of the stage, matched to --recording."),
]
RunAtOption = Annotated[
    float | None,
    typer.Option("--run-at", metavar="SECONDS", help="When the run starts in the recording, in seconds."),
]


def build_command(
    talk: TalkArgument,
    out: OutOption = None,
    base: BaseOption = None,
    force: ForceOption = False,
    only: OnlyOption = None,
    level: LevelOption = 2,
    theme: ThemeOption = None,
    findings_shown: FindingsShownOption = False,
    recording: RecordingOption = None,
    film: FilmOption = False,
    tall: TallOption = False,
    burnt: BurntOption = False,
    rate: RateOption = RATE,
    notation: NotationOption = False,
    letters: LettersOption = False,
    run: RunOption = None,
    run_at: RunAtOption = None,
) -> None:
    """Make the lesson: a page that works offline, a hand-out to print, an annotated PGN, and corrected captions.

    A folder of talks becomes a course: contents, index, one PGN and one book. A recording beside its captions under
    the same name is played on the page. Only what has changed is rebuilt.

    Example: linewright build lesson.md
    """
    with usable():
        outputs = Order(
            chosen(only) | ({OutputPart.FILM} if film else set()),
            find_theme(talk, home() / OWN_THEME_FILE, theme),
            level=Depth(level),
            doubts=findings_shown,
            recording=recording,
            filming=Filming(tall, burnt, rate),
        )
        if talk.is_dir():
            _build_course(CourseOrder(talk, course_talks(talk), out, outputs, base_path(base), force), base)
            return
        form = Notation(figurines=not letters) if notation or letters else None
        stage_run = StageRun(run, run_at) if run is not None else None
        _build_lesson(LessonOrder(source_talk(talk), out, outputs, form, stage_run, force), base)


def _build_course(order: CourseOrder, base: Path | None) -> None:
    with opened_base(base) as games, working() as work:
        written = list(build_course(order, games, verdicts_path(), remark, work))
    for path in written:
        typer.echo(path)
    if not written:
        remark(f"{order.place} is up to date")


def _build_lesson(order: LessonOrder, base: Path | None) -> None:
    with opened_base(base) as games, working() as work:
        built = build_lesson(order, games, verdicts_path(), remark, work)
    for path in built.files:
        typer.echo(path)
    if built.captions is not None:
        aside(built.captions.summary)
    aside(count_findings(built.findings))


def chosen(only: list[str] | None) -> frozenset[OutputPart]:
    """The parts named with ``--only``, separated by commas; all of them without it."""
    if not only:
        return ALL
    names = [name.strip().lower() for value in only for name in value.split(",") if name.strip()]
    for name in names:
        if name not in set(OutputPart):
            raise UnusableInput(f"--only {name}: no such part", f"Parts are: {NAMES}.")
    return frozenset(map(OutputPart, names))
