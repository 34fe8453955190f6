"""The command ``class``: pupils, their links, what they practised; to back up, move, hand over and erase."""

from __future__ import annotations

import json
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import asdict
from datetime import datetime
from pathlib import Path
from typing import Annotated

import typer

from linewright.cli.drills import EngineOption, SideOption, TalksArgument, make_all
from linewright.cli.shared import (
    FINE,
    BaseOption,
    ForceOption,
    JsonOption,
    counted,
    emit,
    opened_base,
    refuse_existing,
    usable,
)
from linewright.cli.terminal.help import Command, Group
from linewright.cli.terminal.text import folded
from linewright.lesson.spoken import numbered
from linewright.practice.classes.class_file import load, save
from linewright.practice.classes.class_report import LATELY, ClassReport, Missed, Practised, class_report
from linewright.practice.classes.progress_file import progress_document, receive_progress
from linewright.practice.classes.store import Store
from linewright.practice.schedule.fit import ENOUGH, fitted
from linewright.practice.schedule.settings import LEAST_RETENTION, MINUTES, MOST_RETENTION, RETENTION
from linewright.support.atomic_write import write
from linewright.support.errors import UnusableInput

app = typer.Typer(
    help="Classes: invite pupils, see what they practised and what they miss.\n\nExample: linewright class new Juniors",
    cls=Group,
    no_args_is_help=True,
    add_completion=False,
    rich_markup_mode=None,
)

ClassesOption = Annotated[
    str,
    typer.Option(
        "--classes",
        metavar="URL",
        envvar="LINEWRIGHT_CLASSES",
        help="Database to use instead of your own file: sqlite:///FILE or postgresql://HOST/NAME.",
    ),
]
ClassOption = Annotated[str, typer.Option("--class", "-c", metavar="NAME", help="The class, when there are several.")]
NameArgument = Annotated[str, typer.Argument(metavar="PUPIL", help="What you call the pupil; no real name is needed.")]
RetentionOption = Annotated[
    float,
    typer.Option(
        "--retention", metavar="SHARE", min=LEAST_RETENTION, max=MOST_RETENTION, help="Target chance of recall."
    ),
]
MinutesOption = Annotated[
    float, typer.Option("--minutes", metavar="N", min=1, max=240, help="Minutes of practice a day.")
]
AddressOption = Annotated[
    str, typer.Option("--address", metavar="URL", help="Where the practice page is served, to print complete links.")
]


@contextmanager
def opened(url: str) -> Iterator[Store]:
    with usable(), Store.open(url) as store:
        yield store


@app.command("new", cls=Command)
def new_command(
    name: Annotated[str, typer.Argument(metavar="NAME", help="The class's name.")],
    classes: ClassesOption = "",
    retention: RetentionOption = RETENTION,
    minutes: MinutesOption = MINUTES,
) -> None:
    """Create a class.

    Example: linewright class new "Tuesday juniors" --minutes 15
    """
    with opened(classes) as store:
        made = store.new_class(name, retention, minutes)
        typer.echo(
            f"{made.name}: created. Give it drills with: linewright class teach TALK, "
            "and pupils with: linewright class invite PUPIL"
        )


@app.command("teach", cls=Command)
def teach_command(
    talks: TalksArgument,
    classes: ClassesOption = "",
    school_class: ClassOption = "",
    base: BaseOption = None,
    side: SideOption = "",
    engine: EngineOption = False,
) -> None:
    """Give a class the drills of talks. A talk given again replaces its drills, and what was learned is kept.

    Example: linewright class teach lesson.md
    """
    with opened(classes) as store, opened_base(base) as games:
        mine = store.class_named(school_class)
        for talk, made in zip(talks, make_all(talks, games, side, engine), strict=True):
            title = made.drills[0].lesson or talk.stem
            store.put_lesson(mine.id, title, made.drills)
            typer.echo(f"{title}: {len(made.drills)} drills, {len(made.left_out)} unsure positions left out")


@app.command("lessons", cls=Command)
def lessons_command(
    classes: ClassesOption = "",
    school_class: ClassOption = "",
    remove: Annotated[str, typer.Option("--remove", metavar="TITLE", help="Remove this lesson from the class.")] = "",
) -> None:
    """List the lessons whose drills a class has.

    Example: linewright class lessons
    """
    with opened(classes) as store:
        mine = store.class_named(school_class)
        if remove and not store.remove_lesson(mine.id, remove):
            raise UnusableInput(f"the class has no lesson “{remove}”", "List them with: linewright class lessons")
        for title in store.lessons(mine.id):
            typer.echo(title)


