"""The centre: what kind it is, who holds it, and who has more space.

The kinds follow the middlegame handbooks (Euwe and Kramer, The Middlegame; Kotov, Play Like a Grandmaster: closed,
fixed, open, mobile, in tension), from memory; the rules make their words exact.
"""

from __future__ import annotations

from enum import StrEnum
from typing import Final

import chess

from linewright.board.structure.pawns import on_file

_D, _E = 3, 4
#: d4, e4, d5, e5.
CENTRE: Final = chess.BB_CENTER
#: Ranks 5 to 8 seen from White: what counts as the other half.
_FAR_HALF: Final = {
    chess.WHITE: chess.BB_RANK_5 | chess.BB_RANK_6 | chess.BB_RANK_7 | chess.BB_RANK_8,
    chess.BLACK: chess.BB_RANK_4 | chess.BB_RANK_3 | chess.BB_RANK_2 | chess.BB_RANK_1,
}
#: By how many counted squares a side must lead before one says that it has more space: below that, one
#: developing move turns it round (a knight to f3 counts two). Our choice.
SPACE_LEAD: Final = 4


class Centre(StrEnum):
    OPEN = "open"
    CLOSED = "closed"
    FIXED = "fixed"
    MOBILE = "mobile"
    TENSION = "in tension"
    UNSETTLED = "unsettled"


def centre(board: chess.Board) -> Centre:
    """The kind of centre, the first rule that fits:

    * *open*: no pawn at all on the d and e files.
    * *closed*: on both the d and the e file a white and a black pawn stand head to head (d4 e5 against d5 e6, or d5
      e4 against d6 e5). A flank pawn that could take one of them (c5 against d4) doesn't change that.
    * *in tension*: pawns on the c to f files could take each other, a d or e pawn among them.
    * *mobile*: one side has :func:`mobile_centre`.
    * *fixed*: a white and a black pawn face each other on d4 and d5 or on e4 and e5.
    * *unsettled*: anything else.
    """
    middle = chess.BB_FILES[_D] | chess.BB_FILES[_E]
    if not board.pawns & middle:
        return Centre.OPEN
    if _closed(board):
        return Centre.CLOSED
    if _tension(board):
        return Centre.TENSION
    if any(mobile_centre(board, color) for color in (chess.WHITE, chess.BLACK)):
        return Centre.MOBILE
    if any(
        chess.square(file, 3) in on_file(board, chess.WHITE, file)
        and chess.square(file, 4) in on_file(board, chess.BLACK, file)
        for file in (_D, _E)
    ):
        return Centre.FIXED
    return Centre.UNSETTLED


def classical_centre(board: chess.Board, color: chess.Color) -> bool:
    """The classical centre: own pawns side by side on the fourth rank of the d and e files, no enemy pawn on the
    squares before them. Common practice."""
    rank = 3 if color else 4
    pair = chess.BB_SQUARES[chess.square(_D, rank)] | chess.BB_SQUARES[chess.square(_E, rank)]
    ahead = pair << 8 if color else pair >> 8
    own, enemy = (board.pieces_mask(chess.PAWN, c) for c in (color, not color))
    return own & pair == pair and not enemy & ahead


def mobile_centre(board: chess.Board, color: chess.Color) -> bool:
    """A mobile centre: own pawns abreast on the d and e files, on the fourth rank or further, and nothing of the
    enemy's stands right in front of either. After Kotov; from memory."""
    for rank in range(3, 6):
        seen = rank if color else 7 - rank
        pair = [chess.square(file, seen) for file in (_D, _E)]
        abreast = all(square in on_file(board, color, chess.square_file(square)) for square in pair)
        stops = [square + (8 if color else -8) for square in pair]
        if abreast and not any(board.color_at(stop) == (not color) for stop in stops):
            return True
    return False


def holders(board: chess.Board, color: chess.Color) -> tuple[chess.Square, ...]:
    """The own pawns on the centre squares d4, e4, d5, e5: who occupies the centre. Common practice."""
    return tuple(chess.SquareSet(board.pieces_mask(chess.PAWN, color) & CENTRE))


def space(board: chess.Board, color: chess.Color) -> int:
    """Space: how often the men of ``color`` attack a square of the enemy's half, kings left aside.

    A square attacked twice counts twice. After the space count of Seirawan and Silman, Play Winning Chess; from
    memory.
    """
    far = _FAR_HALF[color]
    squares = board.occupied_co[color] & ~board.kings
    return sum((board.attacks_mask(s) & far).bit_count() for s in chess.scan_forward(squares))


def more_space(board: chess.Board) -> chess.Color | None:
    """The side with clearly more space (``SPACE_LEAD``), None when neither has."""
    lead = space(board, chess.WHITE) - space(board, chess.BLACK)
    return None if abs(lead) < SPACE_LEAD else lead > 0


def _tension(board: chess.Board) -> bool:
    files = chess.BB_FILE_C | chess.BB_FILE_D | chess.BB_FILE_E | chess.BB_FILE_F
    white = board.pieces_mask(chess.PAWN, chess.WHITE) & files
    black = board.pieces_mask(chess.PAWN, chess.BLACK) & files
    middle = chess.BB_FILE_D | chess.BB_FILE_E
    for square in chess.scan_forward(white):
        for target in chess.SquareSet(chess.BB_PAWN_ATTACKS[chess.WHITE][square] & black):
            if (chess.BB_SQUARES[square] | chess.BB_SQUARES[target]) & middle:
                return True
    return False


def _closed(board: chess.Board) -> bool:
    white, black = (board.pieces_mask(chess.PAWN, c) for c in (chess.WHITE, chess.BLACK))
    rams = 0
    for file in (_D, _E):
        one, other = white & chess.BB_FILES[file], black & chess.BB_FILES[file]
        if not one or not other:
            return False
        rams += bool((one << 8) & other)
    return rams == 2
