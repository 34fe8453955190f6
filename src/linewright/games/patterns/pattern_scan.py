"""Playing stored games through in search of a pattern, on all cores."""

from __future__ import annotations

import os
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from typing import Final

import chess
import numpy as np

from linewright.games.index.arrays import I32, I64, U8, U16, U32, U64, Bools
from linewright.games.index.lockstep import PlayedMen, play
from linewright.games.index.move_effects import moving, running, square_changes, start_value
from linewright.games.patterns.pattern_parser import BoardPattern, Condition, Op
from linewright.games.query.table_reads import PackedGames

#: Games that one thread takes at a time.
_STRETCH: Final = 1 << 12

_A_FILE, _H_FILE = np.uint64(chess.BB_FILE_A), np.uint64(chess.BB_FILE_H)
_LIGHT, _ALL = np.uint64(chess.BB_LIGHT_SQUARES), np.uint64(chess.BB_ALL)
_RANK: Final = np.uint64(8)
_FILE: Final = np.uint64(1)

#: Usual values of knight, bishop, rook and queen (:class:`linewright.board.material.Material`).
_POINTS: Final = (3, 3, 5, 9)


def _beside(squares: U64) -> U64:
    """The squares to the left and right."""
    return (squares & ~_H_FILE) << _FILE | (squares & ~_A_FILE) >> _FILE


def _ahead(squares: U64) -> U64:
    """The squares and all that are ahead of them, as White sees it."""
    for ranks in (8, 16, 32):
        squares = squares | squares << np.uint64(ranks)
    return squares


def _behind(squares: U64) -> U64:
    """The squares and all that are behind them, as White sees it."""
    for ranks in (8, 16, 32):
        squares = squares | squares >> np.uint64(ranks)
    return squares


def _isolated(own: U64, enemy: U64) -> U64:
    """The isolated pawns, as ``pawns`` says; so the others, all as White sees the board."""
    return own & ~_beside(_ahead(_behind(own)))


def _doubled(own: U64, enemy: U64) -> U64:
    return own & (_ahead(own << _RANK) | _behind(own >> _RANK))


def _passed(own: U64, enemy: U64) -> U64:
    guarded = _behind(enemy >> _RANK)
    return own & ~(guarded | _beside(guarded))


def _backward(own: U64, enemy: U64) -> U64:
    neighboured = own & _beside(_ahead(_behind(own)))
    alone = neighboured & ~_beside(_ahead(own)) & ~_behind(own >> _RANK)
    attacked = _beside(enemy) >> _RANK
    return alone & attacked >> _RANK


def _hanging(own: U64, enemy: U64) -> Bools:
    """As :func:`linewright.board.structure.pawns.hanging_pawns`."""
    middle = np.uint64(chess.BB_FILE_C | chess.BB_FILE_D)
    four = middle | np.uint64(chess.BB_FILE_B | chess.BB_FILE_E)
    pair = np.uint64(chess.BB_C4 | chess.BB_D4)
    found: Bools = (own & four == pair) & (enemy & middle == 0)
    return found


_TRAITS: Final = {Op.ISOLATED: _isolated, Op.DOUBLED: _doubled, Op.PASSED: _passed, Op.BACKWARD: _backward}