@app.command("invite", cls=Command)
def invite_command(
    names: Annotated[list[str], typer.Argument(metavar="PUPIL…", help="What you call them; no real names are needed.")],
    classes: ClassesOption = "",
    school_class: ClassOption = "",
    address: AddressOption = "",
    again: Annotated[
        bool, typer.Option("--again", help="New links for pupils in the class; their old ones stop working.")
    ] = False,
) -> None:
    """Add pupils, and print a personal link for each. A link is shown only once: just its hash is stored.

    Example: linewright class invite Ana Tom --address http://192.168.1.20:8123
    """
    with opened(classes) as store:
        mine = store.class_named(school_class)
        for name in names:
            token = store.new_link(store.pupil_named(mine.id, name).id) if again else store.add_pupil(mine.id, name)[1]
            typer.echo(f"{name}\t{link(address, token)}")


def link(address: str, token: str) -> str:
    """A pupil's link; the secret comes after ``#``, which browsers send to nobody."""
    return f"{address.rstrip('/')}/practice/#{token}"


@app.command("revoke", cls=Command)
def revoke_command(name: NameArgument, classes: ClassesOption = "", school_class: ClassOption = "") -> None:
    """Cancel a pupil's link. What was practised is kept; for a new link: linewright class invite PUPIL --again.

    Example: linewright class revoke Tom
    """
    with opened(classes) as store:
        store.revoke(store.pupil_named(store.class_named(school_class).id, name).id)
        typer.echo(f"{name}: the link no longer works")


@app.command("pupils", cls=Command)
def pupils_command(classes: ClassesOption = "", school_class: ClassOption = "") -> None:
    """List the pupils of a class, or of all classes without --class.

    Example: linewright class pupils
    """
    with opened(classes) as store:
        chosen = [store.class_named(school_class)] if school_class else store.classes()
        for one in chosen:
            typer.echo(f"{one.name}: {one.minutes:g} minutes a day, retention {one.retention:.0%}")
            for pupil in store.pupils(one.id):
                typer.echo(f"  {pupil.name}{'' if pupil.linked else ' (no link)'}")


