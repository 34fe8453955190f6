"""The command ``news``: what has changed since talks were last checked."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import date
from pathlib import Path
from typing import Annotated, Final

import chess
import numpy as np
import typer

from linewright.claims.check import check_walk
from linewright.claims.engine_judge import LINES, SECONDS
from linewright.claims.engine_questions import one_by_one
from linewright.claims.suppressions import load_off
from linewright.cli.plan_talks import paths_of
from linewright.cli.shared import (
    CHECKING,
    FOUND,
    READING,
    UNUSABLE,
    BaseOption,
    JsonOption,
    emit,
    opened_base,
    read,
    reading_part,
    usable,
)
from linewright.cli.terminal.progress import Part, working
from linewright.cli.terminal.text import folded, remark
from linewright.engine import settings
from linewright.engine.model import Verdict
from linewright.engine.session import Engine
from linewright.engine.verdict_memory import Memory
from linewright.games.index.position_keys import pack_move
from linewright.games.ingest.columns import UNKNOWN
from linewright.games.query.filters import GameFilter
from linewright.games.query.table_reads import games_by_number
from linewright.games.report.position_report import look_up
from linewright.games.starter.table import StarterTable
from linewright.lesson.finding import GameRef
from linewright.plan.counting import Source, source_of
from linewright.plan.news.news import DEPTH, Debut, News, digest, news, news_json, news_lines, now
from linewright.plan.news.quoted_games import fuller, named_game
from linewright.plan.news.remembered import load, place_of, save
from linewright.support.errors import UnusableInput
from linewright.support.paths import VERDICTS_FILE, home

#: Games through the end of a quoted game up to which one of them may be the same game.
MOST_LIKE: Final = 100

#: From a position to the verdict remembered on it.
Known = Callable[[chess.Board], Verdict | None]
#: From a talk's positions to what the engine says of them now, by EPD; those without an answer are left out.
Asked = Callable[[list[chess.Board]], dict[str, Verdict]]


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
    troubles = 0
    with usable(), opened_base(base) as games, _verdicts(engine) as (known, asked):
        paths = list(paths_of(talks))
        if not paths:
            raise UnusableInput("no talk in this folder", "Put talks into it: .md .txt .vtt .srt")
        found: list[News] = []
        today = date.today().isoformat()
        source = source_of(games)
        with working(*((path.name, READING + CHECKING + SECONDS * engine) for path in paths)) as work:
            for path in paths:
                try:
                    found.append(_news(path, source, today, keep, known, asked, work.begin(path.name)))
                except UnusableInput as error:
                    remark(f"left out: {error}")
                    # What merely lies in the folder need not be a talk; one that was named, or was read before, is.
                    troubles += path in talks or place_of(path, home()).exists()
        if as_json:
            emit(news_json(found))
        else:
            lines = digest(found, today) if one_page else (line for one in found for line in news_lines(one))
            for line in folded(list(lines)):
                typer.echo(line)
    if troubles:
        raise typer.Exit(UNUSABLE)
    if any(one.items for one in found):
        raise typer.Exit(FOUND)


def _news(
    path: Path, source: Source, today: str, keep: bool, known: Known | None, asked: Asked, progress: Part
) -> News:
    place = place_of(path, home())
    then = load(place)
    starter = isinstance(source, StarterTable)
    base = source if isinstance(source, StarterTable) else source.base
    walk = read(path, base, reading_part(progress, READING + CHECKING))
    boards = {board.epd(): board for board in (chess.Board(node.fen) for node in walk.nodes if node.ply <= DEPTH)}
    judged = asked(list(boards.values()))

    def verdict(board: chess.Board) -> Verdict | None:
        return judged.get(board.epd()) or (known(board) if known is not None else None)

    findings = check_walk(walk, base, one_by_one(verdict) if known is not None else None, load_off())
    state = now(
        walk,
        today,
        *_size(source),
        base.replies,
        verdict,
        findings,
        lambda game: _fuller(source, game),
        starter,
    )
    if then is not None and then.starter != starter:
        was, is_now = ("the starter table", "your base")[:: -1 if starter else 1]
        remark(
            f"{path}: counted from {was} last time, from {is_now} now: "
            "new moves and shares are compared from the next check on"
        )
    told = news(walk, then, state, findings, lambda board, uci: _debut(source, board, uci))
    if not keep:
        save(place, state)
    return told


def _size(source: Source) -> tuple[int, int]:
    """How many games are counted, and the largest number of one; the starter table's have none."""
    if isinstance(source, StarterTable):
        return source.counted, 0
    return int((source.table.plies > 0).sum()), len(source.table.plies) - 1


@contextmanager
def _verdicts(ask: bool) -> Iterator[tuple[Known | None, Asked]]:
    """What an engine said before, None where it was never asked; and with ``ask`` what today's engine says."""
    file = home() / VERDICTS_FILE
    if not ask and not file.is_file():
        yield None, lambda boards: {}
        return
    with Memory.open(file) as memory:

        def known(board: chess.Board) -> Verdict | None:
            return memory.best(board.epd())

        if not ask:
            yield known, lambda boards: {}
            return
        with Engine.open(settings.load(), memory) as engine:

            def asked(boards: list[chess.Board]) -> dict[str, Verdict]:
                answers = engine.verdicts(boards, lines=LINES, seconds=SECONDS)
                return {one.fen: one for one in answers if isinstance(one, Verdict)}

            yield known, asked


def _fuller(archive: Source, game: GameRef) -> str:
    """A fuller record of a quoted game, among the games that come to where it ends."""
    if isinstance(archive, StarterTable):
        return ""
    board = chess.Board()
    for uci in game.moves:
        board.push_uci(uci)
    here = look_up(archive.base.connection, archive.table, board, GameFilter())
    if len(here.games) > MOST_LIKE:
        return ""  # so many games come here that it is no game's own position
    found = fuller(game, games_by_number(archive.base.connection, np.unique(here.games).tolist()).values())
    return named_game(found.white, found.black, found.event or found.site, found.date) if found else ""


def _debut(archive: Source, board: chess.Board, uci: str) -> Debut:
    """How a reply fared in all its games; counts alone don't tell."""
    if isinstance(archive, StarterTable):
        return Debut(None, None, 0.0, 0)
    table = archive.table
    here = look_up(archive.base.connection, table, board, GameFilter())
    games = np.unique(here.games[here.moves == pack_move(chess.Move.from_uci(uci))])
    if not len(games):
        return Debut(None, None, 0.0, 0)
    order = games[np.lexsort((games, table.dates[games]))]  # games without a date come last
    dated = order[table.years[order] > 0]
    first, last = (int(one) for one in ((dated if len(dated) else order)[[0, -1]]))
    rows = games_by_number(archive.base.connection, [first, last])
    halves = table.half_points[games]
    halves = halves[halves != UNKNOWN]
    points = float(halves.sum()) / 2
    return Debut(rows.get(first), rows.get(last), points if board.turn else len(halves) - points, len(halves))
