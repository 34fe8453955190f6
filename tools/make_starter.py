"""Make the starter table that ships with the program: replies counted from a games base.

    linewright base add ../shared/games/masters.pgn.zst --base masters.duckdb
    python tools/make_starter.py --base masters.duckdb

The same games give the same table on every machine. Takes two minutes or so, and 2 GB.
"""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np
import numpy.typing as npt

from linewright.games.api import GamesBase
from linewright.games.index.one_game import positions
from linewright.games.index.position_keys import NO_MOVE, unpack_move
from linewright.games.ingest.columns import UNKNOWN
from linewright.games.query.game_columns import GameColumns
from linewright.games.query.table_reads import PackedGames
from linewright.games.starter.rating_bands import BANDS
from linewright.games.starter.table import FILE
from linewright.games.starter.table_file import FEWEST, FIGURED, PLIES, StarterColumns, pack
from linewright.support.atomic_write import write

TARGET = Path(__file__).resolve().parents[1] / "src" / "linewright" / "games" / "starter" / FILE

Array = npt.NDArray[Any]


class Entries(NamedTuple):
    """Positions of games, a column each, shape (entries,).

    :param after: the key of the next position, 0 where the game ended; ``white`` was to move.
    """

    keys: Array
    games: Array
    moves: Array
    after: Array
    white: Array

    def at(self, which: Array) -> Entries:
        return Entries(*(column[which] for column in self))


def make(packed: PackedGames, columns: GameColumns, fewest: int = FEWEST, plies: int = PLIES) -> StarterColumns:
    """The table of all positions that ``fewest`` games came to within ``plies`` half-moves.

    Their replies are counted in all games that came there, however late, as the base counts them.
    """
    entries, done = all_entries(packed)
    early = done < plies
    chosen = often_met(entries.keys[early], entries.games[early], fewest)
    found = once(entries.at(np.isin(entries.keys, chosen, kind="sort")))
    return laid_out(chosen, found, columns, np.count_nonzero(np.diff(packed.bounds)))


def all_entries(packed: PackedGames) -> tuple[Entries, Array]:
    """Every position of every game, and the half-moves played before it."""
    games = np.flatnonzero(np.diff(packed.bounds))
    lengths = np.diff(packed.bounds)[games] + 1  # the last position, where nothing was played, counts too
    keys, moves = np.empty(lengths.sum(), np.uint64), np.empty(lengths.sum(), np.uint16)
    at = 0
    for game in games.tolist():
        for key, move in positions(packed.of(game)):
            keys[at], moves[at] = key, move
            at += 1
    done = np.arange(at) - np.repeat(np.cumsum(lengths) - lengths, lengths)
    after = np.where(moves == NO_MOVE, 0, np.roll(keys, -1))
    return Entries(keys, np.repeat(games, lengths), moves, after.astype(np.uint64), done % 2 == 0), done


def firsts(*columns: Array) -> Array:
    """Which rows of sorted columns differ from the row before, shape (rows,)."""
    new = np.ones(len(columns[0]), dtype=np.bool_)
    new[1:] = np.any([column[1:] != column[:-1] for column in columns], axis=0)
    return new


def often_met(keys: Array, games: Array, fewest: int) -> Array:
    """The keys that so many different games came to, ascending."""
    order = np.lexsort((games, keys))
    keys, games = keys[order], games[order]
    known, often = np.unique(keys[firsts(keys, games)], return_counts=True)
    return known[often >= fewest]


def once(entries: Entries) -> Entries:
    """Each game once for each move that it played from a position, in the order of keys, moves and games."""
    ordered = entries.at(np.lexsort((entries.games, entries.moves, entries.keys)))
    return ordered.at(firsts(ordered.keys, ordered.moves, ordered.games))


class Replies(NamedTuple):
    """The replies, a column each, shape (replies,): place of the position among the chosen keys, packed move, key of
    the next position, and figures as :class:`linewright.games.starter.table_file.StarterColumns` has them."""

    place: Array
    moves: Array
    after: Array
    games: Array
    unscored: Array
    halves: Array
    first: Array
    last: Array
    band_games: Array
    band_halves: Array

    def at(self, which: Array) -> Replies:
        return Replies(*(column[..., which] for column in self))


def add_up(chosen: Array, entries: Entries, columns: GameColumns) -> Replies:
    """The entries that went on, added up by position and move; the most played of a position first, then by UCI."""
    new = firsts(entries.keys, entries.moves)
    group, size = np.cumsum(new) - 1, int(new.sum())

    def total(values: Array) -> Array:
        return np.rint(np.bincount(group, weights=values, minlength=size)).astype(np.int64)

    half_points = columns.half_points[entries.games].astype(np.int64)
    scored = half_points != UNKNOWN
    halves = np.where(scored, np.where(entries.white, half_points, 2 - half_points), 0)
    white, black = (column[entries.games].astype(np.int64) for column in (columns.white_ratings, columns.black_ratings))
    rated = scored & (white > 0) & (black > 0)
    band = np.searchsorted(BANDS, (white + black) / 2, side="right") - 1
    bands = [rated & (band == number) for number in range(len(BANDS))]
    years = columns.years[entries.games]
    first, last = np.full(size, np.iinfo(np.uint16).max, np.uint16), np.zeros(size, np.uint16)
    np.minimum.at(first, group[years > 0], years[years > 0])
    np.maximum.at(last, group, years)
    found = Replies(
        np.searchsorted(chosen, entries.keys[new]),
        entries.moves[new],
        entries.after[new],
        total(np.ones(len(group))),
        total(~scored),
        total(halves),
        np.where(last > 0, first, 0),
        last,
        np.stack([total(inside) for inside in bands]),
        np.stack([total(np.where(inside, halves, 0)) for inside in bands]),
    )
    names = sorted(set(found.moves.tolist()), key=unpack_move)
    rank = np.zeros(1 << 16, dtype=np.int64)
    rank[names] = np.arange(len(names))
    return found.at(np.lexsort((rank[found.moves], -found.games, found.place)))


