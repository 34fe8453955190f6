"""The base's games as findings carry them."""

from __future__ import annotations

import chess

from linewright.games.api import Meeting
from linewright.lesson.finding import GameRef


def game_ref(found: Meeting) -> GameRef:
    """The whole game, for all that shows it without the base."""
    game = found.game
    return GameRef(
        id=game.id,
        white=game.white,
        black=game.black,
        result=game.result,
        date=game.date,
        year=game.year,
        event=game.event,
        site=game.site,
        round=game.round,
        moves=found.moves,
    )


def finish(game: GameRef, board: chess.Board) -> tuple[str, ...]:
    """What a quoted game went on to after the position said last: its moves to the end.

    For findings on what a talk passes over: call it with ``finding.game`` and the board of the last position of the
    quote's line.

    :returns: the moves in SAN; empty where the game never had the position, or ended there.
    """
    at, key = chess.Board(), board.epd()
    following: list[str] | None = [] if at.epd() == key else None
    for uci in game.moves:
        move = chess.Move.from_uci(uci)
        if following is not None:
            following.append(at.san(move))
        at.push(move)
        if following is None and at.epd() == key:
            following = []
    return tuple(following or ())