@app.command("report", cls=Command)
def report_command(classes: ClassesOption = "", school_class: ClassOption = "", as_json: JsonOption = False) -> None:
    """Show who practised what, and which positions the class misses: what to explain again.

    Example: linewright class report
    """
    with opened(classes) as store:
        report = class_report(store, store.class_named(school_class).id, time.time_ns() // 1_000_000)
        if as_json:
            emit(asdict(report))
            return
        for line in folded(list(report_lines(report))):
            typer.echo(line)


def report_lines(report: ClassReport) -> Iterator[str]:
    """The report as text."""
    for one in report.pupils:
        yield _practised(one)
    if report.missed:
        yield ""
        yield "Missed most:"
    for missed in report.missed:
        yield from _missed(missed)


def _practised(one: Practised) -> str:
    if one.last is None or one.right is None:
        return f"{one.name}: nothing yet"
    day = datetime.fromtimestamp(one.last / 1000).strftime("%Y-%m-%d")
    return (
        f"{one.name}: {one.answers} answers, {one.right:.0%} right, {one.drills} positions; "
        f"in {LATELY} days {one.lately} answers, {one.minutes:.0f} minutes; last on {day}"
    )


def _missed(missed: Missed) -> Iterator[str]:
    share = f"{missed.wrong:.0%} wrong ({100 * missed.low:.0f}–{100 * missed.high:.0f}) of {missed.answers}"
    yield f"  {missed.drill.asked} {share}, {missed.pupils} pupils"
    for answer, times in missed.gave:
        yield f"      gave {_given(missed, answer)} ({times})"
    if missed.drill.words:
        yield f"      you said: {missed.drill.words}"


def _given(missed: Missed, answer: str) -> str:
    """An answer as it is written: moves in notation, choices by their words."""
    import chess

    drill = missed.drill
    if drill.moves:
        board = chess.Board(drill.fen)
        try:
            return numbered(drill.fen, board.san(board.parse_uci(answer)))
        except ValueError:
            return answer
    if drill.choices and answer.isdigit() and 0 < int(answer) <= len(drill.choices):
        return f"“{drill.choices[int(answer) - 1]}”"
    return answer


@app.command("set", cls=Command)
def set_command(
    classes: ClassesOption = "",
    school_class: ClassOption = "",
    retention: Annotated[
        float | None, typer.Option("--retention", metavar="SHARE", help="Target chance of recall, e.g. 0.9.")
    ] = None,
    minutes: Annotated[float | None, typer.Option("--minutes", metavar="N", help="Minutes of practice a day.")] = None,
    fit: Annotated[
        bool, typer.Option("--fit", help=f"Fit the memory model to the class's answers (needs {ENOUGH}).")
    ] = False,
) -> None:
    """Set a class's target recall and minutes a day, or fit the memory model to its answers.

    Example: linewright class set --minutes 15
    """
    with opened(classes) as store:
        mine = store.class_named(school_class)
        weights = mine.weights
        if fit:
            found = fitted(log for _, log in store.class_logs(mine.id))
            if found is None:
                raise UnusableInput(
                    f"the class has fewer than {ENOUGH} answers at least a day apart", "Try again after more practice."
                )
            weights = found.weights
            typer.echo(
                f"fitted to {found.answers} answers: log loss {found.before:.3f} before, {found.after:.3f} after"
            )
        store.set_figures(mine.id, retention or mine.retention, minutes or mine.minutes, weights)
        now = store.class_named(mine.name)
        typer.echo(f"{now.name}: {now.minutes:g} minutes a day, retention {now.retention:.0%}")


@app.command("receive", cls=Command)
def receive_command(
    name: NameArgument,
    files: Annotated[list[Path], typer.Argument(metavar="FILE…", help="Progress files saved from the practice page.")],
    classes: ClassesOption = "",
    school_class: ClassOption = "",
) -> None:
    """Take in progress files from a pupil. The same file again changes nothing.

    Example: linewright class receive Ana practice-panov.json
    """
    with opened(classes) as store:
        pupil = store.pupil_named(store.class_named(school_class).id, name)
        for path in files:
            new, wrong = receive_progress(store, pupil, path)
            left_out = f", {counted(wrong, 'invalid line')} left out" if wrong else ""
            typer.echo(f"{path}: {counted(new, 'new answer')}{left_out}")


@app.command("backup", cls=Command)
def backup_command(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="The file to write, e.g. juniors.linewright-class.")],
    classes: ClassesOption = "",
    school_class: ClassOption = "",
    force: ForceOption = False,
) -> None:
    """Save all classes to a file, or one with --class. Links keep working where it is restored.

    Example: linewright class backup juniors.linewright-class
    """
    with opened(classes) as store:
        refuse_existing(file, force)
        count = save(store, file, store.class_named(school_class).id if school_class else "")
        typer.echo(f"{file}: {count} answers")


@app.command("restore", cls=Command)
def restore_command(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="A file written by linewright class backup.")],
    classes: ClassesOption = "",
) -> None:
    """Add the classes in a backup file. What already exists is left as it is.

    Example: linewright class restore juniors.linewright-class
    """
    with opened(classes) as store:
        typer.echo(f"{file}: {load(store, file)} rows added")


@app.command("export", cls=Command)
def export_command(
    name: NameArgument,
    file: Annotated[Path, typer.Argument(metavar="FILE.json", help="The file to write.")],
    classes: ClassesOption = "",
    school_class: ClassOption = "",
    force: ForceOption = False,
) -> None:
    """Save everything stored about a pupil, to hand over. The practice page can take it in.

    Example: linewright class export Ana ana.json
    """
    with opened(classes) as store:
        mine = store.class_named(school_class)
        refuse_existing(file, force)
        document = progress_document(store, mine, store.pupil_named(mine.id, name))
        write(file, json.dumps(document, ensure_ascii=False, indent=1).encode())
        typer.echo(f"{file}: {len(document['entries'])} answers")


@app.command("erase", cls=Command)
def erase_command(
    name: NameArgument,
    classes: ClassesOption = "",
    school_class: ClassOption = "",
    yes: Annotated[bool, typer.Option("--yes", help="Erase without asking.")] = False,
) -> None:
    """Erase everything stored about a pupil. Earlier backups still contain it: make new ones.

    Example: linewright class erase Tom
    """
    with opened(classes) as store:
        pupil = store.pupil_named(store.class_named(school_class).id, name)
        if not yes and not typer.confirm(f"Erase {name} and all answers for good?"):
            raise typer.Exit(FINE)
        typer.echo(f"{name}: erased, with {store.erase(pupil.id)} answers")
