"""Playing many stored games through at once: where they met a position, and by which moves."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import chess
import numpy as np

from linewright.games.index.arrays import I32, U8, U16, U32, U64
from linewright.games.index.lockstep import ABREAST, Boards
from linewright.games.index.move_effects import LOST, SQUARES
from linewright.games.query.table_reads import PackedGames


def squares_of(board: chess.Board) -> U8:
    """The board as 64 numbers, a1 to h8: 0 empty, 1-6 white pawn to king, 7-12 black."""
    squares = np.zeros(64, dtype=np.uint8)
    for square, piece in board.piece_map().items():
        squares[square] = piece.piece_type + (0 if piece.color else 6)
    return squares


#: The FNV-1a hash's start and factor for 64 bits (Fowler, Noll, Vo; published by its authors).
_FNV_START, _FNV_PRIME = np.uint64(0xCBF29CE484222325), np.uint64(0x100000001B3)

#: Proportion of the games from which those that have met the position are left behind.
_LEFT_BEHIND: Final = 0.25


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


@dataclass(frozen=True, slots=True)
class _Goal:
    """A position to be met.

    :param ranks: :func:`squares_of` as eight numbers.
    :param white: White is to move.
    :param lost: castling rights (bits K Q k q) that are lost.
    :param passing: file of the pawn that may be taken in passing, -1 for none.
    """

    ranks: U64
    white: bool
    lost: int
    passing: int

    @classmethod
    def of(cls, position: chess.Board) -> _Goal:
        squares = squares_of(position)
        passing = -1
        if position.ep_square is not None:
            pawn = position.ep_square + (-8 if position.turn else 8)
            file = pawn & 7
            own = 1 if position.turn else 7
            beside = [pawn - 1] * (file > 0) + [pawn + 1] * (file < 7)
            passing = file if any(squares[square] == own for square in beside) else -1
        lost = sum(
            bit
            for bit, right in (
                (1, position.has_kingside_castling_rights(chess.WHITE)),
                (2, position.has_queenside_castling_rights(chess.WHITE)),
                (4, position.has_kingside_castling_rights(chess.BLACK)),
                (8, position.has_queenside_castling_rights(chess.BLACK)),
            )
            if not right
        )
        return cls(squares.view(np.uint64), position.turn == chess.WHITE, lost, passing)


def trace(position: chess.Board, games: U32, packed: PackedGames) -> Traces:
    """Find a position in games, as :func:`linewright.games.index.position_keys.position_key` tells positions apart."""
    goal = _Goal.of(position)
    traces = Traces(np.full(len(games), -1, np.int32), np.zeros(len(games), np.int32), np.zeros(len(games), np.uint64))
    for first in range(0, len(games), ABREAST):
        _trace_abreast(goal, games[first : first + ABREAST], packed, traces, first)
    return traces


def _trace_abreast(goal: _Goal, games: U32, packed: PackedGames, traces: Traces, offset: int) -> None:
    starts, ends = packed.bounds[games], packed.bounds[games.astype(np.int64) + 1]
    places = np.argsort(starts - ends, kind="stable")  # so that the games that go on are always the first ones
    at, lengths = starts[places], (ends - starts)[places]
    boards = Boards(len(places))
    lost, orders = np.zeros(len(places), np.uint8), np.full(len(places), _FNV_START)
    arrivals, passing = np.zeros(len(places), np.int64), np.full(len(places), -1, np.int8)
    met = np.zeros(len(places), np.bool_)
    done = 0
    while len(places):
        if (done & 1 == 0) == goal.white:
            here = boards.like(goal.ranks, len(places))
            here = here[(lost[here] == goal.lost) & (passing[here] == goal.passing) & ~met[here]]
            met[here] = True
            found = places[here] + offset
            traces.plies[found], traces.arrivals[found], traces.orders[found] = done, arrivals[here], orders[here]
        going = int(np.count_nonzero(lengths > done))
        left = ~met[:going]
        if going - np.count_nonzero(left) > _LEFT_BEHIND * going or not left.any():
            boards.keep(np.flatnonzero(left))
        else:
            left[:] = True
        places, at, lengths = places[:going][left], at[:going][left], lengths[:going][left]
        met, lost, orders = met[:going][left], lost[:going][left], orders[:going][left]
        if not len(places):
            return
        moves = packed.moves.take(at)
        _, taken, double = boards.step(moves)
        lost |= LOST.take(moves & SQUARES)
        orders = (orders ^ moves) * _FNV_PRIME
        arrivals = taken.astype(np.int64) << 16 | moves
        passing = np.full(len(places), -1, np.int8)
        passing[double] = moves[double] >> 6 & 7
        at += 1
        done += 1


def following(games: U32, plies: I32, packed: PackedGames, count: int) -> U16:
    """The packed moves after the first ``plies`` of each game, shape (games, count); 0 where it had ended."""
    starts = packed.bounds[games] + plies
    ends = packed.bounds[games.astype(np.int64) + 1]
    at = starts[:, None] + np.arange(count)
    known = at < ends[:, None]
    taken: U16 = np.where(known, packed.moves[np.where(known, at, 0)] if len(packed.moves) else 0, 0)
    return taken.astype(np.uint16)


def board_after(moves: Sequence[int]) -> chess.Board:
    """The position after packed moves from the start."""
    board = chess.Board()
    for move in moves:
        board.push(unpacked(move))
    return board


def unpacked(packed: int) -> chess.Move:
    """A packed move as :class:`chess.Move`."""
    return chess.Move(packed & 63, packed >> 6 & 63, (packed >> 12) or None)


def sans(board: chess.Board, moves: Sequence[int]) -> tuple[str, ...]:
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
