"""Asking for replies again and again: each position once."""

from __future__ import annotations

from collections.abc import Callable

import chess

from linewright.games.api import CountsBelow, Replies, position_key
from linewright.plan.position_flow import Counted

#: From a position to what was played there.
Ask = Callable[[chess.Board], Replies]


def remember_answers(counts: CountsBelow) -> Ask:
    """The counts, asked for each position once."""
    known: dict[int, Replies] = {}

    def ask(board: chess.Board) -> Replies:
        key = position_key(board)
        if key not in known:
            known[key] = counts.replies(board, key)
        return known[key]

    return ask


def games_at(ask: Ask, side: chess.Color) -> Counted:
    """The games that chances were counted from, at each of the opponent's turns."""
    return lambda board: 0 if board.turn == side else ask(board).total
