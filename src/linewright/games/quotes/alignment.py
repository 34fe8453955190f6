"""Laying described moves beside played ones: how far apart they are, and where."""

from __future__ import annotations

import os
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from typing import Any, Final

import numpy as np
import numpy.typing as npt

from linewright.games.index.arrays import I64, U16, U32, U64, Bools, Floats
from linewright.games.index.lockstep import ABREAST, by_length, play
from linewright.games.index.move_effects import took_in_passing
from linewright.games.query.table_reads import PackedGames
from linewright.games.quotes.quote_parser import DescribedMove

Costs = npt.NDArray[Any]

# What a difference costs, in described moves. A wrong piece or a wrong square alone is half a memory; a move that the
# description leaves out is no error, only makes other games likelier.
CHANGED: Final = 1.0
HALF_RIGHT: Final = 0.6
UNPLAYED: Final = 1.0
LEFT_OUT: Final = 0.25
SWAPPED: Final = 0.7
#: A wrong move number, for each half-move it is off, and at most; a move of the other side costs the most at once.
MISNUMBERED, MISNUMBERED_MOST = 0.05, 0.5

#: Costs are added up in twentieths of a move, which is exact.
_UNITS: Final = 20
_CHANGED, _HALF_RIGHT, _UNPLAYED, _LEFT_OUT, _SWAPPED, _MISNUMBERED, _MISNUMBERED_MOST = (
    round(_UNITS * cost) for cost in (CHANGED, HALF_RIGHT, UNPLAYED, LEFT_OUT, SWAPPED, MISNUMBERED, MISNUMBERED_MOST)
)

#: The bit of a capture in a played move's token; below it are piece and target.
CAPTURE: Final = 512

#: Moves that one pass over all games can look for: bits of a word.
_WORD: Final = 64

#: Games that one thread looks through at a time.
_STRETCH: Final = 1 << 13

#: Games that are aligned together: their tables stay in the processor's cache.
_TOGETHER: Final = 128

# Steps of an alignment.
SAME, CHANGE, EXTRA, SKIP, SWAP = range(5)


def tokens_of(packed: PackedGames) -> U16:
    """The moves of all games as a description names them, 2 bytes each: piece kind less one << 6, target square, and
    512 for a capture."""
    out = np.empty(len(packed.moves), dtype=np.uint16)
    for first in range(0, len(packed.bounds) - 1, ABREAST):
        bounds = packed.bounds[first : first + ABREAST + 1]
        moves, bounds = packed.moves[bounds[0] : bounds[-1]], bounds - bounds[0]
        played = play(moves, bounds)
        tokens = (moves >> 6 & 63) | ((played.pieces - 1) % 6).astype(np.uint16) << 6
        tokens[played.taken > 0] |= CAPTURE
        tokens[took_in_passing(moves, played)] |= CAPTURE
        out[packed.bounds[first] : packed.bounds[first] + len(moves)] = tokens
    return out


def _common(tokens: U16, bounds: I64, masks: U64, described: int) -> U16:
    """The longest common subsequence of each game with up to 64 described moves.

    Bit-parallel, after M. Crochemore et al., "A fast and practical bit-vector algorithm for the longest common
    subsequence problem", Information Processing Letters 80 (2001); from memory. All games take a step together: the
    first described move that each has, then the second, and so on.
    """
    hit = np.flatnonzero((masks > 0).take(tokens))
    firsts = hit.searchsorted(bounds)
    order, going = by_length(np.diff(firsts))
    masks = masks.take(tokens.take(hit))
    at = firsts[:-1][order]
    state = np.full(len(at), 0xFFFFFFFFFFFFFFFF, dtype=np.uint64)
    for games in going:
        here = state[:games]
        both = here & masks.take(at[:games])
        state[:games] = (here + both) | (here - both)
        at[:games] += 1
    inside = np.uint64((1 << described) - 1)
    counts = np.empty(len(at), dtype=np.uint16)
    counts[order] = np.bitwise_count(~state & inside)
    return counts


