"""One look at a position: everything that it shows."""

from __future__ import annotations

import chess

from linewright.board import lasting_features, momentary_features
from linewright.board.feature import Features


def show(board: chess.Board, mate: int = 0) -> Features:
    """Everything that the position shows.

    :param mate: look for a forced mate of the side to move in at most that many moves; 0 for not looking: it takes
        longer than all the rest.
    """
    found = [
        *lasting_features.tell_material(board),
        *lasting_features.tell_pawns(board),
        *lasting_features.tell_structures(board),
        *lasting_features.tell_files(board),
        *lasting_features.tell_centre(board),
        *lasting_features.tell_development(board),
        *lasting_features.tell_squares(board),
        *lasting_features.tell_bishops(board),
        *lasting_features.tell_kings(board),
        *momentary_features.tell_tactics(board),
        *momentary_features.tell_threats(board),
    ]
    if mate:
        found += momentary_features.tell_mate(board, mate)
    return Features(board.fen(), tuple(found))
