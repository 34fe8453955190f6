"""A position as text, drawn as printed diagrams are: dark squares hatched."""

from __future__ import annotations

import chess

_WHITE, _BLACK = "♙♘♗♖♕♔", "♟♞♝♜♛♚"


def board_text(fen: str, black_below: bool = False, figurines: bool = True) -> str:
    """Eight ranks and the files' letters below, each square two columns wide.

    :param black_below: seen from Black's side.
    :param figurines: else letters, capitals for White, and dots for dark squares.
    """
    board = chess.Board(fen)
    ranks = range(8) if black_below else range(7, -1, -1)
    files = range(7, -1, -1) if black_below else range(8)
    rows = [f" {r + 1} " + "".join(_square(board, chess.square(f, r), figurines) for f in files) for r in ranks]
    letters = "   " + "".join(f"{chess.FILE_NAMES[f]} " for f in files)
    return "\n".join(row.rstrip() for row in [*rows, letters])


def _square(board: chess.Board, square: int, figurines: bool) -> str:
    dark = (chess.square_file(square) + chess.square_rank(square)) % 2 == 0
    ground = ("░" if figurines else ".") if dark else " "
    piece = board.piece_at(square)
    if piece is None:
        return ground * 2
    return (_figurine(piece) if figurines else piece.symbol()) + ground


def _figurine(piece: chess.Piece) -> str:
    return (_WHITE if piece.color else _BLACK)[piece.piece_type - 1]
