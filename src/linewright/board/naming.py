"""How men, squares and sides are named when a feature is described in words."""

from __future__ import annotations

from collections.abc import Iterable

import chess


def side_name(color: chess.Color) -> str:
    """``white`` or ``black``, as inside a sentence."""
    return "white" if color else "black"


def man_name(board: chess.Board, square: chess.Square) -> str:
    """``the black pawn on d5``; ``d5`` for an empty square."""
    piece = board.piece_at(square)
    name = chess.square_name(square)
    return f"the {side_name(piece.color)} {chess.piece_name(piece.piece_type)} on {name}" if piece else name


def square_names(squares: Iterable[chess.Square]) -> str:
    """``c5``, ``c5 and d5``, ``a3, c5 and d5``."""
    return listed(map(chess.square_name, squares))


def file_names(files: Iterable[int]) -> str:
    """``the c file``, ``the c and d files``."""
    letters = [chess.FILE_NAMES[file] for file in files]
    return f"the {listed(letters)} file{'s' if len(letters) > 1 else ''}"


def listed(words: Iterable[str]) -> str:
    """Words joined as in a sentence, with "and" before the last."""
    parts = list(words)
    return " and ".join([", ".join(parts[:-1]), parts[-1]] if len(parts) > 1 else parts)
