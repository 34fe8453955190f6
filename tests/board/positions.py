"""Positions for laws: reached by random legal moves, captures a little more often than by chance."""

from __future__ import annotations

import random

import chess
from hypothesis import strategies as st


@st.composite
def played(draw: st.DrawFn, most: int = 80) -> chess.Board:
    """A position after up to ``most`` random legal plies from the start; fewer plies are the simpler case."""
    plies, seed = draw(st.integers(0, most)), draw(st.integers(0, 2**20))
    chance = random.Random(seed)
    board = chess.Board()
    for _ in range(plies):
        moves = list(board.legal_moves)
        if not moves:
            break
        captures = [move for move in moves if board.piece_type_at(move.to_square)] if chance.random() < 0.3 else []
        board.push(chance.choice(captures or moves))
    return board.copy(stack=False)


def line(moves: str) -> chess.Board:
    """The position after moves in SAN from the start."""
    board = chess.Board()
    for san in moves.split():
        board.push_san(san)
    return board


def squares(text: str) -> tuple[chess.Square, ...]:
    """Squares by their names, in ascending order."""
    return tuple(sorted(chess.parse_square(name) for name in text.split()))
