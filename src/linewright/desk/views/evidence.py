"""Evidence for a position: what the games know of it, at once; games worth showing, and quoted games, a little later.

Replies are asked in a thread of their own and take a millisecond or two. What needs all games in memory (games worth
showing, quotes) is asked in a process of its own, so that neither typing nor replies ever wait for it.
"""

from __future__ import annotations

import asyncio
from collections import OrderedDict
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path
from typing import TypeVar

import chess

from linewright.desk.games import GamesAt
from linewright.desk.messages.evidence import ModelGame, Models, Quoted, QuotedGame, Replies, ReplyShown
from linewright.desk.processes.process_priority import give_way
from linewright.desk.processes.worker_process import WorkerProcess
from linewright.games.api import ADD_GAMES, Colour, GameRow, GamesBase, GameTags, parse_description
from linewright.games.api import Replies as CountedReplies
from linewright.lesson.opening import opening_at
from linewright.lesson.spoken import figurine, in_words, move_number
from linewright.publish.games_shown import heading, surname
from linewright.support.errors import UnusableInput

#: What games worth showing are remembered by: the base's stamp, the position, the side.
ModelKey = tuple[object, str, str]
Key = TypeVar("Key")
Found = TypeVar("Found")

#: Replies shown, and games shown: what a margin holds.
MOST_REPLIES, MOST_MODELS, MOST_QUOTED = 7, 2, 3
#: Characters of a quote: a paragraph.
MOST_WORDS = 4000
#: Positions whose replies and games are remembered.
REMEMBERED = 256
#: Said where there is no base.
NOT_HELD = f"The starter table doesn't hold this position. {ADD_GAMES}"
NO_GAMES = "the starter table holds counts, not games"
#: Half-moves of a game that are written into a talk.
WRITTEN_PLIES = 8


def board_of(fen: str) -> chess.Board:
    """The position of a FEN that a page sent.

    :raises UnusableInput: when it is none.
    """
    try:
        return chess.Board(fen)
    except ValueError as error:
        raise UnusableInput(f"{fen[:100]!r} is not a valid FEN ({error})", "Load the page again.") from None


@dataclass(slots=True)
class _SharedQuestion:
    """A question on its way, and how many pages wait for its answer."""

    answer: asyncio.Future[tuple[ModelGame, ...]]
    waiting: int = 0


class Evidence:
    """Answers about positions. Use it in the event loop's thread."""

    def __init__(self, base: Path) -> None:
        self._games = GamesAt(base)
        self._thread = ThreadPoolExecutor(1, thread_name_prefix="linewright-replies")
        self._process = WorkerProcess("the games could not be asked", "Try again.", _open_games, base)
        self._known: OrderedDict[tuple[object, str], Replies] = OrderedDict()
        self._models: OrderedDict[ModelKey, tuple[ModelGame, ...]] = OrderedDict()
        self._asked: dict[ModelKey, _SharedQuestion] = {}

    def warm(self) -> None:
        """Read beforehand what the first question needs (a base's columns, the names of openings): it would be late."""
        self._thread.submit(self._replies, chess.Board())

    async def replies(self, fen: str) -> Replies:
        """The replies to a position with their figures, and the position's name where it has one."""
        board = board_of(fen)
        return await asyncio.get_running_loop().run_in_executor(self._thread, self._replies, board)

    def _replies(self, board: chess.Board) -> Replies:
        base = self._games.base()
        named = opening_at(board.fen())
        found = Replies(board.fen(), named.text if named else "")
        if base is None:
            return replace(found, trouble=self._games.trouble)
        if not base.holds(board):
            return replace(found, trouble=NOT_HELD)
        found = replace(found, note=base.note)
        key = (self._games.stamp, board.fen())
        known = self._known.get(key)
        if known is None:
            try:
                known = replies_shown(found, board, base.replies(board))
            except UnusableInput as trouble:
                return replace(found, trouble=str(trouble))
            _remember(self._known, key, known)
        return known

    async def models(self, fen: str, side: str) -> Models:
        """Games worth showing from a position."""
        board = board_of(fen)
        colour = side if side in ("white", "black") else ""
        key = (self._games.stamp, board.epd(), colour)
        found = self._models.get(key)
        if found is None:
            found = await self._together(key, partial(_model_games, board.fen(), colour))
            _remember(self._models, key, found)
        return Models(board.fen(), found)

    async def _together(self, key: ModelKey, work: Callable[[], tuple[ModelGame, ...]]) -> tuple[ModelGame, ...]:
        """What the process finds, asked once for all pages that wait for it, and given up when none does any more:
        fifty pages that open on one position would each wait for the other forty-nine."""
        asked = self._asked.get(key)
        if asked is None:
            asked = self._asked[key] = _SharedQuestion(asyncio.ensure_future(self._run(work)))
        asked.waiting += 1
        try:
            return await asyncio.shield(asked.answer)
        finally:
            asked.waiting -= 1
            if not asked.waiting:
                asked.answer.cancel()
                if self._asked.get(key) is asked:
                    del self._asked[key]

    async def quoted(self, words: str) -> Quoted:
        """The games that words may mean, the likeliest first."""
        return Quoted(await self._run(partial(_quoted, words[:MOST_WORDS])))

    async def _run(self, work: Callable[[], Found]) -> Found:
        return await self._process.run(work)

    def end(self) -> None:
        """Let go of threads, process and base."""
        self._thread.submit(self._games.close)
        self._thread.shutdown()
        self._process.end()


