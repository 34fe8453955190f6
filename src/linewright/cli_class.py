"""The command ``class``: pupils, their links, what they practised; to back up, to move, to hand out and to erase."""

from __future__ import annotations

import json
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import asdict
from datetime import datetime
from pathlib import Path
from typing import Annotated, Any

import typer

from linewright.cli_practice import EngineOption, SideOption, TalksArgument, drills_of, judge
from linewright.cli_shared import FINE, BaseOption, JsonOption, emit, opened_base, usable
from linewright.errors import UnusableInput
from linewright.lesson.spoken import numbered
from linewright.practice.class_file import load, save
from linewright.practice.fit import ENOUGH, fitted
from linewright.practice.log import Entry, entries_of_json, entry_json
from linewright.practice.report import LATELY, Missed, Practised, Report, class_report
from linewright.practice.schedule import LEAST_RETENTION, MINUTES, MOST_RETENTION, RETENTION
from linewright.practice.store import PAGE, Pupil, SchoolClass, Store
from linewright.writing import write

app = typer.Typer(
    help="Classes of pupils: their links, what they practised, what they miss.",
    no_args_is_help=True,
    add_completion=False,
)

ClassesOption = Annotated[
    str,
    typer.Option(
        "--classes",
        metavar="URL",
        envvar="LINEWRIGHT_CLASSES",
        help="sqlite:///FILE or postgresql://HOST/NAME; else your own file.",
    ),
]
ClassOption = Annotated[str, typer.Option("--class", "-c", metavar="NAME", help="The class, where there are several.")]
NameArgument = Annotated[str, typer.Argument(metavar="PUPIL", help="As you call the pupil; no real name is needed.")]
RetentionOption = Annotated[
    float, typer.Option("--retention", min=LEAST_RETENTION, max=MOST_RETENTION, help="How sure things are to be known.")
]
MinutesOption = Annotated[float, typer.Option("--minutes", min=1, max=240, help="Minutes a day that a pupil has.")]
AddressOption = Annotated[
    str, typer.Option("--address", metavar="URL", help="Where the practice pages are served, to print whole links.")
]


@contextmanager
def opened(url: str) -> Iterator[Store]:
    with usable(), Store.open(url) as store:
        yield store


@app.command("new")
def new_command(
    name: Annotated[str, typer.Argument(metavar="NAME")],
    classes: ClassesOption = "",
    retention: RetentionOption = RETENTION,
    minutes: MinutesOption = MINUTES,
) -> None:
    """Make a class.

    Example: linewright class new "Tuesday juniors" --minutes 15
    """
    with opened(classes) as store:
        made = store.new_class(name, retention, minutes)
        typer.echo(
            f"{made.name}: made. Give it drills: linewright class teach TALK, and pupils: linewright class invite NAME"
        )


@app.command("teach")
def teach_command(
    talks: TalksArgument,
    classes: ClassesOption = "",
    school_class: ClassOption = "",
    base: BaseOption = None,
    side: SideOption = "",
    engine: EngineOption = False,
) -> None:
    """Give a class the drills of talks; a talk given again replaces its drills, and what was learned stays.

    Example: linewright class teach lesson.md
    """
    with opened(classes) as store, opened_base(base) as games, judge(engine) as asked:
        mine = store.class_named(school_class)
        for talk in talks:
            made = drills_of(talk, games, asked, side)
            title = made.drills[0].lesson or talk.stem
            store.put_lesson(mine.id, title, made.drills)
            typer.echo(f"{title}: {len(made.drills)} drills, {len(made.left_out)} positions left out as unsure")


@app.command("lessons")
def lessons_command(
    classes: ClassesOption = "",
    school_class: ClassOption = "",
    remove: Annotated[str, typer.Option("--remove", metavar="TITLE", help="Take this lesson from the class.")] = "",
) -> None:
    """The lessons whose drills a class has.

    Example: linewright class lessons
    """
    with opened(classes) as store:
        mine = store.class_named(school_class)
        if remove and not store.remove_lesson(mine.id, remove):
            raise UnusableInput(f"the class has no lesson “{remove}”", "See them with: linewright class lessons")
        for title in store.lessons(mine.id):
            typer.echo(title)


