"""Checking for news: what has changed about a talk since it was last checked."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Final

import chess

from linewright.claims.engine_judge import LINES, SECONDS
from linewright.claims.engine_questions import one_by_one
from linewright.engine.model import EngineVerdict
from linewright.games.api import GameSource
from linewright.lesson.finding import GameRef
from linewright.lesson.walk import Walk
from linewright.plan.news.news_file import load, place_of, save
from linewright.plan.news.quoted_games import fuller, named_game
from linewright.plan.news.talk_changes import DEPTH, News, find_news, remember_today
from linewright.workflow.check_lesson import find_claims
from linewright.workflow.engine_scores import EngineScores
from linewright.workflow.progress import CHECKING, READING, Note, PartDone, first_part, ignore
from linewright.workflow.read_lesson import read_lesson

#: Games through the end of a quoted game up to which one of them may be the same game: with more it is no game's own
#: position.
MOST_LIKE: Final = 100


@dataclass(frozen=True, slots=True)
class NewsOrder:
    """How talks are checked for news.

    :param home: the folder where what was true is saved.
    :param today: the day, as ``YYYY-MM-DD``.
    :param keep: leave what was saved as it is.
    """

    home: Path
    today: str
    keep: bool = False


def check_news(
    talk: Path,
    games: GameSource,
    scores: EngineScores,
    order: NewsOrder,
    note: Note = ignore,
    progress: PartDone = ignore,
) -> News:
    """What is new about a talk; what is true now is saved for the next time.

    :param games: the games that count.
    :param scores: verdicts; an engine there is asked about positions that it has not judged in full.
    :raises UnusableInput: when no move can be read in the talk, or what is true now can't be saved.
    """
    place = place_of(talk, order.home)
    then = load(place)
    starter = not games.has_games
    walk = read_lesson(talk, games, note, first_part(progress, READING / (READING + CHECKING)))
    verdict = _verdicts_on(walk, scores)
    findings = find_claims(walk, games, one_by_one(verdict) if scores.memory is not None else None, note)
    state = remember_today(
        walk,
        order.today,
        *games.size(),
        games.replies,
        verdict,
        findings,
        lambda game: _find_fuller(games, game),
        starter,
    )
    if then is not None and then.starter != starter:
        was, is_now = ("the starter table", "your base")[:: -1 if starter else 1]
        note(
            f"{talk}: counted from {was} last time, from {is_now} now: "
            "new moves and shares are compared from the next check on"
        )
    found = find_news(walk, then, state, findings, games.debut)
    if not order.keep:
        save(place, state)
    return found


def _verdicts_on(walk: Walk, scores: EngineScores) -> Callable[[chess.Board], EngineVerdict | None]:
    """What the engine says of the talk's positions now, else what it said before."""
    judged: dict[str, EngineVerdict] = {}
    if scores.engine is not None:
        boards = {board.epd(): board for board in (chess.Board(node.fen) for node in walk.nodes if node.ply <= DEPTH)}
        answers = scores.engine.verdicts(list(boards.values()), lines=LINES, seconds=SECONDS)
        judged = {one.fen: one for one in answers if isinstance(one, EngineVerdict)}
    return lambda board: judged.get(board.epd()) or scores.verdict(board)


def _find_fuller(games: GameSource, game: GameRef) -> str:
    """A fuller record of a quoted game, among the games that come to where it ends; ``""`` for none."""
    board = chess.Board()
    for uci in game.moves:
        board.push_uci(uci)
    found = fuller(game, games.tags_through(board, MOST_LIKE))
    return named_game(found.white, found.black, found.event or found.site, found.date) if found else ""
