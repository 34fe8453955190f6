"""The command ``news``: what has changed since talks were last checked."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import date
from pathlib import Path
from typing import Annotated, Final

import chess
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
from linewright.engine.model import EngineVerdict
from linewright.engine.session import Engine
from linewright.engine.verdict_memory import VerdictMemory
from linewright.games.api import GameSource
from linewright.lesson.finding import GameRef
from linewright.plan.news.quoted_games import fuller, named_game
from linewright.plan.news.remembered import load, place_of, save
from linewright.plan.news.talk_changes import DEPTH, News, digest, find_news, news_json, news_lines, remember_today
from linewright.support.errors import UnusableInput
from linewright.support.paths import VERDICTS_FILE, home

#: Games through the end of a quoted game up to which one of them may be the same game: with more it is no game's own
#: position.
MOST_LIKE: Final = 100

#: From a position to the verdict remembered on it.
Known = Callable[[chess.Board], EngineVerdict | None]
#: From a talk's positions to what the engine says of them now, by EPD; those without an answer are left out.
Asked = Callable[[list[chess.Board]], dict[str, EngineVerdict]]


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
        with working(*((path.name, READING + CHECKING + SECONDS * engine) for path in paths)) as work:
            for path in paths:
                try:
                    found.append(_news(path, games, today, keep, known, asked, work.begin(path.name)))
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
    path: Path, games: GameSource, today: str, keep: bool, known: Known | None, asked: Asked, progress: Part
) -> News:
    place = place_of(path, home())
    then = load(place)
    starter = not games.has_games
    walk = read(path, games, reading_part(progress, READING + CHECKING))
    boards = {board.epd(): board for board in (chess.Board(node.fen) for node in walk.nodes if node.ply <= DEPTH)}
    judged = asked(list(boards.values()))

    def verdict(board: chess.Board) -> EngineVerdict | None:
        return judged.get(board.epd()) or (known(board) if known is not None else None)

    findings = check_walk(walk, games, one_by_one(verdict) if known is not None else None, load_off())
    state = remember_today(
        walk,
        today,
        *games.size(),
        games.replies,
        verdict,
        findings,
        lambda game: _fuller(games, game),
        starter,
    )
    if then is not None and then.starter != starter:
        was, is_now = ("the starter table", "your base")[:: -1 if starter else 1]
        remark(
            f"{path}: counted from {was} last time, from {is_now} now: "
            "new moves and shares are compared from the next check on"
        )
    found = find_news(walk, then, state, findings, games.debut)
    if not keep:
        save(place, state)
    return found


@contextmanager
def _verdicts(ask: bool) -> Iterator[tuple[Known | None, Asked]]:
    """What an engine said before, None where it was never asked; and with ``ask`` what today's engine says."""
    file = home() / VERDICTS_FILE
    if not ask and not file.is_file():
        yield None, lambda boards: {}
        return
    with VerdictMemory.open(file) as memory:

        def known(board: chess.Board) -> EngineVerdict | None:
            return memory.best(board.epd())

        if not ask:
            yield known, lambda boards: {}
            return
        with Engine.open(settings.load(), memory) as engine:

            def asked(boards: list[chess.Board]) -> dict[str, EngineVerdict]:
                answers = engine.verdicts(boards, lines=LINES, seconds=SECONDS)
                return {one.fen: one for one in answers if isinstance(one, EngineVerdict)}

            yield known, asked


def _fuller(games: GameSource, game: GameRef) -> str:
    """A fuller record of a quoted game, among the games that come to where it ends."""
    board = chess.Board()
    for uci in game.moves:
        board.push_uci(uci)
    found = fuller(game, games.tags_through(board, MOST_LIKE))
    return named_game(found.white, found.black, found.event or found.site, found.date) if found else ""
