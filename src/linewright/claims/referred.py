"""The base's games as findings carry them."""

from __future__ import annotations

import chess

from linewright.base.quotes_model import QuotedGame
from linewright.lesson.finding import GameRef


def game_ref(found: QuotedGame) -> GameRef:
    """The whole game, for all that shows it without the base."""
    board, game, moves = chess.Board(), found.game, []
    for san in found.moves:
        moves.append(board.push_san(san).uci())
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
        moves=tuple(moves),
    )