@app.command("invite")
def invite_command(
    names: Annotated[list[str], typer.Argument(metavar="PUPIL…", help="As you call them; no real names are needed.")],
    classes: ClassesOption = "",
    school_class: ClassOption = "",
    address: AddressOption = "",
    again: Annotated[
        bool, typer.Option("--again", help="New links for pupils of the class; old ones stop working.")
    ] = False,
) -> None:
    """Add pupils and print each one's personal link. A link is shown once: only its hash is kept.

    Example: linewright class invite Ana Tom --address http://192.168.1.20:8123
    """
    with opened(classes) as store:
        mine = store.class_named(school_class)
        for name in names:
            token = store.new_link(store.pupil_named(mine.id, name).id) if again else store.add_pupil(mine.id, name)[1]
            typer.echo(f"{name}\t{link(address, token)}")


def link(address: str, token: str) -> str:
    """A pupil's link; the secret stands behind ``#``, which browsers send to nobody."""
    return f"{address.rstrip('/')}/practice/#{token}"


@app.command("revoke")
def revoke_command(name: NameArgument, classes: ClassesOption = "", school_class: ClassOption = "") -> None:
    """Stop a pupil's link; what was practised stays. A new one: class invite PUPIL --again.

    Example: linewright class revoke Tom
    """
    with opened(classes) as store:
        store.revoke(store.pupil_named(store.class_named(school_class).id, name).id)
        typer.echo(f"{name}: no link works any more")


@app.command("pupils")
def pupils_command(classes: ClassesOption = "", school_class: ClassOption = "") -> None:
    """The pupils of a class; all classes with --class left out.

    Example: linewright class pupils
    """
    with opened(classes) as store:
        chosen = [store.class_named(school_class)] if school_class else store.classes()
        for one in chosen:
            typer.echo(f"{one.name}: {one.minutes:g} minutes a day, retention {one.retention:.0%}")
            for pupil in store.pupils(one.id):
                typer.echo(f"  {pupil.name}{'' if pupil.linked else ' (no link)'}")


@app.command("report")
def report_command(classes: ClassesOption = "", school_class: ClassOption = "", as_json: JsonOption = False) -> None:
    """Who practised what, and which positions the class misses: what to say again.

    Example: linewright class report
    """
    with opened(classes) as store:
        report = class_report(store, store.class_named(school_class).id, time.time_ns() // 1_000_000)
        if as_json:
            emit(asdict(report))
            return
        for line in report_lines(report):
            typer.echo(line)


def report_lines(report: Report) -> Iterator[str]:
    """The report as text."""
    for one in report.pupils:
        yield _practised(one)
    if report.missed:
        yield ""
        yield "Missed most surely:"
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


@app.command("set")
def set_command(
    classes: ClassesOption = "",
    school_class: ClassOption = "",
    retention: Annotated[float | None, typer.Option("--retention", help="How sure things are to be known.")] = None,
    minutes: Annotated[float | None, typer.Option("--minutes", help="Minutes a day that a pupil has.")] = None,
    fit: Annotated[
        bool, typer.Option("--fit", help=f"Fit the model of memory to the class's answers (from {ENOUGH} on).")
    ] = False,
) -> None:
    """Set a class's retention and minutes, or fit the model of memory to its answers.

    Example: linewright class set --minutes 15
    """
    with opened(classes) as store:
        mine = store.class_named(school_class)
        weights = mine.weights
        if fit:
            found = fitted(log for _, log in store.class_logs(mine.id))
            if found is None:
                raise UnusableInput(
                    f"the class has fewer than {ENOUGH} answers a day or more apart", "Practise on, and fit later."
                )
            weights = found.weights
            typer.echo(
                f"fitted to {found.answers} answers: log loss {found.before:.3f} before, {found.after:.3f} after"
            )
        store.set_figures(mine.id, retention or mine.retention, minutes or mine.minutes, weights)
        now = store.class_named(mine.name)
        typer.echo(f"{now.name}: {now.minutes:g} minutes a day, retention {now.retention:.0%}")


@app.command("receive")
def receive_command(
    name: NameArgument,
    files: Annotated[list[Path], typer.Argument(metavar="FILE…", help="Progress files from the practice page.")],
    classes: ClassesOption = "",
    school_class: ClassOption = "",
) -> None:
    """Take in progress files that a pupil hands back; the same file twice changes nothing.

    Example: linewright class receive Ana practice-panov-2026-11-25.json
    """
    with opened(classes) as store:
        pupil = store.pupil_named(store.class_named(school_class).id, name)
        for path in files:
            new, wrong = receive(store, pupil, path)
            typer.echo(f"{path}: {new} new answers{f', {wrong} lines left out' if wrong else ''}")


def receive(store: Store, pupil: Pupil, path: Path) -> tuple[int, int]:
    """Take in a progress file: how many answers were new, and how many lines were none.

    :raises UnusableInput: when it is no progress file.
    """
    try:
        data = json.loads(path.read_text(encoding="utf-8"))
        rows = data["entries"] if data["linewright"] == "practice log" else None
    except (OSError, ValueError, KeyError, TypeError) as error:
        raise UnusableInput(f"{path} is no progress file: {error}", "Take one from the practice page.") from None
    if not isinstance(rows, list):
        raise UnusableInput(f"{path} is no progress file", "Take one from the practice page.")
    entries: list[Entry] = []
    wrong = 0
    for found in entries_of_json(rows):
        if isinstance(found, Entry):
            entries.append(found)
        else:
            wrong += 1
    new = 0
    for first in range(0, len(entries), PAGE):
        new += store.sync(pupil.id, entries[first : first + PAGE]).new
    return new, wrong


@app.command("backup")
def backup_command(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="E.g. juniors.linewright-class")],
    classes: ClassesOption = "",
    school_class: ClassOption = "",
    force: Annotated[bool, typer.Option("--force", help="Write over a file that is there.")] = False,
) -> None:
    """Write a class file: all classes, or one with --class. Links go on working where it is restored.

    Example: linewright class backup juniors.linewright-class
    """
    with opened(classes) as store:
        if file.exists() and not force:
            raise UnusableInput(f"{file} is there already", "Name another file, or write over it with --force.")
        count = save(store, file, store.class_named(school_class).id if school_class else "")
        typer.echo(f"{file}: {count} answers")


