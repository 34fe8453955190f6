"""What pupils of a band meet in a position: the replies with their shares and what they score there."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final, Protocol

import chess
import numpy as np
import numpy.typing as npt

from linewright.base.archive import Archive
from linewright.base.expectation import expected_scores
from linewright.base.filters import Band, GameFilter, fitting
from linewright.base.keys import NO_MOVE, unpack_move
from linewright.base.memory import UNKNOWN
from linewright.base.rows import GameTable
from linewright.base.study import Here, look_up

F64 = npt.NDArray[np.float64]

#: Games from which a move's score starts to speak for itself: a score is drawn to the position's mean as if so many
#: more games had scored it. The standard error of 20 games is some 10 points of 100.
STEADY: Final = 20
#: Games of all bands that a band's own shares are mixed with, so that what a few games happened not to show isn't
#: impossible.
PRIOR: Final = 10
#: Games that the first position must have in the band: the standard error of a share is then at most 3.5 points.
ENOUGH: Final = 200
#: By how much a band is widened at each end, in rating points, and how often: at 400 points the stronger side expects
#: 92 of 100 (FIDE's table 8.1.2), these are other games.
WIDER: Final = 100
WIDENINGS: Final = 4


@dataclass(frozen=True, slots=True)
class Option:
    """A move played in a position.

    :param games: of the band.
    :param share: of the games that go on (0-1), mixed with those of all bands.
    :param score: expected score (0-1) of the side that plays it, between equals, drawn to the position's mean.
    """

    uci: str
    games: int
    share: float
    score: float


@dataclass(frozen=True, slots=True)
class Met:
    """What is played in a position.

    :param games: of the band that go on from it.
    :param mean: expected score (0-1) of the side to move, between equals, whatever it plays.
    :param options: the commonest first; their shares sum to 1 where there are games.
    """

    games: int
    mean: float
    options: tuple[Option, ...]

    def of(self, uci: str) -> Option | None:
        """The figures of one move."""
        return next((option for option in self.options if option.uci == uci), None)


class Meeting(Protocol):
    """Where shares and scores come from."""

    def at(self, board: chess.Board) -> Met: ...


class BandGames:
    """The games of a band as the plan asks them: each position once.

    :param only: which games count; shares are mixed with those of all games where it leaves any out.
    """

    def __init__(self, archive: Archive, only: GameFilter) -> None:
        self._archive = archive
        self._only = only
        self._kept: dict[str, Met] = {}

    def at(self, board: chess.Board) -> Met:
        key = board.epd(en_passant="legal")
        found = self._kept.get(key)
        if found is None:
            found = self._kept[key] = self._count(board)
        return found

    def _count(self, board: chess.Board) -> Met:
        table = self._archive.table
        every = look_up(self._archive.base.connection, table, board, GameFilter())
        if not self._only or not len(every.games):
            return _met(every, every, table)
        fits = fitting(every.games, self._only, table)
        return _met(Here(board, every.games[fits], every.moves[fits]), every, table)


def _met(own: Here, every: Here, table: GameTable) -> Met:
    """Shares and scores of a position; ``own`` are the band's entries, ``every`` those of all games."""
    going = every.moves != NO_MOVE
    moves = np.unique(every.moves[going])
    if not len(moves):
        return Met(0, 0.5, ())
    counts = _counts(own, moves)
    total = int(counts.sum())
    shares = counts.astype(np.float64)
    if own is not every:
        everyones = _counts(every, moves)
        shares = shares + PRIOR * everyones / everyones.sum()
    shares /= shares.sum()
    over, scored = _over(own, moves, table)
    mean = float(over.sum() / scored.sum()) if scored.sum() else 0.0
    scores = np.clip(0.5 + (over + STEADY * mean) / (scored + STEADY), 0, 1)
    order = np.lexsort((moves, -shares))
    options = tuple(
        Option(unpack_move(int(moves[i])), int(counts[i]), float(shares[i]), float(scores[i])) for i in order.tolist()
    )
    return Met(total, min(max(0.5 + mean, 0.0), 1.0), options)


def _counts(here: Here, moves: npt.NDArray[np.uint16]) -> npt.NDArray[np.int64]:
    """Games with each of the moves, shape (moves,)."""
    played = here.moves[here.moves != NO_MOVE]
    return np.bincount(np.searchsorted(moves, played), minlength=len(moves))


def _over(here: Here, moves: npt.NDArray[np.uint16], table: GameTable) -> tuple[F64, F64]:
    """Points of the side to move beyond what the ratings let expect, and games with a result, of each move.

    A game without ratings counts as one between equals.
    """
    half_points = table.half_points[here.games]
    known = (here.moves != NO_MOVE) & (half_points != UNKNOWN)
    games = here.games[known]
    white, black = table.white_ratings[games].astype(np.int64), table.black_ratings[games].astype(np.int64)
    expected = np.where((white > 0) & (black > 0), expected_scores(white - black), 0.5)
    over = half_points[known] / 2 - expected
    place = np.searchsorted(moves, here.moves[known])
    sums = np.bincount(place, weights=over if here.white else -over, minlength=len(moves))
    return sums, np.bincount(place, minlength=len(moves)).astype(np.float64)


@dataclass(frozen=True, slots=True)
class Chosen:
    """The filter that is used, and what is to be said of it.

    :param note: where the band as asked had too few games; else ``""``.
    """

    only: GameFilter
    games: int
    note: str


def widened(archive: Archive, board: chess.Board, only: GameFilter) -> Chosen:
    """The filter as asked, its rating band widened until :data:`ENOUGH` games go through a position.

    Widened :data:`WIDENINGS` times at most, then the ratings are let go.
    """
    asked = _games(archive, board, only)
    if only.ratings is None or asked >= ENOUGH:
        few = asked < ENOUGH
        return Chosen(only, asked, f"only {asked} games go through this position: take the figures as a hint" * few)
    least = min(ENOUGH, _games(archive, board, replace(only, ratings=None)))
    for times in range(1, WIDENINGS + 1):
        wider = replace(only, ratings=_wider(only.ratings, times * WIDER))
        games = _games(archive, board, wider)
        if games >= least:
            return Chosen(wider, games, f"{_few(asked, only)}; widened to {wider.told()}: {games} games")
    wider = replace(only, ratings=None)
    games = _games(archive, board, wider)
    return Chosen(wider, games, f"{_few(asked, only)}: these figures are of all ratings, {games} games")


def _few(asked: int, only: GameFilter) -> str:
    return f"only {asked} {'game' if asked == 1 else 'games'} with {only.told()}"


def _games(archive: Archive, board: chess.Board, only: GameFilter) -> int:
    return len(look_up(archive.base.connection, archive.table, board, only).going_on())


def _wider(band: Band, by: int) -> Band:
    low, high = band
    return (None if low is None else max(low - by, 1), None if high is None else high + by)
