"""King safety: the pawn shield, open lines at the king, and a king stuck in the centre."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import chess

from linewright.board.castling import looks_castled, may_still_castle
from linewright.board.structure.open_files import HALF_OPEN_FOR, FileState, file_state
from linewright.board.structure.pawns import Squares

#: Files of a king that "stands in the centre". Common practice: the c file is a castled king's.
_CENTRE_FILES: Final = (3, 4, 5)


@dataclass(frozen=True, slots=True)
class KingSafety:
    """What protects a king and what points at it.

    :param square: where it stands.
    :param shield: its own pawns on its file and the files beside it, one or two ranks ahead.
    :param bare: of these files, those without such a pawn (0 = a).
    :param lines: of these files, those that are open or half-open for the enemy (no own pawn on them).
    :param attackers: enemy pieces that attack a square next to the king, or the king.
    :param stuck: see :func:`stuck_in_centre`.
    """

    square: chess.Square
    shield: Squares
    bare: tuple[int, ...]
    lines: tuple[int, ...]
    attackers: Squares
    stuck: bool


def king_safety(board: chess.Board, color: chess.Color) -> KingSafety | None:
    """The safety of a king; None where there is no king.

    Shield: pawns of its own on its file and the files beside it, one or two ranks ahead of it. Common practice
    (handbooks count pawns on their first squares or one step ahead, in front of the castled king).
    """
    king = board.king(color)
    if king is None:
        return None
    files = [f for f in range(chess.square_file(king) - 1, chess.square_file(king) + 2) if 0 <= f <= 7]
    own = board.pieces_mask(chess.PAWN, color)
    shield = tuple(s for s in chess.scan_forward(own) if chess.square_file(s) in files and _covers(s, king, color))
    covered = {chess.square_file(s) for s in shield}
    lines = tuple(f for f in files if file_state(board, f) in (FileState.OPEN, HALF_OPEN_FOR[not color]))
    return KingSafety(
        king,
        shield,
        tuple(f for f in files if f not in covered),
        lines,
        _near(board, king, color),
        stuck_in_centre(board, color),
    )


def stuck_in_centre(board: chess.Board, color: chess.Color) -> bool:
    """Whether the king is stuck in the centre: it stands on the d, e or f file of its first or second rank, can
    never castle any more, hasn't castled, the enemy still has a queen, and the d or e file is open or half-open for
    the enemy. Common practice; the conditions are ours, since without queens and lines the centre is a good place.
    """
    king = board.king(color)
    if king is None or may_still_castle(board, color) or looks_castled(board, color):
        return False
    rank = chess.square_rank(king)
    at_home = rank <= 1 if color else rank >= 6
    central = chess.square_file(king) in _CENTRE_FILES
    opened = any(file_state(board, f) in (FileState.OPEN, HALF_OPEN_FOR[not color]) for f in (3, 4))
    return at_home and central and opened and bool(board.pieces(chess.QUEEN, not color))


def in_centre(board: chess.Board, color: chess.Color) -> bool:
    """Whether the king stands on the d, e or f file, castled or not. Common practice."""
    king = board.king(color)
    return king is not None and chess.square_file(king) in _CENTRE_FILES


def _covers(pawn: chess.Square, king: chess.Square, color: chess.Color) -> bool:
    ahead = chess.square_rank(pawn) - chess.square_rank(king)
    return 1 <= (ahead if color else -ahead) <= 2


def _near(board: chess.Board, king: chess.Square, color: chess.Color) -> Squares:
    zone = chess.BB_KING_ATTACKS[king] | chess.BB_SQUARES[king]
    pieces = board.occupied_co[not color] & ~board.pawns & ~board.kings
    return tuple(s for s in chess.scan_forward(pieces) if board.attacks_mask(s) & zone)
