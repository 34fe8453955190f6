"""One game's position keys, move by move: for a few games that is quicker than NumPy."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import cache
from typing import Final

from linewright.games.index.position_keys import NO_MOVE, zobrist_tables

_BACK: Final = [4, 2, 3, 5, 6, 3, 2, 4]

#: Squares a1 to h8; 0 empty, 1-6 white pawn to king, 7-12 black.
START: Final = (*_BACK, *[1] * 8, *[0] * 32, *[7] * 8, *(piece + 6 for piece in _BACK))

#: Castling rights (bits K Q k q = 1 2 4 8) lost when a move starts or ends on a square.
LOST_RIGHTS: Final = tuple({4: 3, 7: 1, 0: 2, 60: 12, 63: 4, 56: 8}.get(square, 0) for square in range(64))


@cache
def _numbers() -> tuple[list[list[int]], list[int], list[int], int, int]:
    """The published numbers as plain integers: pieces, rights, en-passant files, White to move, start position."""
    pieces, others = zobrist_tables()
    castling = others[:4].tolist()
    rights = [0] * 16
    for number in range(16):
        for bit in range(4):
            rights[number] ^= castling[bit] if number >> bit & 1 else 0
    table = pieces.tolist()
    placed = 0
    for square, piece in enumerate(START):
        placed ^= table[piece][square]
    return table, rights, others[4:12].tolist(), int(others[12]), placed


def positions(moves: Sequence[int]) -> Iterator[tuple[int, int]]:
    """Each position's key (``position_key``) and the move played there, else NO_MOVE.

    :param moves: a legal game from the start position, packed.
    """
    pieces, rights_numbers, en_passant, white_to_move, placed = _numbers()
    board = list(START)
    rights, passing, turn = 15, 0, white_to_move
    for packed in moves:
        yield placed ^ rights_numbers[rights] ^ passing ^ turn, packed
        origin, target, promotion = packed & 63, packed >> 6 & 63, packed >> 12
        piece, taken = board[origin], board[target]
        placed ^= pieces[piece][origin] ^ pieces[taken][target]
        board[origin] = passing = 0
        if piece == 1 or piece == 7:
            file = target & 7
            if taken == 0 and (target - origin) & 7:  # en passant: the pawn beside goes
                beside = (origin & 56) | file
                placed ^= pieces[board[beside]][beside]
                board[beside] = 0
            elif abs(target - origin) == 16:
                other = 8 - piece
                if (file > 0 and board[target - 1] == other) or (file < 7 and board[target + 1] == other):
                    passing = en_passant[file]
            if promotion:
                piece += promotion - 1
        elif (piece == 6 or piece == 12) and abs(target - origin) == 2:  # castling: the rook follows
            corner, beside = (target + 1, target - 1) if target > origin else (target - 2, target + 1)
            rook = board[corner]
            placed ^= pieces[rook][corner] ^ pieces[rook][beside]
            board[corner], board[beside] = 0, rook
        board[target] = piece
        placed ^= pieces[piece][target]
        rights &= ~(LOST_RIGHTS[origin] | LOST_RIGHTS[target])
        turn ^= white_to_move
    yield placed ^ rights_numbers[rights] ^ passing ^ turn, NO_MOVE


def move_played_at(moves: Sequence[int], key: int) -> int | None:
    """The move that a game played when it first reached a position (NO_MOVE: none); None if it never did."""
    return next((move for found, move in positions(moves) if found == key), None)