def common_moves(tokens: U16, bounds: I64, described: Sequence[DescribedMove]) -> U16:
    """How many of the described moves each game has in the described order, shape (games,); more than 64 in parts."""
    parts = [described[first : first + _WORD] for first in range(0, len(described), _WORD)]
    masks = [_masks(part) for part in parts]

    def stretch(first: int) -> U16:
        ends = bounds[first : first + _STRETCH + 1]
        these, ends = tokens[ends[0] : ends[-1]], ends - ends[0]
        counts = np.zeros(len(ends) - 1, dtype=np.uint16)
        for part, mask in zip(parts, masks, strict=True):
            counts += _common(these, ends, mask, len(part))
        return counts

    with ThreadPoolExecutor(os.cpu_count() or 1) as threads:
        return np.concatenate(list(threads.map(stretch, range(0, len(bounds) - 1, _STRETCH))))


def _masks(described: Sequence[DescribedMove]) -> U64:
    """For each token, which of up to 64 described moves it may be."""
    masks = np.zeros(2 * CAPTURE, dtype=np.uint64)
    for bit, move in enumerate(described):
        for token in _meant(move):
            masks[[token, token | CAPTURE]] |= np.uint64(1 << bit)
    return masks


def _meant(move: DescribedMove) -> list[int]:
    """Tokens that a described move may be, captures aside."""
    targets = [move.target, move.target ^ 56] if move.castling else [move.target]
    kinds = [move.kind - 1] if move.kind else range(6)
    return [kind << 6 | target for kind in kinds for target in targets]


@dataclass(frozen=True, slots=True)
class DescribedArrays:
    """Described moves for the alignment, shape (moves,) each; -1 where not given."""

    kinds: I64
    targets: I64
    plies: I64
    castling: Bools


def arrays_of(described: Sequence[DescribedMove]) -> DescribedArrays:
    """Described moves for :func:`align`."""
    return DescribedArrays(
        np.array([move.kind - 1 for move in described], dtype=np.int64),
        np.array([move.target for move in described], dtype=np.int64),
        np.array([-1 if move.ply is None else move.ply for move in described], dtype=np.int64),
        np.array([move.castling for move in described], dtype=np.bool_),
    )


class _Tables:
    """The costs of aligning described moves with each of some games' moves.

    :param costs: for each number of described moves, by game and number of played moves: the least cost of aligning the
        first so many; shape (described + 1, games, played + 1).
    """

    def __init__(self, described: DescribedArrays, played: U16, firsts: I64) -> None:
        """
        :param played: tokens, shape (games, most played), anything behind a game's last.
        :param firsts: as :func:`distances` takes them.
        """
        self._described = described
        games, most = played.shape
        # Half the memory is twice the speed: described and played moves are few enough but for the longest games.
        highest = _LEFT_OUT * most + (_UNPLAYED + _MISNUMBERED_MOST) * (len(described.kinds) + 1)
        self._type: type[np.signedinteger] = np.int16 if highest < np.iinfo(np.int16).max else np.int32
        self._targets, self._kinds = (played & 63).astype(np.uint8), (played >> 6 & 7).astype(np.uint8)
        self._plies = (np.maximum(firsts, 0)[:, None] + np.arange(most)).astype(np.int16)
        self._skips = (_LEFT_OUT * np.arange(most + 1)).astype(self._type)
        self.costs = np.zeros((len(described.kinds) + 1, games, most + 1), dtype=self._type)
        self.costs[0, firsts >= 0] = self._skips
        before = self.unlike(0)
        for row in range(1, len(described.kinds) + 1):
            unlike = self.unlike(row - 1)
            self._fill(row, unlike, before)
            before = unlike

    def unlike(self, row: int) -> Costs:
        """What a described move costs beside each played one: 0 for the same move."""
        described = self._described
        kind, target = int(described.kinds[row]), int(described.targets[row])
        right_target = self._targets == target
        if described.castling[row]:
            right_target |= self._targets == target ^ 56
        right_kind = self._kinds == kind if kind >= 0 else np.True_
        half = (right_target | right_kind) if kind > 0 else right_target
        half_right = _CHANGED if described.castling[row] else _HALF_RIGHT
        found = np.where(half, self._type(half_right), self._type(_CHANGED))
        found[right_target & right_kind] = 0
        return found

    def misnumbered(self, row: int) -> Costs:
        """What a described move's number costs beside each played one."""
        ply = int(self._described.plies[row])
        if ply < 0:
            return np.zeros((1, self._plies.shape[1]), dtype=self._type)
        off = np.abs(self._plies - np.int16(ply))
        return np.where(off & 1, _MISNUMBERED_MOST, np.minimum(off * _MISNUMBERED, _MISNUMBERED_MOST)).astype(
            self._type
        )

    def _fill(self, row: int, unlike: Costs, unlike_before: Costs) -> None:
        before, cost = self.costs[row - 1], self.costs[row]
        cost[:, 0] = _UNPLAYED * row
        best = cost[:, 1:]
        np.add(before[:, :-1], unlike, out=best)
        if self._described.plies[row - 1] >= 0:
            best += self.misnumbered(row - 1)
        np.minimum(best, before[:, 1:] + self._type(_UNPLAYED), out=best)
        if row > 1:
            games, places = np.nonzero((unlike[:, :-1] == 0) & (unlike_before[:, 1:] == 0))
            swapped = self.costs[row - 2][games, places] + self._type(_SWAPPED)
            best[games, places + 1] = np.minimum(best[games, places + 1], swapped)
        # Played moves that the description leaves out cost something each, but for those behind it.
        if row < len(self._described.kinds):
            cost -= self._skips
        np.minimum.accumulate(cost, axis=1, out=cost)
        if row < len(self._described.kinds):
            cost += self._skips

    def step(self, row: int, column: int) -> int:
        """How the first game's best alignment of so many described and so many played moves ends."""
        costs = self.costs[:, 0]
        cost = int(costs[row, column])
        if column == 0:
            return EXTRA
        unlike, misnumbered = (of(row - 1)[0, column - 1] for of in (self.unlike, self.misnumbered))
        if costs[row - 1, column - 1] + unlike + misnumbered == cost:
            return CHANGE if unlike else SAME
        if costs[row - 1, column] + _UNPLAYED == cost:
            return EXTRA
        skipped = _LEFT_OUT if row < len(self._described.kinds) else 0
        return SKIP if costs[row, column - 1] + skipped == cost else SWAP