class _Positions:
    """The positions of some games, as sets of squares by colour and kind of piece.

    :param moves: packed, as ``bounds`` in the form of :func:`linewright.games.index.lockstep.play`.
    """

    def __init__(self, moves: U16, bounds: I64) -> None:
        self._moves, self._bounds = moves, bounds
        self._played: PlayedMen = play(moves, bounds)
        self._sets: dict[tuple[int, int], U64] = {}

    def pieces(self, side: int, kind: int, at: I64) -> U64:
        """The squares of a side's (0 White) pieces of a kind (1-6) in some of the positions."""
        found = self._sets.get((side, kind))
        if found is None:
            table = np.zeros((13, 64), dtype=np.uint64)
            table[6 * side + kind] = np.uint64(1) << np.arange(64, dtype=np.uint64)
            changes = square_changes(self._moves, self._played, table, moving(table))
            found = self._sets[side, kind] = running(changes, start_value(table), self._bounds)
        return found.take(at)

    def holding(self, condition: Condition, view: int, at: I64) -> I64:
        """Those of some positions in which a condition holds, seen from White's side (0) or Black's (1)."""
        whose = condition.whose
        side = view if whose == 0 else 1 - view if whose == 1 else whose - 2
        mask = np.uint64(condition.mask)
        if condition.upright and side == 1:
            mask = mask.byteswap()
        found: I64 = at[self._holds(condition, side, mask, at)]
        return found

    def _holds(self, condition: Condition, side: int, mask: np.uint64, at: I64) -> Bools:
        op = condition.op
        found: Bools
        if op is Op.PLACED:
            found = mask & ~self.pieces(side, condition.kind, at) == 0
        elif op in _TRAITS or op is Op.HANGING:
            own, enemy = self.pieces(side, 1, at), self.pieces(1 - side, 1, at)
            if side == 1:  # as Black sees it: the ranks the other way round
                own, enemy, mask = own.byteswap(), enemy.byteswap(), mask.byteswap()
            found = _hanging(own, enemy) if op is Op.HANGING else _TRAITS[op](own, enemy) & mask != 0
        elif op in (Op.OPPOSITE_BISHOPS, Op.SAME_BISHOPS):
            one, another = self.pieces(0, 3, at), self.pieces(1, 3, at)
            single = (np.bitwise_count(one) == 1) & (np.bitwise_count(another) == 1)
            opposite = (one & _LIGHT == 0) != (another & _LIGHT == 0)
            found = single & (opposite == (op is Op.OPPOSITE_BISHOPS))
        elif op is Op.BISHOP_PAIR:
            bishops = self.pieces(side, 3, at)
            found = (bishops & _LIGHT != 0) & (bishops & ~_LIGHT != 0)
        else:
            count = self._counted(condition, side, mask, at)
            found = (condition.low <= count) & (count <= condition.high)
        return found

    def _counted(self, condition: Condition, side: int, mask: np.uint64, at: I64) -> I64:
        """What is counted: pieces, those that the side has more, or points."""
        kind, found = condition.kind, np.zeros(len(at), dtype=np.int64)
        if condition.op is Op.COUNT:
            return self._count(side, kind, at, mask)
        if condition.op is Op.POINTS:
            for one, worth in enumerate(_POINTS, start=2):
                found += worth * self._count(side, one, at, _ALL)
            return found
        for one, where in [(kind, mask)] if kind else [(2, _ALL), (3, _ALL)]:  # 0: bishops and knights together
            found += self._count(side, one, at, where) - self._count(1 - side, one, at, where)
        return found

    def _count(self, side: int, kind: int, at: I64, mask: np.uint64) -> I64:
        found: I64 = np.bitwise_count(self.pieces(side, kind, at) & mask).astype(np.int64)
        return found


def _stretch(pattern: BoardPattern, games: U32, begins: I32, packed: PackedGames) -> tuple[I32, I32, U8]:
    """For each game where the pattern first holds ``least`` positions in a row, for how many in all, and for whom."""
    starts = packed.bounds[games]
    lengths = packed.bounds[games.astype(np.int64) + 1] - starts
    if pattern.last is not None:
        lengths = np.minimum(lengths, pattern.last)
    bounds = np.concatenate([[0], np.cumsum(lengths)])
    moves = packed.moves[np.arange(bounds[-1]) + np.repeat(starts - bounds[:-1], lengths)]
    positions = _Positions(moves, bounds)
    firsts = bounds[:-1] + np.arange(len(games))
    done = np.arange(bounds[-1] + len(games)) - np.repeat(firsts, lengths + 1)
    eligible = np.flatnonzero(done >= np.repeat(np.maximum(begins, pattern.first), lengths + 1))
    found = np.full((2, len(games)), -1, dtype=np.int32)
    stood = np.zeros((2, len(games)), dtype=np.int32)
    for view in range(2 if pattern.either else 1):
        at = eligible
        for condition in pattern.conditions:
            at = positions.holding(condition, view, at)
        game = firsts.searchsorted(at, "right") - 1
        stood[view] = np.bincount(game, minlength=len(games))
        # Whether the least number of positions in a row ends here, and in one game.
        rest, runs = pattern.least - 1, max(len(at) - pattern.least + 1, 0)
        full = (at[rest:] - at[:runs] == rest) & (game[rest:] == game[:runs])
        begun = np.flatnonzero(full)[::-1]
        found[view, game[begun]] = done[at[begun]]  # the first is written last
    sides = ((found[0] < 0) | ((found[1] >= 0) & (found[1] < found[0]))).astype(np.uint8)
    chosen = np.arange(len(games))
    return found[sides, chosen], stood[sides, chosen], sides


@dataclass(frozen=True, slots=True)
class Scan:
    """Where games show a pattern, shape (games,) each.

    :param plies: half-moves before the first position that shows it; -1: never.
    :param stood: positions that show it.
    :param black: it is Black's side that shows it (of a pattern that names no side).
    """

    plies: I32
    stood: I32
    black: Bools


def scan(pattern: BoardPattern, games: U32, begins: I32, packed: PackedGames) -> Scan:
    """Look for a pattern in games.

    :param begins: half-moves from which on each game counts, shape (games,).
    """

    def stretch(at: int) -> tuple[I32, I32, U8]:
        part = slice(at, at + _STRETCH)
        return _stretch(pattern, games[part], begins[part], packed)

    with ThreadPoolExecutor(max_workers=os.cpu_count() or 1) as pool:
        parts = list(pool.map(stretch, range(0, len(games), _STRETCH)))
    if not parts:
        nothing = np.zeros(0, dtype=np.int32)
        return Scan(nothing, nothing, nothing > 0)
    plies, stood, sides = (np.concatenate(columns) for columns in zip(*parts, strict=True))
    return Scan(plies, stood, sides == 1)
