"""The command ``plan``: what deserves a lesson's minutes, and what finished talks cover."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated, Any

import typer

from linewright.cli.shared import (
    FOUND,
    BaseOption,
    ForceOption,
    JsonOption,
    emit,
    opened_base,
    refuse_existing,
    usable,
)
from linewright.cli.terminal.progress import working
from linewright.cli.terminal.text import folded, remark
from linewright.games.api import GameFilter, GameSource, parse_band, parse_position
from linewright.plan.coverage import Coverage
from linewright.plan.lesson_index import LessonIndex
from linewright.plan.outline import facts_from, know_nothing, way_of, write_outline
from linewright.plan.plan_text import (
    coverage_csv,
    coverage_json,
    coverage_lines,
    plan_csv,
    plan_json,
    plan_lines,
)
from linewright.plan.planning import Plan
from linewright.plan.repertoire import Repertoire, repertoire_json, repertoire_lines
from linewright.support.atomic_write import write
from linewright.support.errors import UnusableInput
from linewright.support.paths import verdicts_path
from linewright.workflow.engine_scores import open_scores
from linewright.workflow.index_lesson import find_talks, index_lessons
from linewright.workflow.plan_lesson import USUAL, PlanOrder, cover_lessons, plan_lesson
from linewright.workflow.progress import READING

#: Seconds that planning or counting what a talk covers usually takes (see :mod:`linewright.workflow.progress`).
PLANNING = 2.0


@dataclass(frozen=True, slots=True)
class _Form:
    """In which form the answer is wanted.

    :param outline: a file for a talk to start from.
    """

    as_json: bool
    outline: Path | None
    page: Path | None
    csv: Path | None

    @property
    def files(self) -> tuple[Path, ...]:
        return tuple(filter(None, (self.outline, self.page, self.csv)))


@dataclass(frozen=True, slots=True)
class _Covered:
    """What finished talks cover.

    :param left_out: why some can't be used.
    :param together: what several are together.
    """

    lessons: Sequence[LessonIndex]
    left_out: tuple[str, ...]
    found: Sequence[Coverage]
    together: Repertoire | None


TalksArgument = Annotated[
    list[Path] | None, typer.Argument(metavar="[TALK]…", help="Finished talks, or a folder of them.")
]
StartOption = Annotated[
    str | None, typer.Option("--from", metavar="MOVES", help='Moves to plan from: "1.e4 e6 2.d4 d5".')
]
SideOption = Annotated[str, typer.Option("--as", metavar="SIDE", help="The side the lesson is for: white or black.")]
MinutesOption = Annotated[
    float | None, typer.Option("--minutes", metavar="N", min=1, max=240, help="Length of the talk.")
]
RatingsOption = Annotated[
    str | None, typer.Option("--ratings", metavar="BAND", help="Ratings that pupils meet: 1400-1800.")
]
YearsOption = Annotated[str | None, typer.Option("--years", metavar="BAND", help="Only games of these years: 2010-.")]
FollowOption = Annotated[
    list[str] | None,
    typer.Option(
        "--follow",
        metavar="MOVE",
        help="What the pupil plays where a talk shows several moves, instead of the first: 6.Nf3, or either. "
        "Can be given several times.",
    ),
]
EngineOption = Annotated[bool, typer.Option("--engine", help="Ask an engine too what wrong answers cost.")]
OutOption = Annotated[Path | None, typer.Option("--outline", metavar="FILE.md", help="Write a talk to start from.")]
PageOption = Annotated[
    Path | None, typer.Option("--page", metavar="FILE.html", help="Write a page with a map of the lines.")
]
CsvOption = Annotated[Path | None, typer.Option("--csv", metavar="FILE.csv", help="Write a table.")]


def plan_command(
    talks: TalksArgument = None,
    base: BaseOption = None,
    as_json: JsonOption = False,
    start: StartOption = None,
    side: SideOption = "",
    minutes: MinutesOption = None,
    ratings: RatingsOption = None,
    years: YearsOption = None,
    follow: FollowOption = None,
    engine: EngineOption = False,
    out: OutOption = None,
    page: PageOption = None,
    csv: CsvOption = None,
    force: ForceOption = False,
) -> None:
    """Find what deserves a lesson's minutes; for finished talks, see what they cover.

    With --minutes: the best lines for that time, in the order to teach them,
    and what is left for another talk. For a talk: how far pupils' games stay
    inside it, its biggest holes, and lines that almost nobody meets. For several
    talks also where they contradict each other and where they meet. The exit
    code is 1 when one of several can't be used.

    Example: linewright plan --from "1.e4 e6 2.d4 d5" --as white --minutes 7
    """
    with usable():
        only = GameFilter(
            ratings=parse_band(ratings, "ratings") if ratings else None,
            years=parse_band(years, "years") if years else None,
        )
        paths = list(find_talks(talks or ()))
        _refuse_contradictions(paths, start, minutes, follow, out)
        form = _Form(as_json, out, page, csv)
        for path in form.files:
            refuse_existing(path, force)
        with opened_base(base) as games, open_scores(verdicts_path(), engine) as scores:
            root = parse_position(None, start) if start is not None else None
            stages = [*((path.name, READING) for path in paths), ("planning", PLANNING * max(len(paths), 1))]
            with working(*stages) as work:
                lessons, left_out = index_lessons(paths, games, side, remark, work, root, follow or ())
                progress = work.begin("planning")
                planned = covered = None
                if minutes is not None or not lessons:
                    order = PlanOrder(root, side, minutes or USUAL, only)
                    planned = plan_lesson(order, games, lessons[0] if lessons else None, scores)
                else:
                    covered = _Covered(lessons, left_out, *cover_lessons(lessons, games, only, progress))
            if planned is not None:
                _put_plan(*planned, games, start, form)
            if covered is not None:
                _put_coverage(covered, form)
    if left_out:
        raise typer.Exit(FOUND)


def _refuse_contradictions(
    paths: Sequence[Path], start: str | None, minutes: float | None, follow: Sequence[str] | None, out: Path | None
) -> None:
    """Refuse options that don't go together.

    :raises UnusableInput: which says what to do instead.
    """
    if not paths and start is None:
        raise UnusableInput("nothing to plan", 'Name a talk, or give moves to plan from: --from "1.e4 e6" --as white.')
    if len(paths) != 1 and minutes is not None and start is None:
        raise UnusableInput("--minutes plans one talk", "Name one talk, or give moves to plan from with --from.")
    if follow and len(paths) != 1:
        raise UnusableInput("--follow chooses between moves of one talk", "Name one talk.")
    if out is not None and minutes is None:
        raise UnusableInput("--outline needs a plan", "Add how long the talk may be: --minutes 7.")


def _put_plan(plan: Plan, only: GameFilter, games: GameSource, start: str | None, form: _Form) -> None:
    """Write and print a plan.

    :param only: the filter that its games meet.
    """
    if form.outline is not None:
        way = way_of(start) if start is not None else ()
        know = facts_from(games, plan.side, only) if games.has_games else know_nothing
        write(form.outline, write_outline(plan, way, know).encode())
    if form.page is not None:
        from linewright.publish.page.plan_page import plan_page  # the page's parts aren't needed for text

        write(form.page, plan_page(plan).encode())
    if form.csv is not None:
        write(form.csv, plan_csv(plan).encode())
    if form.as_json:
        emit(plan_json(plan))
        return
    _print_lines(plan_lines(plan))
    for path in form.files:
        remark(f"wrote {path}")


def _put_coverage(covered: _Covered, form: _Form) -> None:
    """Write and print what talks cover."""
    found, together = covered.found, covered.together
    if form.page is not None:
        from linewright.publish.page.plan_page import coverage_page

        said = [line for line in repertoire_lines(together) if line] if together is not None else []
        write(form.page, coverage_page(list(found), list(covered.lessons), together=said).encode())
    if form.csv is not None:
        write(form.csv, "".join(coverage_csv(one) for one in found).encode())
    if form.as_json:
        document: dict[str, Any] = {
            "talks": [coverage_json(one) for one in found],
            "left_out": list(covered.left_out),
        }
        emit(document | ({"together": repertoire_json(together)} if together is not None else {}))
        return
    for number, one in enumerate(found):
        _print_lines([*([""] if number else []), *coverage_lines(one, len(found) == 1)])
    if together is not None:
        _print_lines(repertoire_lines(together))


def _print_lines(lines: Iterable[str]) -> None:
    for line in folded(list(lines)):
        typer.echo(line)
