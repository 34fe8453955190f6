"""What the side that chose a reply does next."""

from __future__ import annotations

from typing import Final

import chess
import numpy as np
import numpy.typing as npt

from linewright.games.query.batch_replay import sans
from linewright.games.report.study_values import FollowUpPlan
from linewright.games.report.trend import proportion, scored

U16 = npt.NDArray[np.uint16]
I64 = npt.NDArray[np.int64]

#: Own moves after the reply that make a plan, and the plans given of each reply.
DEPTH, MOST_PLANS = 3, 3

#: Half-moves to read from the position: the reply, and an answer and an own move each time.
PLIES: Final = 1 + 2 * DEPTH

#: Games that must share a plan: one game is a game, not a plan.
FEWEST: Final = 2

#: A plan as one number: three packed moves of 15 bits.
_MOVE_BITS: Final = 15


def plans(position: chess.Board, paths: U16, half_points: npt.NDArray[np.uint8]) -> tuple[FollowUpPlan, ...]:
    """The most frequent plans after a reply.

    :param position: the one before the reply.
    :param paths: packed moves from there, the reply first, shape (games, PLIES), 0 where a game had ended.
    :param half_points: White's, shape (games,).
    """
    long_enough = paths[:, PLIES - 1] > 0
    paths, half_points = paths[long_enough], half_points[long_enough]
    if not len(paths):
        return ()
    own = paths[:, 2::2].astype(np.int64)
    _, groups = np.unique(_numbers(np.sort(own, axis=1)), return_inverse=True)
    counts = np.bincount(groups)
    found = []
    for group in np.argsort(-counts, kind="stable")[:MOST_PLANS].tolist():
        if counts[group] < FEWEST:
            break
        members = groups == group
        line = _commonest(paths[members])
        moves = sans(position, line)
        found.append(
            FollowUpPlan(
                moves=moves[2::2],
                line=moves,
                part=proportion(int(counts[group]), len(paths)),
                scored=scored(half_points[members], position.turn == chess.WHITE),
            )
        )
    return tuple(found)


def _numbers(moves: I64) -> I64:
    """Rows of moves as one number each."""
    total = np.zeros(len(moves), dtype=np.int64)
    for column in moves.T:
        total = total << _MOVE_BITS | column
    return total


def _commonest(paths: U16) -> list[int]:
    """The path that most games took: first by the own moves' order, then by the answers."""
    for first in (2, 1):
        numbers = _numbers(paths[:, first::2].astype(np.int64))
        values, firsts, counts = np.unique(numbers, return_index=True, return_counts=True)
        best = max(range(len(values)), key=lambda i: (counts[i], -firsts[i]))
        paths = paths[numbers == values[best]]
    line: list[int] = paths[0].tolist()
    return line
