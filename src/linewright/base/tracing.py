"""Playing many stored games through at once, compiled: where they met a position, and by which moves."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import chess
import numpy as np
import numpy.typing as npt

from linewright.base.kernels import jit
from linewright.base.replaying import LOST_RIGHTS
from linewright.base.replaying import START as START_SQUARES
from linewright.base.rows import PackedGames

U8 = npt.NDArray[np.uint8]
U16 = npt.NDArray[np.uint16]
U32 = npt.NDArray[np.uint32]
U64 = npt.NDArray[np.uint64]
I32 = npt.NDArray[np.int32]
I64 = npt.NDArray[np.int64]


def squares_of(board: chess.Board) -> U8:
    """The board as 64 numbers, a1 to h8: 0 empty, 1-6 white pawn to king, 7-12 black."""
    squares = np.zeros(64, dtype=np.uint8)
    for square, piece in board.piece_map().items():
        squares[square] = piece.piece_type + (0 if piece.color else 6)
    return squares


START: Final = np.array(START_SQUARES, dtype=np.uint8)
RIGHTS_LOST: Final = np.array(LOST_RIGHTS, dtype=np.uint8)

#: The FNV-1a hash's start and factor for 64 bits (Fowler, Noll, Vo; published by its authors).
_FNV_START, _FNV_PRIME = 0xCBF29CE484222325, 0x100000001B3


@jit
def step(board: U8, packed: np.int64) -> np.int64:
    """Play a legal move on the squares; the piece taken, else 0 (the pawn taken in passing counts)."""
    origin = packed & 63
    target = packed >> 6 & 63
    promotion = packed >> 12
    piece = np.int64(board[origin])
    taken = np.int64(board[target])
    board[origin] = 0
    if piece == 1 or piece == 7:
        if taken == 0 and (target - origin) & 7 != 0:
            beside = (origin & 56) | (target & 7)
            taken = np.int64(board[beside])
            board[beside] = 0
        if promotion > 0:
            piece += promotion - 1
    elif (piece == 6 or piece == 12) and abs(target - origin) == 2:
        corner = target + 1 if target > origin else target - 2
        beside = target - 1 if target > origin else target + 1
        board[beside] = board[corner]
        board[corner] = 0
    board[target] = piece
    return taken


@jit
def _passing(board: U8, packed: np.int64) -> np.int64:
    """The file of a pawn that has just made two steps beside an enemy pawn, else -1."""
    origin = packed & 63
    target = packed >> 6 & 63
    piece = board[target]
    if (piece != 1 and piece != 7) or abs(target - origin) != 16:
        return np.int64(-1)
    file = target & 7
    other = 8 - piece
    if (file > 0 and board[target - 1] == other) or (file < 7 and board[target + 1] == other):
        return file
    return np.int64(-1)


@jit
def _trace(
    start: U8,
    lost: U8,
    moves: U16,
    bounds: I64,
    games: U32,
    goal: U8,
    goal_rights: int,
    goal_passing: int,
    goal_white: bool,
    plies: I32,
    arrivals: I32,
    orders: U64,
) -> None:
    """For each game: half-moves until the goal, move and piece taken that led there, hash of the moves before."""
    board = np.empty(64, dtype=np.uint8)
    wrong_at_start = 0
    for square in range(64):
        wrong_at_start += start[square] != goal[square]
    for number in range(len(games)):
        first, last = bounds[games[number]], bounds[games[number] + 1]
        board[:] = start
        wrong = wrong_at_start
        rights = 15
        passing = np.int64(-1)
        arrival = np.int64(0)
        order = np.uint64(_FNV_START)
        plies[number] = -1
        for move in range(first, last + 1):
            done = move - first
            if wrong == 0 and (done & 1 == 0) == goal_white and rights == goal_rights and passing == goal_passing:
                plies[number] = done
                arrivals[number] = arrival
                orders[number] = order
                break
            if move == last:
                break
            packed = np.int64(moves[move])
            origin = packed & 63
            target = packed >> 6 & 63
            # Castling and taking in passing touch two more squares: those of the origin's and target's rank.
            touched = board[origin]
            special = (touched == 6 or touched == 12) and abs(target - origin) == 2
            special |= (touched == 1 or touched == 7) and board[target] == 0 and (target - origin) & 7 != 0
            if special:
                base = origin & 56
                for square in range(base, base + 8):
                    wrong -= board[square] != goal[square]
                if target & 56 != base:
                    wrong -= board[target] != goal[target]
            else:
                wrong -= (board[origin] != goal[origin]) + (board[target] != goal[target])
            taken = step(board, packed)
            if special:
                base = origin & 56
                for square in range(base, base + 8):
                    wrong += board[square] != goal[square]
                if target & 56 != base:
                    wrong += board[target] != goal[target]
            else:
                wrong += (board[origin] != goal[origin]) + (board[target] != goal[target])
            rights &= ~(lost[origin] | lost[target])
            passing = _passing(board, packed)
            arrival = packed | taken << 16
            order = (order ^ np.uint64(packed)) * np.uint64(_FNV_PRIME)


@dataclass(frozen=True, slots=True)
class Traces:
    """Where games first met a position, shape (games,) each.

    :param plies: half-moves played before; -1: the game never met it.
    :param arrivals: the packed move that led there, and the piece taken by it (1-12, else 0) << 16.
    :param orders: equal for games that came there by the same moves in the same order.
    """

    plies: I32
    arrivals: I32
    orders: U64


def trace(position: chess.Board, games: U32, packed: PackedGames) -> Traces:
    """Find a position in games, as :func:`linewright.base.keys.position_key` tells positions apart."""
    goal = squares_of(position)
    passing = -1
    if position.ep_square is not None:
        pawn = position.ep_square + (-8 if position.turn else 8)
        file = pawn & 7
        own = 1 if position.turn else 7
        beside = [pawn - 1] * (file > 0) + [pawn + 1] * (file < 7)
        passing = file if any(goal[square] == own for square in beside) else -1
    rights = sum(
        bit
        for bit, right in (
            (1, position.has_kingside_castling_rights(chess.WHITE)),
            (2, position.has_queenside_castling_rights(chess.WHITE)),
            (4, position.has_kingside_castling_rights(chess.BLACK)),
            (8, position.has_queenside_castling_rights(chess.BLACK)),
        )
        if right
    )
    plies, arrivals = np.zeros(len(games), np.int32), np.zeros(len(games), np.int32)
    orders = np.zeros(len(games), np.uint64)
    white = position.turn == chess.WHITE
    _trace(
        START, RIGHTS_LOST, packed.moves, packed.bounds, games, goal, rights, passing, white, plies, arrivals, orders
    )
    return Traces(plies, arrivals, orders)


def following(games: U32, plies: I32, packed: PackedGames, count: int) -> U16:
    """The packed moves after the first ``plies`` of each game, shape (games, count); 0 where it had ended."""
    starts = packed.bounds[games] + plies
    ends = packed.bounds[games.astype(np.int64) + 1]
    at = starts[:, None] + np.arange(count)
    known = at < ends[:, None]
    taken: U16 = np.where(known, packed.moves[np.where(known, at, 0)] if len(packed.moves) else 0, 0)
    return taken.astype(np.uint16)


def board_after(moves: list[int]) -> chess.Board:
    """The position after packed moves from the start."""
    board = chess.Board()
    for move in moves:
        board.push(unpacked(move))
    return board


def unpacked(packed: int) -> chess.Move:
    """A packed move as :class:`chess.Move`."""
    return chess.Move(packed & 63, packed >> 6 & 63, (packed >> 12) or None)


def sans(board: chess.Board, moves: list[int]) -> tuple[str, ...]:
    """Packed moves from a position in SAN; zeros at the end are left out."""
    board = board.copy(stack=False)
    found = []
    for packed in moves:
        if not packed:
            break
        move = unpacked(packed)
        found.append(board.san(move))
        board.push(move)
    return tuple(found)
