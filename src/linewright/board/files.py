"""Open and half-open files.

Definitions (common practice): a file is *open* when no pawn of either colour stands on it; *half-open for a
side* when that side has no pawn on it and the other side has one; *closed* when both have one.
"""

from __future__ import annotations

from enum import Enum

import chess

from linewright.board.pawns import on_file


class FileState(Enum):
    OPEN = "open"
    HALF_OPEN_FOR_WHITE = "half-open for white"
    HALF_OPEN_FOR_BLACK = "half-open for black"
    CLOSED = "closed"


#: The half-open state by the colour that it is half-open for.
HALF_OPEN_FOR = {chess.WHITE: FileState.HALF_OPEN_FOR_WHITE, chess.BLACK: FileState.HALF_OPEN_FOR_BLACK}


def file_state(board: chess.Board, file: int) -> FileState:
    """The state of one file (0 = a … 7 = h)."""
    white, black = on_file(board, chess.WHITE, file), on_file(board, chess.BLACK, file)
    if white and black:
        return FileState.CLOSED
    if white:
        return FileState.HALF_OPEN_FOR_BLACK
    return FileState.HALF_OPEN_FOR_WHITE if black else FileState.OPEN


def open_files(board: chess.Board) -> tuple[int, ...]:
    """Files without any pawn."""
    return tuple(f for f in range(8) if file_state(board, f) is FileState.OPEN)


def half_open_files(board: chess.Board, color: chess.Color) -> tuple[int, ...]:
    """Files on which ``color`` has no pawn and the other side has one."""
    return tuple(f for f in range(8) if file_state(board, f) is HALF_OPEN_FOR[color])
