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
        *lasting_features.material_features(board),
        *lasting_features.pawns_features(board),
        *lasting_features.structures_features(board),
        *lasting_features.files_features(board),
        *lasting_features.centre_features(board),
        *lasting_features.development_features(board),
        *lasting_features.squares_features(board),
        *lasting_features.bishops_features(board),
        *lasting_features.kings_features(board),
        *momentary_features.tactics_features(board),
        *momentary_features.threats_features(board),
    ]
    if mate:
        found += momentary_features.mate_features(board, mate)
    return Features(board.fen(), tuple(found))
