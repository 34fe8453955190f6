"""Mate in few moves, by exact search, and whether mate can be stopped.

Definitions as in problem chess: mate in *n* means that the side to move mates on its *n*th move at the latest,
whatever the other side plays (FIDE Laws 1.4.1, 5.1.1 for mate itself).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import chess

#: Positions that a search may look at before it gives up: about a second on a slow machine. Our choice: a talk has
#: a hundred positions, and what is deeper belongs to an engine.
MOST_POSITIONS: Final = 20_000
#: Up to this many moves every first move is tried; for longer mates only checks are, which loses quiet ones.
QUIET_MOVES: Final = 2


@dataclass(frozen=True, slots=True)
class Mate:
    """A forced mate.

    :param moves: how many moves it takes at most, the mating one included.
    :param line: one line of it, both sides' moves, the longest resistance found.
    """

    moves: int
    line: tuple[chess.Move, ...]


@dataclass(frozen=True, slots=True)
class MateSearch:
    """What a search for mate came to.

    :param mate: the shortest one found, or None.
    :param whole: everything within the question was looked at: no mate then means that there is none. A search
        for three moves and more tries only checks, so it is whole only when it found one.
    """

    mate: Mate | None
    whole: bool


class _Spent(Exception):
    """The search has looked at as many positions as it may."""


class _MateSearch:
    def __init__(self, board: chess.Board, most: int) -> None:
        self.board = board.copy(stack=False)
        self.left = most

    def mates(self, moves: int, checks_only: bool) -> tuple[chess.Move, ...] | None:
        """The line by which the side to move mates in that many moves or fewer, or None."""
        board = self.board
        legal = list(board.legal_moves)
        checks = [move for move in legal if board.gives_check(move)]
        quiet = [] if checks_only or moves == 1 else [move for move in legal if move not in checks]
        for move in [*checks, *quiet]:
            self._spend()
            board.push(move)
            line = self.mated(moves - 1, checks_only)
            board.pop()
            if line is not None:
                return (move, *line)
        return None

    def mated(self, moves: int, checks_only: bool) -> tuple[chess.Move, ...] | None:
        """The longest line by which the side to move is mated, now or in that many moves; None when it isn't."""
        board = self.board
        replies = list(board.legal_moves)
        if not replies:
            return () if board.is_check() else None
        if not moves:
            return None
        worst: tuple[chess.Move, ...] = ()
        for reply in sorted(replies, key=lambda move: not board.is_capture(move)):
            board.push(reply)
            line = self.mates(moves, checks_only)
            board.pop()
            if line is None:
                return None
            if len(line) >= len(worst):
                worst = (reply, *line)
        return worst

    def _spend(self) -> None:
        self.left -= 1
        if self.left < 0:
            raise _Spent


def mate_in(board: chess.Board, most: int = 2, positions: int = MOST_POSITIONS) -> MateSearch:
    """The shortest forced mate of the side to move, in at most ``most`` moves.

    Up to ``QUIET_MOVES`` moves the search is exact; beyond, it follows checks only.

    :param positions: how many positions it may look at.
    """
    search = _MateSearch(board, positions)
    try:
        for moves in range(1, most + 1):
            line = search.mates(moves, checks_only=moves > QUIET_MOVES)
            if line is not None:
                return MateSearch(Mate((len(line) + 1) // 2, line), whole=True)
    except _Spent:
        return MateSearch(None, whole=False)
    return MateSearch(None, whole=most <= QUIET_MOVES)


def mates_at_once(board: chess.Board) -> tuple[chess.Move, ...]:
    """All moves that mate at once."""
    found = []
    probe = board.copy(stack=False)
    for move in board.legal_moves:
        if board.gives_check(move):
            probe.push(move)
            if probe.is_checkmate():
                found.append(move)
            probe.pop()
    return tuple(found)


def cannot_stop_mate(board: chess.Board) -> bool:
    """Whether the side to move is mated already, or is mated on the next move whatever it plays.

    Stalemate stops mate. A mate two moves away isn't looked for.
    """
    return _MateSearch(board, 1_000_000).mated(1, checks_only=False) is not None