def distances(described: DescribedArrays, tokens: U16, bounds: I64, games: U32, firsts: I64) -> Floats:
    """How far the described moves are from each of some games, in moves, shape (games,).

    :param firsts: half-moves at which the description begins in each game; -1: anywhere.
    """
    out = np.zeros(len(games), dtype=np.float64)
    if not len(described.kinds):
        return out
    starts = bounds[games] + np.maximum(firsts, 0)
    lengths = bounds[games.astype(np.int64) + 1] - starts
    by_size = np.argsort(lengths)

    def together(first: int) -> None:
        these = by_size[first : first + _TOGETHER]
        most = int(lengths[these[-1]])
        places = np.minimum(starts[these, None] + np.arange(most), len(tokens) - 1)
        tables = _Tables(described, tokens[places], firsts[these])
        out[these] = tables.costs[-1, np.arange(len(these)), lengths[these]] / _UNITS

    with ThreadPoolExecutor(os.cpu_count() or 1) as threads:
        list(threads.map(together, range(0, len(games), _TOGETHER)))
    return out


@dataclass(frozen=True, slots=True)
class AlignedStep:
    """One step of an alignment: what was described beside what was played.

    :param how: SAME, CHANGE, EXTRA (described, not played), SKIP (played, not described), SWAP (two in the other
        order).
    :param described: places of the described moves, ascending; ``played``: half-moves before the played ones,
        ascending.
    """

    how: int
    described: tuple[int, ...]
    played: tuple[int, ...]


def align(described: DescribedArrays, tokens: U16, first: int) -> tuple[float, tuple[AlignedStep, ...]]:
    """The best alignment with one game: its cost and its steps; what lies before and after the description is left out.

    :param tokens: of all its moves. :param first: as :func:`distances` takes it.
    """
    if not len(described.kinds):  # only names or a year are known: nothing to lay beside the game
        return 0.0, ()
    start = max(first, 0)
    tables = _Tables(described, tokens[None, start:], np.array([first]))
    i, j = len(described.kinds), len(tokens) - start
    found: list[AlignedStep] = []
    while i > 0:
        how = tables.step(i, j)
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
            if i < len(described.kinds):
                found.append(AlignedStep(how, (), (start + j - 1,)))
            j -= 1
    if first >= 0:
        found += [AlignedStep(SKIP, (), (start + n,)) for n in range(j - 1, -1, -1)]
    return float(tables.costs[-1, 0, -1]) / _UNITS, tuple(reversed(found))