@app.command("restore")
def restore_command(
    file: Annotated[Path, typer.Argument(metavar="FILE")],
    classes: ClassesOption = "",
) -> None:
    """Add what a class file holds; what is there already stays as it is.

    Example: linewright class restore juniors.linewright-class
    """
    with opened(classes) as store:
        typer.echo(f"{file}: {load(store, file)} rows added")


@app.command("export")
def export_command(
    name: NameArgument,
    file: Annotated[Path, typer.Argument(metavar="FILE.json")],
    classes: ClassesOption = "",
    school_class: ClassOption = "",
    force: Annotated[bool, typer.Option("--force", help="Write over a file that is there.")] = False,
) -> None:
    """Everything that is kept about a pupil, as a file to hand over; the practice page can take it in.

    Example: linewright class export Ana ana.json
    """
    with opened(classes) as store:
        mine = store.class_named(school_class)
        if file.exists() and not force:
            raise UnusableInput(f"{file} is there already", "Name another file, or write over it with --force.")
        document = about(store, mine, store.pupil_named(mine.id, name))
        write(file, json.dumps(document, ensure_ascii=False, indent=1).encode())
        typer.echo(f"{file}: {len(document['entries'])} answers")


def about(store: Store, mine: SchoolClass, pupil: Pupil) -> dict[str, Any]:
    """All that is kept about a pupil, as JSON values."""
    log = store.log(pupil.id)
    return {
        "linewright": "practice log",
        "version": 1,
        "title": mine.name,
        "pupil": pupil.name,
        "link": "works" if pupil.linked else "none",
        "entries": [entry_json(entry) for entry in log],
    }


@app.command("erase")
def erase_command(
    name: NameArgument,
    classes: ClassesOption = "",
    school_class: ClassOption = "",
    yes: Annotated[bool, typer.Option("--yes", help="Don't ask.")] = False,
) -> None:
    """Erase everything that is kept about a pupil. Backups made before still hold it: make new ones.

    Example: linewright class erase Tom
    """
    with opened(classes) as store:
        pupil = store.pupil_named(store.class_named(school_class).id, name)
        if not yes and not typer.confirm(f"Erase {name} and every answer, for good?"):
            raise typer.Exit(FINE)
        typer.echo(f"{name}: erased, with {store.erase(pupil.id)} answers")
