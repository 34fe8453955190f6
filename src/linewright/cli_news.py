"""The command ``news``: what changed since talks were last checked."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Annotated

import chess
import typer

from linewright.base.archive import Archive
from linewright.base.keys import NO_MOVE, pack_move
from linewright.base.rows import Played, games_by_number
from linewright.base.store import Base
from linewright.base.study import look_up
from linewright.claims.check import check_walk
from linewright.claims.judging import remembering
from linewright.claims.switches import load_off
from linewright.cli_course import talks_in
from linewright.cli_shared import FOUND, BaseOption, JsonOption, emit, read, usable
from linewright.engine.memory import Memory
from linewright.engine.model import Verdict
from linewright.errors import UnusableInput
from linewright.home import VERDICTS_FILE, base_path, home
from linewright.plan.news import News, digest, news, news_json, news_lines, now
from linewright.plan.remembered import Remembered, load, place_of, save

#: Newest games of a new move that are looked at.
LATEST = 20


def news_command(
    talks: Annotated[list[Path], typer.Argument(metavar="TALK…", help="Talks as for read, or folders of them.")],
    base: BaseOption = None,
    as_json: JsonOption = False,
    one_page: Annotated[
        bool, typer.Option("--digest", help="One page for all talks, the most pressing first.")
    ] = False,
    keep: Annotated[
        bool, typer.Option("--keep", help="Go on counting from the last check: remember nothing of today.")
    ] = False,
) -> None:
    """What changed since a talk was last checked: new moves, shares, verdicts, findings that now fail.

    What was true is remembered in TALK.news; the talk itself is never changed.
    Runs unattended: ends with 0 where nothing is new, 1 where something is,
    2 where a talk can't be used (the others are told all the same).

    Example: linewright news talks/ --digest
    """
    with usable(), Base.open(base_path(base)) as games:
        paths = [path for named in talks for path in (talks_in(named) if named.is_dir() else (named,))]
        if not paths:
            raise UnusableInput("no talk in this folder", "Put talks into it: .md .txt .vtt .srt")
        found: list[News] = []
        troubles = 0
        today = date.today().isoformat()
        archive = Archive(games)
        for path in paths:
            try:
                found.append(_news(path, archive, today, keep))
            except UnusableInput as error:
                typer.echo(f"linewright: left out: {error}", err=True)
                troubles += 1
        if as_json:
            emit(news_json(found))
        else:
            for line in digest(found, today) if one_page else (line for one in found for line in news_lines(one)):
                typer.echo(line)
    if troubles:
        raise typer.Exit(2)
    if any(one.items for one in found):
        raise typer.Exit(FOUND)


def _news(path: Path, archive: Archive, today: str, keep: bool) -> News:
    place = place_of(path, home())
    then = load(place)
    walk = read(path, archive.base)
    file = home() / VERDICTS_FILE
    with remembering(file) as judge:
        findings = check_walk(walk, archive.base, judge, load_off())
    count = int((archive.table.plies > 0).sum())
    verdicts = _verdicts(file, [node.fen for node in walk.nodes])
    state = now(
        walk,
        today,
        count,
        len(archive.table.plies) - 1,
        archive.base.replies,
        lambda board: verdicts.get(board.epd()),
        findings,
    )
    told = news(walk, then, state, findings, lambda board, uci: _games(archive, board, uci, then))
    if not keep:
        save(place, state)
    return told


def _verdicts(file: Path, fens: list[str]) -> dict[str, Verdict]:
    if not file.is_file():
        return {}
    with Memory.open(file) as memory:
        found = {epd: memory.best(epd) for epd in (chess.Board(fen).epd() for fen in fens)}
    return {epd: verdict for epd, verdict in found.items() if verdict is not None}


def _games(archive: Archive, board: chess.Board, uci: str, then: Remembered | None) -> list[Played]:
    """The games with a reply, newest first."""
    from linewright.base.filters import GameFilter

    here = look_up(archive.base.connection, archive.table, board, GameFilter())
    packed = pack_move(chess.Move.from_uci(uci))
    numbers = here.games[(here.moves == packed) & (here.moves != NO_MOVE)]
    rows = games_by_number(archive.base.connection, numbers[:LATEST].tolist())
    return sorted(rows.values(), key=lambda game: (game.date, game.id), reverse=True)
