"""The command ``news``: what has changed since talks were last checked."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from pathlib import Path
from typing import Annotated

import typer

from linewright.claims.engine_judge import SECONDS
from linewright.cli.shared import FOUND, UNUSABLE, BaseOption, JsonOption, emit, opened_base, usable
from linewright.cli.terminal.progress import working
from linewright.cli.terminal.text import folded, remark
from linewright.games.api import GameSource
from linewright.plan.news.news_file import place_of
from linewright.plan.news.talk_changes import News, digest, news_json, news_lines
from linewright.support.errors import UnusableInput
from linewright.support.paths import home, verdicts_path
from linewright.workflow.check_news import NewsOrder, check_news
from linewright.workflow.engine_scores import EngineScores, open_scores
from linewright.workflow.index_lesson import find_talks
from linewright.workflow.progress import CHECKING, READING


def news_command(
    talks: Annotated[list[Path], typer.Argument(metavar="TALK…", help="Talks, or folders of them.")],
    base: BaseOption = None,
    as_json: JsonOption = False,
    one_page: Annotated[
        bool, typer.Option("--digest", help="One page for all talks, the most pressing first.")
    ] = False,
    engine: Annotated[
        bool,
        typer.Option(
            "--engine",
            help=f"Ask the engine too about positions it has not judged in full; {SECONDS:.0f} s a talk at most.",
        ),
    ] = False,
    keep: Annotated[bool, typer.Option("--keep", help="Don't save this check as the new baseline.")] = False,
) -> None:
    """Show what has changed since a talk was last checked: new moves, shares, verdicts, findings that now fail.

    What was true is saved in TALK.news; the talk itself is never changed.
    Verdicts change when check has asked the engine since, or here with --engine.
    For unattended runs the exit code is 0 when nothing is new, 1 when something
    is, 2 when a talk can't be used (the others are still reported). A file in a
    folder that never was a talk is mentioned, no more.

    Example: linewright news talks/ --digest
    """
    order = NewsOrder(home(), date.today().isoformat(), keep)
    with usable(), opened_base(base) as games, open_scores(verdicts_path(), engine) as scores:
        paths = list(find_talks(talks))
        if not paths:
            raise UnusableInput("no talk in this folder", "Put talks into it: .md .txt .vtt .srt")
        found, left_out = _check_all(paths, games, scores, order)
        if as_json:
            emit(news_json(found))
        else:
            lines = digest(found, order.today) if one_page else (line for one in found for line in news_lines(one))
            for line in folded(list(lines)):
                typer.echo(line)
    # What merely lies in the folder need not be a talk; one that was named, or was read before, is.
    if any(path in talks or place_of(path, home()).exists() for path in left_out):
        raise typer.Exit(UNUSABLE)
    if any(one.items for one in found):
        raise typer.Exit(FOUND)


def _check_all(
    paths: Sequence[Path], games: GameSource, scores: EngineScores, order: NewsOrder
) -> tuple[list[News], list[Path]]:
    """The news of each talk, and the talks that can't be used."""
    found, left_out = [], []
    seconds = READING + CHECKING + (SECONDS if scores.engine is not None else 0.0)
    with working(*((path.name, seconds) for path in paths)) as work:
        for path in paths:
            try:
                found.append(check_news(path, games, scores, order, remark, work.begin(path.name)))
            except UnusableInput as error:
                remark(f"left out: {error}")
                left_out.append(path)
    return found, left_out
