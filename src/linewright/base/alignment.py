"""Laying told moves beside played ones: how far apart they are, and where."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Final

import numpy as np
import numpy.typing as npt

from linewright.base.kernels import jit
from linewright.base.rows import PackedGames
from linewright.base.told import ToldMove
from linewright.base.tracing import START, step

U8 = npt.NDArray[np.uint8]
U16 = npt.NDArray[np.uint16]
U32 = npt.NDArray[np.uint32]
U64 = npt.NDArray[np.uint64]
I64 = npt.NDArray[np.int64]
Floats = npt.NDArray[np.float64]

# What a difference costs, in told moves. A wrong piece or a wrong square alone is half a memory; a move that the
# telling leaves out is no error, only makes other games likelier.
CHANGED: Final = 1.0
HALF_RIGHT: Final = 0.6
UNPLAYED: Final = 1.0
LEFT_OUT: Final = 0.25
SWAPPED: Final = 0.7
#: A number told wrong, for each half-move it is off, and at most; a move of the other side costs the most at once.
MISNUMBERED, MISNUMBERED_MOST = 0.05, 0.5

#: Moves that one pass over all games can look for: bits of a word.
_WORD: Final = 64

# Steps of an alignment.
SAME, CHANGE, EXTRA, SKIP, SWAP, END = range(6)


@jit
def _tokens(start: U8, moves: U16, bounds: I64, out: U16) -> None:
    """For each played move: piece kind less one << 6, target square, and 512 for a capture."""
    board = np.empty(64, dtype=np.uint8)
    for game in range(len(bounds) - 1):
        board[:] = start
        for move in range(bounds[game], bounds[game + 1]):
            packed = np.int64(moves[move])
            piece = np.int64(board[packed & 63])
            kind = (piece - 1) % 6
            taken = step(board, packed)
            out[move] = kind << 6 | (packed >> 6 & 63) | (512 if taken > 0 else 0)


def tokens_of(packed: PackedGames) -> U16:
    """The moves of all games as told moves name them: piece, target, capture; 2 bytes each."""
    out = np.zeros(len(packed.moves), dtype=np.uint16)
    _tokens(START, packed.moves, packed.bounds, out)
    return out


@jit
def _common(tokens: U16, bounds: I64, first: int, last: int, masks: U64, told: int, out: U16) -> None:
    """Add to each game's count the longest common subsequence with up to 64 told moves.

    Bit-parallel, after M. Crochemore et al., "A fast and practical bit-vector algorithm for the longest common
    subsequence problem", Information Processing Letters 80 (2001); from memory.
    """
    ones = np.uint64(0xFFFFFFFFFFFFFFFF)
    inside = ones if told >= 64 else (np.uint64(1) << np.uint64(told)) - np.uint64(1)
    for game in range(first, last):
        state = ones
        for move in range(bounds[game], bounds[game + 1]):
            hit = masks[tokens[move] & 511]
            if hit != 0:
                both = state & hit
                state = (state + both) | (state - both)
        found = ~state & inside
        count = 0
        while found != 0:
            found &= found - np.uint64(1)
            count += 1
        out[game] += count


def common_moves(tokens: U16, bounds: I64, told: Sequence[ToldMove]) -> U16:
    """How many of the told moves each game has in the told order, shape (games,); more than 64 in parts."""
    counts = np.zeros(len(bounds) - 1, dtype=np.uint16)
    for first in range(0, len(told), _WORD):
        stretch = told[first : first + _WORD]
        masks = np.zeros(512, dtype=np.uint64)
        for bit, move in enumerate(stretch):
            for token in _meant(move):
                masks[token] |= np.uint64(1 << bit)
        _common(tokens, bounds, 0, len(counts), masks, len(stretch), counts)
    return counts


def _meant(move: ToldMove) -> list[int]:
    """Tokens that a told move may be, captures aside."""
    targets = [move.target, move.target ^ 56] if move.castling else [move.target]
    kinds = [move.kind - 1] if move.kind else range(6)
    return [kind << 6 | target for kind in kinds for target in targets]


@dataclass(frozen=True, slots=True)
class ToldArrays:
    """Told moves for the compiled alignment, shape (moves,) each; -1 where not told."""

    kinds: I64
    targets: I64
    plies: I64
    castling: npt.NDArray[np.bool_]


def arrays_of(told: Sequence[ToldMove]) -> ToldArrays:
    """Told moves for :func:`align`."""
    return ToldArrays(
        np.array([move.kind - 1 for move in told], dtype=np.int64),
        np.array([move.target for move in told], dtype=np.int64),
        np.array([-1 if move.ply is None else move.ply for move in told], dtype=np.int64),
        np.array([move.castling for move in told], dtype=np.bool_),
    )


@jit
def _unlike(kind: int, target: int, castling: bool, token: np.int64) -> float:
    """0 the same move, HALF_RIGHT one of piece and square, else CHANGED."""
    right_target = (token & 63) == target or (castling and ((token & 63) ^ 56) == target)
    right_kind = kind < 0 or (token >> 6 & 7) == kind
    if right_target and right_kind:
        return 0.0
    if (right_target or (right_kind and kind > 0)) and not castling:
        return HALF_RIGHT
    return CHANGED


@jit
def _align(
    kinds: I64,
    targets: I64,
    plies: I64,
    castling: Any,
    tokens: U16,
    first: int,
    anchored: bool,
    cost: Floats,
    steps: U8,
) -> float:
    """Fill ``cost`` and ``steps``, shape (told + 1, played + 1); the cost of the best alignment.

    :param first: half-moves played before the first token.
    :param anchored: the telling begins at the first token; else anywhere.
    """
    told, played = len(kinds), len(tokens)
    for j in range(played + 1):
        cost[0, j] = LEFT_OUT * j if anchored else 0.0
        steps[0, j] = SKIP if j else END
    for i in range(1, told + 1):
        cost[i, 0] = UNPLAYED * i
        steps[i, 0] = EXTRA
        for j in range(1, played + 1):
            token = np.int64(tokens[j - 1])
            unlike = _unlike(kinds[i - 1], targets[i - 1], castling[i - 1], token)
            off = abs(plies[i - 1] - (first + j - 1)) if plies[i - 1] >= 0 else 0
            numbering = MISNUMBERED_MOST if off & 1 else min(off * MISNUMBERED, MISNUMBERED_MOST)
            best = cost[i - 1, j - 1] + unlike + numbering
            how = SAME if unlike == 0 else CHANGE
            if cost[i - 1, j] + UNPLAYED < best:
                best, how = cost[i - 1, j] + UNPLAYED, EXTRA
            skipped = cost[i, j - 1] + (LEFT_OUT if i < told else 0.0)
            if skipped < best:
                best, how = skipped, SKIP
            if i > 1 and j > 1 and cost[i - 2, j - 2] + SWAPPED < best:
                before = np.int64(tokens[j - 2])
                if (
                    _unlike(kinds[i - 1], targets[i - 1], castling[i - 1], before) == 0
                    and _unlike(kinds[i - 2], targets[i - 2], castling[i - 2], token) == 0
                ):
                    best, how = cost[i - 2, j - 2] + SWAPPED, SWAP
            cost[i, j] = best
            steps[i, j] = how
    return float(cost[told, played])


@jit
def _align_all(
    kinds: I64, targets: I64, plies: I64, castling: Any, tokens: U16, bounds: I64, games: U32, firsts: I64, out: Floats
) -> None:
    """The cost for each of some games; ``firsts`` as :func:`distances` takes them."""
    longest = 0
    for game in games:
        longest = max(longest, bounds[game + 1] - bounds[game])
    cost = np.empty((len(kinds) + 1, longest + 1), dtype=np.float64)
    steps = np.empty((len(kinds) + 1, longest + 1), dtype=np.uint8)
    for number in range(len(games)):
        first = max(firsts[number], 0)
        played = tokens[bounds[games[number]] + first : bounds[games[number] + 1]]
        out[number] = _align(kinds, targets, plies, castling, played, first, firsts[number] >= 0, cost, steps)


def distances(told: ToldArrays, tokens: U16, bounds: I64, games: U32, firsts: I64) -> Floats:
    """How far the told moves are from each of some games, in moves, shape (games,).

    :param firsts: half-moves at which the telling begins in each game; -1: anywhere.
    """
    out = np.zeros(len(games), dtype=np.float64)
    if len(told.kinds) and len(games):
        _align_all(
            told.kinds, told.targets, told.plies, told.castling, tokens, bounds, games.astype(np.int64), firsts, out
        )
    return out


@dataclass(frozen=True, slots=True)
class AlignedStep:
    """One step of an alignment: what was told beside what was played.

    :param how: SAME, CHANGE, EXTRA (told, not played), SKIP (played, not told), SWAP (two in the other order).
    :param told: places of the told moves, ascending; ``played``: half-moves before the played ones, ascending.
    """

    how: int
    told: tuple[int, ...]
    played: tuple[int, ...]


def align(told: ToldArrays, tokens: U16, first: int) -> tuple[float, tuple[AlignedStep, ...]]:
    """The best alignment with one game: its cost and its steps; what lies before and after the telling is left out.

    :param tokens: of all its moves. :param first: as :func:`distances` takes it.
    """
    start = max(first, 0)
    played = tokens[start:]
    shape = (len(told.kinds) + 1, len(played) + 1)
    cost, steps = np.empty(shape), np.empty(shape, dtype=np.uint8)
    total = float(_align(told.kinds, told.targets, told.plies, told.castling, played, start, first >= 0, cost, steps))
    i, j = shape[0] - 1, shape[1] - 1
    found: list[AlignedStep] = []
    while i > 0:
        how = int(steps[i, j])
        if how in (SAME, CHANGE):
            found.append(AlignedStep(how, (i - 1,), (start + j - 1,)))
            i, j = i - 1, j - 1
        elif how == EXTRA:
            found.append(AlignedStep(how, (i - 1,), ()))
            i -= 1
        elif how == SWAP:
            found.append(AlignedStep(how, (i - 2, i - 1), (start + j - 2, start + j - 1)))
            i, j = i - 2, j - 2
        else:
            if i < shape[0] - 1:
                found.append(AlignedStep(how, (), (start + j - 1,)))
            j -= 1
    if first >= 0:
        found += [AlignedStep(SKIP, (), (start + n,)) for n in range(j - 1, -1, -1)]
    return total, tuple(reversed(found))
