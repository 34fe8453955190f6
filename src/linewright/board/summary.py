"""One look at a position: everything that it shows."""

from __future__ import annotations

import chess

from linewright.board import lasting, momentary
from linewright.board.feature import Features


def show(board: chess.Board, mate: int = 0) -> Features:
    """Everything that the position shows.

    :param mate: look for a forced mate of the side to move in at most that many moves; 0 for not looking: it takes
        longer than all the rest.
    """
    found = [
        *lasting.tell_material(board),
        *lasting.tell_pawns(board),
        *lasting.tell_structures(board),
        *lasting.tell_files(board),
        *lasting.tell_centre(board),
        *lasting.tell_development(board),
        *lasting.tell_squares(board),
        *lasting.tell_bishops(board),
        *lasting.tell_kings(board),
        *momentary.tell_tactics(board),
        *momentary.tell_threats(board),
    ]
    if mate:
        found += momentary.tell_mate(board, mate)
    return Features(board.fen(), tuple(found))
