"""Playing many stored games through at once with NumPy: the first half-move of all of them, then the second, and so on.

What a single move does can't be known without its board; all the rest follows from the pieces that moved and were taken
(:mod:`linewright.games.index.move_effects`).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from linewright.games.index.arrays import I64, U8, U16, U64, Bools
from linewright.games.index.one_game import START

#: Games played at once: their boards, 64 bytes each, stay in the processor's cache.
ABREAST: Final = 1 << 14

#: What a move may be by its squares alone; the pieces on them tell whether it is.
PROMOTION, CASTLING, IN_PASSING, TWO_STEPS = 1, 2, 3, 4

#: Bits of a square's number.
_BITS: Final = 6


def _kinds() -> U8:
    """What each packed move may be, shape (65536,)."""
    packed = np.arange(1 << 16)
    origin, target, promotion = packed & 63, packed >> 6 & 63, packed >> 12
    ranks, files = (target >> 3) - (origin >> 3), (target & 7) - (origin & 7)
    kinds = np.zeros(1 << 16, dtype=np.uint8)
    kinds[(files == 0) & (np.abs(ranks) == 2) & np.isin(origin >> 3, (1, 6))] = TWO_STEPS
    by_white, by_black = (ranks == 1) & (origin >> 3 == 4), (ranks == -1) & (origin >> 3 == 3)
    kinds[(np.abs(files) == 1) & (by_white | by_black)] = IN_PASSING
    kinds[(ranks == 0) & (np.abs(files) == 2) & np.isin(origin, (4, 60))] = CASTLING
    kinds[promotion > 0] = PROMOTION
    return kinds


_KINDS: Final = _kinds()


@dataclass(frozen=True, slots=True)
class PlayedMen:
    """What each half-move did, shape (moves,) each.

    :param pieces: the piece that moved: 1-6 white pawn to king, 7-12 black.
    :param taken: the piece on the target square, 0 for none, as where a pawn takes in passing.
    :param passing: a pawn made two steps, and another stands ready to take it in passing.
    """

    pieces: U8
    taken: U8
    passing: Bools


def play(moves: U16, bounds: I64) -> PlayedMen:
    """Play legal games from the start position.

    :param moves: packed (:func:`linewright.games.index.position_keys.unpack_move`), all games' in one array.
    :param bounds: where each game's moves start in it, and the end of the last, shape (games + 1,).
    """
    size = len(moves)
    played = PlayedMen(np.empty(size, np.uint8), np.empty(size, np.uint8), np.zeros(size, np.bool_))
    for first in range(0, len(bounds) - 1, ABREAST):
        _play_abreast(moves, bounds[first : first + ABREAST + 1], played)
    return played


def by_length(lengths: I64) -> tuple[I64, list[int]]:
    """Games in an order in which those that go on are always the first: the longest first.

    :returns: the order, and for each half-move, how many games go on to it.
    """
    most = int(lengths.max(initial=0))
    order = np.argsort((most - lengths).astype(np.min_scalar_type(most)), kind="stable")
    going = len(order) - np.cumsum(np.bincount(lengths, minlength=most + 1))[:most]
    return order, going.tolist()


def _play_abreast(moves: U16, bounds: I64, played: PlayedMen) -> None:
    order, going = by_length(np.diff(bounds))
    at = bounds[:-1][order]
    boards = Boards(len(order))
    for games in going:
        here = at[:games]
        pieces, taken, passing = boards.step(moves.take(here))
        played.pieces[here] = pieces
        played.taken[here] = taken
        played.passing[here.take(passing)] = True
        here += 1


class Boards:
    """The boards of some games, all in the start position at first."""

    def __init__(self, games: int) -> None:
        self.squares: U8 = np.tile(np.array(START, dtype=np.uint8), games)
        self._firsts: I64 = np.arange(games, dtype=np.int64) << _BITS

    def like(self, ranks: U64, games: int) -> I64:
        """The places of those among the first games whose board is like one, given as eight numbers."""
        boards = self.squares[: games << _BITS].view(np.uint64).reshape(-1, 8)
        found = np.flatnonzero(boards[:, 3] == ranks[3])  # the middle tells most boards apart
        for rank in range(8):
            found = found[boards[found, rank] == ranks[rank]]
        return found

    def keep(self, games: I64) -> None:
        """Go on with some of the games only."""
        self.squares = self.squares.reshape(-1, 1 << _BITS)[games].reshape(-1)
        self._firsts = self._firsts[: len(games)]

    def step(self, moves: U16) -> tuple[U8, U8, I64]:
        """Play the next move of each of the first games.

        :returns: the pieces that moved, those on the target squares, and the places of the games in which a pawn made
            two steps and may be taken in passing.
        """
        squares, firsts = self.squares, self._firsts[: len(moves)]
        wide = moves.astype(np.int64)
        origins = (wide & 63) + firsts
        targets = (wide >> 6 & 63) + firsts
        pieces, taken = squares.take(origins), squares.take(targets)
        squares[targets] = pieces
        squares[origins] = 0
        kinds = _KINDS.take(wide)
        special = np.flatnonzero(kinds > 0)  # numpy looks for true values far faster than for other than zero
        if not len(special):
            return pieces, taken, special
        return pieces, taken, self._special(special, kinds.take(special), wide, origins, targets, pieces, taken)

    def _special(self, special: I64, kinds: U8, moves: I64, origins: I64, targets: I64, pieces: U8, taken: U8) -> I64:
        """Do what the special moves do beside; the places of the games in which a pawn may be taken in passing."""
        squares = self.squares
        own = pieces.take(special)
        pawn = (own == 1) | (own == 7)
        promoted = special[kinds == PROMOTION]
        if len(promoted):
            squares[targets[promoted]] += (moves[promoted] >> 12).astype(np.uint8) - np.uint8(1)
        castled = special[(kinds == CASTLING) & ((own == 6) | (own == 12))]
        if len(castled):  # the rook follows
            origin, target = origins[castled], targets[castled]
            short = target > origin
            corner, beside = np.where(short, target + 1, target - 2), np.where(short, target - 1, target + 1)
            squares[beside] = squares[corner]
            squares[corner] = 0
        passed = special[(kinds == IN_PASSING) & pawn & (taken[special] == 0)]
        if len(passed):  # the pawn beside goes
            squares[(origins[passed] & ~7) | (targets[passed] & 7)] = 0
        stepped = (kinds == TWO_STEPS) & pawn
        two, other = special[stepped], 8 - own[stepped]
        target = targets[two]
        file = target & 7
        left = (file > 0) & (squares[target - 1] == other)
        right = (file < 7) & (squares[np.minimum(target + 1, len(squares) - 1)] == other)
        ready: I64 = two[left | right]
        return ready