def _remember(known: OrderedDict[Key, Found], key: Key, found: Found) -> None:
    """Keep an answer, and of all only so many."""
    known[key] = found
    while len(known) > REMEMBERED:
        known.popitem(last=False)


def replies_shown(of: Replies, board: chess.Board, counted: CountedReplies) -> Replies:
    """A position's replies with their figures; scores 0-1 for the side to move.

    :param of: the position, without them.
    """
    return replace(
        of,
        total=counted.total,
        turn="White" if board.turn else "Black",
        more=max(0, len(counted.replies) - MOST_REPLIES),
        replies=tuple(
            ReplyShown(
                r.uci,
                move_number(board.fen()) + figurine(r.san),
                in_words(r.san),
                r.games,
                round(r.share, 4),
                round(r.score, 3),
                round(r.low, 3),
                round(r.high, 3),
                r.scored,
                r.last_year,
            )
            for r in counted.replies[:MOST_REPLIES]
        ),
    )


# -- in the games' process --------------------------------------------------------------------------------------

_games: GamesAt | None = None


def _open_games(path: Path) -> None:
    global _games
    give_way()
    _games = GamesAt(path)


def _all_games() -> GamesBase | None:
    """All games, read again when the base changed; None without a base of the user's."""
    assert _games is not None
    base = _games.base()
    return base if isinstance(base, GamesBase) else None


def _model_games(fen: str, side: str) -> tuple[ModelGame, ...]:
    games = _all_games()
    if games is None:
        return ()
    board = chess.Board(fen)
    colour: Colour | None = "white" if side == "white" else "black" if side == "black" else None
    return tuple(_model_game(board, m.game, m.why) for m in games.model_games(board, MOST_MODELS, side=colour))


def _quoted(words: str) -> tuple[QuotedGame, ...]:
    games = _all_games()
    if games is None:
        assert _games is not None
        raise UnusableInput(_games.trouble or NO_GAMES, ADD_GAMES)
    found = games.find_quoted(parse_description(words))
    return tuple(
        QuotedGame(
            ", ".join(filter(None, [f"{surname(q.game.white)} – {surname(q.game.black)}", _where(q.game)])),
            q.game.result,
            round(q.likely, 3),
            found.fits and number == 0,
            tuple(p.words for p in q.differences[:4]),
        )
        for number, q in enumerate(found.candidates[:MOST_QUOTED])
    )


def _model_game(board: chess.Board, row: GameRow, why: str) -> ModelGame:
    line = row.following[:WRITTEN_PLIES]
    return ModelGame(heading(row), row.result, _figurines(board, line), _ucis(board, line), why)


def _where(game: GameTags) -> str:
    year = str(game.year or "")
    event = game.event.strip("? ")
    return event if year in event else f"{event} {year}".strip()


def _ucis(board: chess.Board, line: Sequence[str]) -> tuple[str, ...]:
    at = board.copy()
    return tuple(at.push_san(san).uci() for san in line)


def _figurines(board: chess.Board, line: Sequence[str]) -> str:
    """A line as books print it: ``5.♘f3 d6 6.d4``."""
    at, out = board.copy(), []
    for number, san in enumerate(line):
        lead = move_number(at.fen()) if number == 0 or at.turn else ""
        out.append(lead + figurine(san))
        at.push_san(san)
    return " ".join(out)