def laid_out(chosen: Array, entries: Entries, columns: GameColumns, counted: int) -> StarterColumns:
    """The table's columns.

    :param chosen: the keys of its positions, ascending; ``entries`` of theirs, as :func:`once` gives them.
    :param counted: games that were looked at.
    """
    went_on = entries.moves != NO_MOVE
    place = np.searchsorted(chosen, entries.keys)
    ended = np.bincount(place[~went_on], minlength=len(chosen))
    going = entries.at(went_on)
    replies = add_up(chosen, going, columns)
    by_game = np.lexsort((going.games, place[went_on]))
    where = place[went_on][by_game]
    games = np.bincount(where[firsts(where, going.games[by_game])], minlength=len(chosen))
    repeats = np.bincount(replies.place, weights=replies.games, minlength=len(chosen)).astype(np.int64) - games
    order, leads, roots = walk(chosen, replies)
    counts = np.bincount(replies.place, minlength=len(chosen))
    starts = np.cumsum(counts) - counts
    rows = np.repeat(starts[order] - (np.cumsum(counts[order]) - counts[order]), counts[order])
    rows += np.arange(len(rows))
    replies, leads = replies.at(rows), leads[rows]
    moves, changes, steps = numbered_steps(replies.moves, chosen[replies.place] ^ replies.after)
    figured = np.bincount(replies.place, weights=replies.games, minlength=len(chosen))[replies.place] >= FIGURED
    return StarterColumns(
        counted=np.array([counted], np.uint32),
        moves=moves,
        changes=changes,
        roots=chosen[order[:roots]],
        replies=fitting(counts[order], np.uint8),
        repeats=fitting(repeats[order], np.uint16),
        ended=fitting(ended[order], np.uint16),
        steps=steps,
        leads=np.packbits(leads),
        games=fitting(replies.games, np.uint32),
        unscored=fitting(replies.unscored[figured], np.uint16),
        halves=fitting(replies.halves[figured], np.uint32),
        first=fitting(replies.first[figured], np.uint16),
        last=fitting(replies.last[figured], np.uint16),
        band_games=fitting(replies.band_games[:, figured], np.uint32),
        band_halves=fitting(replies.band_halves[:, figured], np.uint32),
    )


def fitting(values: Array, dtype: type[np.unsignedinteger[Any]]) -> Array:
    """The values in a smaller type that holds them all."""
    assert not len(values) or (values.min() >= 0 and values.max() <= np.iinfo(dtype).max), "a number doesn't fit"
    return values.astype(dtype)


def walk(chosen: Array, replies: Replies) -> tuple[Array, Array, int]:
    """The order of positions: the roots, then those that replies lead to from there, level by level.

    :returns: places of the positions in order, which replies lead to a new one, and the number of roots.
    """
    at = np.minimum(np.searchsorted(chosen, replies.after), len(chosen) - 1)
    children = np.where(chosen[at] == replies.after, at, -1).tolist()
    bounds = np.searchsorted(replies.place, np.arange(len(chosen) + 1)).tolist()
    entered = np.zeros(len(chosen), dtype=np.bool_)
    entered[[child for child in children if child >= 0]] = True
    # Where no position leads to any of a few that lead to each other, one of them is made a root.
    roots = np.flatnonzero(~entered).tolist()
    reached: set[int] = set()
    below(roots, reached, children, bounds)
    for place in range(len(chosen)):
        if place not in reached:
            roots.append(place)
            below([place], reached, children, bounds)
    reached = set()
    order, leads = below(roots, reached, children, bounds)
    led = np.zeros(len(children), dtype=np.bool_)
    led[leads] = True
    return np.array(order, dtype=np.int64), led, len(roots)


def below(roots: list[int], reached: set[int], children: list[int], bounds: list[int]) -> tuple[list[int], list[int]]:
    """The positions not yet reached from some on, level by level, and the replies that first lead to each."""
    reached.update(roots)
    order, leads = list(roots), []
    for place in order:
        for reply in range(bounds[place], bounds[place + 1]):
            child = children[reply]
            if child >= 0 and child not in reached:
                reached.add(child)
                order.append(child)
                leads.append(reply)
    return order, leads


def numbered_steps(moves: Array, changes: Array) -> tuple[Array, Array, Array]:
    """The different pairs of move and change, and each reply's number among them."""
    order = np.lexsort((changes, moves))
    new = firsts(moves[order], changes[order])
    numbers = np.empty(len(order), dtype=np.int64)
    numbers[order] = np.cumsum(new) - 1
    return moves[order][new].astype(np.uint16), changes[order][new], fitting(numbers, np.uint16)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--base", type=Path, required=True, help="the games base to count")
    parser.add_argument("--out", type=Path, default=TARGET)
    args = parser.parse_args()
    with GamesBase.open(args.base) as base:
        columns = make(base.loaded.packed, base.loaded.columns)
    content = pack(columns)
    write(args.out, content)
    print(f"{args.out}: {len(columns.replies):,} positions, {len(columns.games):,} replies, {len(content):,} bytes")


if __name__ == "__main__":
    main()
