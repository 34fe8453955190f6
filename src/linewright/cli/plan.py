"""The command ``plan``: what deserves a lesson's minutes, and what finished talks cover."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Annotated, Any

import chess
import typer

from linewright.cli.plan_talks import lessons_of, paths_of
from linewright.cli.shared import (
    FOUND,
    READING,
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
from linewright.engine import settings
from linewright.engine.model import EngineVerdict
from linewright.engine.session import Engine
from linewright.engine.signs import expected
from linewright.engine.verdict_memory import VerdictMemory
from linewright.games.api import GameFilter, GameSource, parse_band, parse_position, position_key
from linewright.lesson.spoken import numbered
from linewright.plan.asking import remember_answers
from linewright.plan.branches import Judged, grow_branches, questions
from linewright.plan.coverage import Coverage, find_coverage
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
from linewright.plan.planning import Plan, make_plan, with_note
from linewright.plan.repertoire import Repertoire, compare_talks, repertoire_json, repertoire_lines
from linewright.support.atomic_write import write
from linewright.support.errors import UnusableInput
from linewright.support.paths import VERDICTS_FILE, home

#: Units that an engine is asked about, and nodes for each position: a tenth of a second.
ASKED_UNITS, NODES = 40, 100_000
#: Seconds that planning or counting what a talk covers usually takes (see :mod:`linewright.cli.shared`).
PLANNING = 2.0
#: Minutes of a talk unless said: the given talks take five to seven.
USUAL = 7.0

#: Asks an engine about positions, so that they are judged from then on; None where none is to be asked.
Asking = Callable[[tuple[chess.Board, ...]], None] | None


def plan_command(
    talks: Annotated[
        list[Path] | None, typer.Argument(metavar="[TALK]…", help="Finished talks, or a folder of them.")
    ] = None,
    base: BaseOption = None,
    as_json: JsonOption = False,
    start: Annotated[
        str | None, typer.Option("--from", metavar="MOVES", help='Moves to plan from: "1.e4 e6 2.d4 d5".')
    ] = None,
    side: Annotated[str, typer.Option("--as", metavar="SIDE", help="The side the lesson is for: white or black.")] = "",
    minutes: Annotated[
        float | None, typer.Option("--minutes", metavar="N", min=1, max=240, help="Length of the talk.")
    ] = None,
    ratings: Annotated[
        str | None, typer.Option("--ratings", metavar="BAND", help="Ratings that pupils meet: 1400-1800.")
    ] = None,
    years: Annotated[
        str | None, typer.Option("--years", metavar="BAND", help="Only games of these years: 2010-.")
    ] = None,
    follow: Annotated[
        list[str] | None,
        typer.Option(
            "--follow",
            metavar="MOVE",
            help="What the pupil plays where a talk shows several moves, instead of the first: 6.Nf3, or either. "
            "Can be given several times.",
        ),
    ] = None,
    engine: Annotated[bool, typer.Option("--engine", help="Ask an engine too what wrong answers cost.")] = False,
    out: Annotated[
        Path | None, typer.Option("--outline", metavar="FILE.md", help="Write a talk to start from.")
    ] = None,
    page: Annotated[
        Path | None, typer.Option("--page", metavar="FILE.html", help="Write a page with a map of the lines.")
    ] = None,
    csv: Annotated[Path | None, typer.Option("--csv", metavar="FILE.csv", help="Write a table.")] = None,
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
        paths = list(paths_of(talks or ()))
        if not paths and start is None:
            raise UnusableInput(
                "nothing to plan", 'Name a talk, or give moves to plan from: --from "1.e4 e6" --as white.'
            )
        if len(paths) != 1 and minutes is not None and start is None:
            raise UnusableInput("--minutes plans one talk", "Name one talk, or give moves to plan from with --from.")
        if follow and len(paths) != 1:
            raise UnusableInput("--follow chooses between moves of one talk", "Name one talk.")
        if out is not None and minutes is None:
            raise UnusableInput("--outline needs a plan", "Add how long the talk may be: --minutes 7.")
        _free((out, page, csv), force)
        with opened_base(base) as games, engine_judge(engine) as (judged, asked):
            root = parse_position(None, start) if start is not None else None
            stages = [*((path.name, READING) for path in paths), ("planning", PLANNING * max(len(paths), 1))]
            with working(*stages) as work:
                lessons, left_out = lessons_of(paths, games, side, root, follow or (), work=work)
                progress = work.begin("planning")
                if minutes is not None or not lessons:
                    made, counted = _plan(games, root, side, minutes or USUAL, only, lessons[:1], judged, asked)
                else:
                    found: list[Coverage] = []
                    for one in lessons:
                        found.append(find_coverage(one, games.below(one.root, only)))
                        progress(len(found) / len(lessons))
                    together = compare_talks(lessons, games, only) if len(lessons) > 1 else None
            if minutes is not None or not lessons:
                _put_plan(made, games, counted, start, as_json, out, page, csv)
            else:
                _put_coverage(found, lessons, left_out, together, as_json, page, csv)
    if left_out:
        raise typer.Exit(FOUND)


def _plan(
    games: GameSource,
    root: chess.Board | None,
    side: str,
    minutes: float,
    only: GameFilter,
    lessons: list[LessonIndex],
    judged: Judged,
    asked: Asking,
) -> tuple[Plan, GameFilter]:
    """The plan, and the filter that its games meet."""
    talk = lessons[0] if lessons else None
    if talk is None and side not in ("white", "black"):
        raise UnusableInput("no side to plan for", "Add --as white or --as black.")
    counts = games.below(root or (talk.root if talk else chess.Board()), only)
    white = talk.side if talk else side == "white"
    if asked is not None:
        first = grow_branches(counts.root, white, remember_answers(counts), talk, judged)
        asked(questions(first.units, ASKED_UNITS))
    plan = make_plan(counts, white, round(60 * minutes), talk, judged)
    return (with_note(plan, choices_note(talk, plan)) if talk else plan), counts.only


def choices_note(talk: LessonIndex, plan: Plan) -> str:
    """Where the talk gives its pupil several moves in positions of the plan: which one is planned with."""
    met = {position_key(chess.Board(plan.units[number].after)) for number in plan.chosen}
    notes = []
    for node in talk.choices():
        board = chess.Board(node.fen)
        if position_key(board) in met:
            names = [numbered(node.fen, move.san) for move in talk.own(board)]
            notes.append(f"the talk gives {' or '.join(names)}: planned with {names[0]} (--follow {names[1]})")
    return "; ".join(notes)


def _put_plan(
    plan: Plan,
    games: GameSource,
    only: GameFilter,
    start: str | None,
    as_json: bool,
    out: Path | None,
    page: Path | None,
    csv: Path | None,
) -> None:
    if out is not None:
        way = way_of(start) if start is not None else ()
        know = facts_from(games, plan.side, only) if games.has_games else know_nothing
        write(out, write_outline(plan, way, know).encode())
    if page is not None:
        from linewright.publish.page.plan_page import plan_page  # the page's parts aren't needed for text

        write(page, plan_page(plan).encode())
    if csv is not None:
        write(csv, plan_csv(plan).encode())
    if as_json:
        emit(plan_json(plan))
        return
    for line in folded(list(plan_lines(plan))):
        typer.echo(line)
    for path in filter(None, (out, page, csv)):
        remark(f"wrote {path}")


def _put_coverage(
    found: list[Coverage],
    lessons: list[LessonIndex],
    left_out: list[str],
    together: Repertoire | None,
    as_json: bool,
    page: Path | None,
    csv: Path | None,
) -> None:
    if page is not None:
        from linewright.publish.page.plan_page import coverage_page

        said = [line for line in repertoire_lines(together) if line] if together is not None else []
        write(page, coverage_page(found, lessons, together=said).encode())
    if csv is not None:
        write(csv, "".join(coverage_csv(one) for one in found).encode())
    if as_json:
        document: dict[str, Any] = {"talks": [coverage_json(one) for one in found], "left_out": left_out}
        emit(document | ({"together": repertoire_json(together)} if together is not None else {}))
        return
    for number, one in enumerate(found):
        for line in folded([*([""] if number else []), *coverage_lines(one, len(found) == 1)]):
            typer.echo(line)
    for line in folded(list(repertoire_lines(together))) if together is not None else ():
        typer.echo(line)


def _free(paths: tuple[Path | None, ...], force: bool) -> None:
    for path in filter(None, paths):
        refuse_existing(path, force)


@contextmanager
def engine_judge(ask: bool) -> Iterator[tuple[Judged, Asking]]:
    """White's expected score by verdicts that are remembered, and how to ask for more of them."""
    file = home() / VERDICTS_FILE
    if not ask and not file.is_file():
        yield (lambda _: None), None
        return
    with VerdictMemory.open(file) as memory:

        def judged(board: chess.Board) -> float | None:
            verdict = memory.best(board.epd())
            return expected(verdict) if isinstance(verdict, EngineVerdict) else None

        if not ask:
            yield judged, None
            return
        with Engine.open(settings.load(), memory) as engine:
            yield judged, lambda boards: (engine.verdicts(list(boards), NODES, 1), None)[1]
