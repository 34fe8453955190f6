"""Open and half-open files.

Definitions (common practice): a file is *open* when no pawn of either colour stands on it; *half-open for a
side* when that side has no pawn on it and the other side has one; *closed* when both have one.
"""

from __future__ import annotations

from enum import Enum

import chess

from linewright.board.structure.pawns import on_file


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


def holders(board: chess.Board, file: int, color: chess.Color) -> tuple[chess.Square, ...]:
    """The rooks and queens of ``color`` that stand on a file. Common practice: they are what uses an open file."""
    heavy = board.pieces(chess.ROOK, color) | board.pieces(chess.QUEEN, color)
    return tuple(heavy & chess.BB_FILES[file])


def held_by(board: chess.Board, file: int) -> chess.Color | None:
    """The side that holds an open file: the only one with a rook or queen on it, or the one with more of them; None
    when neither has more. A half-open file can only be held by the side that it is open for; a closed one by none.
    Common practice."""
    state = file_state(board, file)
    counts = {color: len(holders(board, file, color)) for color in (chess.WHITE, chess.BLACK)}
    if state is FileState.OPEN:
        return None if counts[chess.WHITE] == counts[chess.BLACK] else counts[chess.WHITE] > counts[chess.BLACK]
    return next((c for c in counts if state is HALF_OPEN_FOR[c] and counts[c]), None)
