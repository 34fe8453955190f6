"""Finding the game that a description means: names misheard, moves wrong, missing or swapped."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import chess
import numpy as np

from linewright.games.index.arrays import I64, U16, U32, Floats
from linewright.games.index.index_reader import entries_at
from linewright.games.index.position_keys import position_key
from linewright.games.names.name_lookup import plain
from linewright.games.names.name_similarity import evidence, likeness
from linewright.games.query.batch_replay import sans, trace
from linewright.games.query.filtering import HALF_POINTS
from linewright.games.query.loaded_games import LoadedGames
from linewright.games.query.table_reads import GameTable, games_by_number
from linewright.games.quotes.alignment import SAME, SWAP, align, arrays_of, common_moves, distances
from linewright.games.quotes.quote_differences import find_differences
from linewright.games.quotes.quote_parser import DescribedGame
from linewright.games.quotes.quote_values import QuoteAnswer, QuotedGame
from linewright.games.values import GameTags
from linewright.support.errors import UnusableInput

# All evidence is weighed in nats (natural log-odds), so that moves, names and years can be added up.

#: For each described move that differs. One in five is remembered wrong (the reach asked for), and a move that another
#: game has in the same place by chance is one of some thirty: ln(0.8 · 30 / 0.2) is about 5; less, since errors come
#: together.
MOVE_NATS: Final = 3.5

#: A name without a right letter; the least that a name can say (the speaker mixed the players up once in thirty).
NAME_PENALTY, NAME_LEAST = 9.0, -3.5

#: Names given with the colours exchanged: speakers name the winner first as often as White.
COLOURS_NATS: Final = 0.7

#: The year is right, one off, a few years off, or wrong altogether; a year is one of some fifty.
YEAR_NATS: Final = ((0, 3.0), (1, 1.5), (3, 0.0))
YEAR_WRONG: Final = -2.5

#: The result is right or wrong (one of three); all words of the event are right, or none is.
RESULT_RIGHT, RESULT_WRONG = 0.8, -1.5
EVENT_RIGHT, EVENT_WRONG = 3.0, -0.5

#: The game went through the position described: next to certain where any game of the base did, but boards are misread.
POSITION_RIGHT: Final = 5.0

#: Games whose moves are laid beside the described ones one by one; the others are further off than all of them.
ALIGNED: Final = 600

#: Games through the position that are all aligned, however many moves they share.
FROM_POSITION: Final = 4000

#: Candidates given.
GIVEN: Final = 3

#: A description fits where at most this part of its moves differs (chance alone agrees with about a third to a half of
#: the moves somewhere in 170,000 games: opening moves are shared) …
FITTING_PART: Final = 0.45
#: … and the evidence together is worth this many nats: a description that any of a thousand games would fit is none.
FITTING_NATS: Final = 4.0


@dataclass(frozen=True, slots=True)
class Weighed:
    """Games with what speaks for them, shape (games,) each.

    :param firsts: half-moves at which the description begins; -1: anywhere.
    :param distance: in moves; ``nats`` all evidence together.
    """

    games: U32
    firsts: I64
    distance: Floats
    nats: Floats


def find_quoted(loaded: LoadedGames, tokens: U16, described: DescribedGame) -> QuoteAnswer:
    """Find the game that is meant.

    :param tokens: as :func:`linewright.games.quotes.alignment.tokens_of` gives them.
    :raises UnusableInput: where there is too little to identify a game.
    """
    if not (described.moves or described.players):
        raise UnusableInput("too little to identify a game", "Give moves, or a player's name.")
    search = _QuoteSearch(loaded, tokens, described)
    weighed = search.weigh(search.chosen())
    order = np.lexsort((weighed.games, -weighed.nats))
    best = order[:GIVEN]
    likely = np.exp(weighed.nats[order] - weighed.nats[order[0]])
    likely /= likely.sum()
    rows = games_by_number(loaded.con, weighed.games[best].tolist())
    given = []
    for place, number in enumerate(best.tolist()):
        game = int(weighed.games[number])
        given.append(search.candidate(rows[game], int(weighed.firsts[number]), float(likely[place])))
    return QuoteAnswer(_fits(described, weighed, best, given), len(described.moves), tuple(given))


class _QuoteSearch:
    """A description, laid beside the games of a base."""

    def __init__(self, loaded: LoadedGames, tokens: U16, described: DescribedGame) -> None:
        self._table, self._packed, self._tokens = loaded.table, loaded.packed, tokens
        self._described = described
        self._arrays = arrays_of(described.moves)
        #: What the tags say for each game of the base, and the games through the position described.
        self._tags = _tag_nats(described, loaded.table)
        self._through = np.zeros(0, dtype=np.uint32)
        if described.position is not None and described.position.fen() != chess.STARTING_FEN:
            self._through = np.unique(entries_at(loaded.con, position_key(described.position))[0])

    def chosen(self) -> U32:
        """The games worth aligning: those with the most described moves in order, and the tags that fit."""
        plies, through = self._table.plies, self._through
        nats = self._tags + np.where(plies > 0, 0.0, -np.inf)
        if self._described.moves:
            nats = nats + MOVE_NATS * common_moves(self._tokens, self._packed.bounds, self._described.moves)
        nats[through] += POSITION_RIGHT
        most = min(ALIGNED, len(nats))
        chosen = np.argpartition(-nats, most - 1)[:most].astype(np.uint32)
        if len(through) > FROM_POSITION:
            through = through[np.argpartition(-nats[through], FROM_POSITION - 1)[:FROM_POSITION]]
        chosen = np.union1d(chosen, through)
        return chosen[plies[chosen] > 0].astype(np.uint32)

    def weigh(self, games: U32) -> Weighed:
        """Align the description with each of some games."""
        firsts = np.full(len(games), -1, dtype=np.int64)
        inside = np.isin(games, self._through)
        position = self._described.position
        if position is not None:
            if position.fen() == chess.STARTING_FEN:
                firsts[:] = 0
            firsts[inside] = trace(position, games[inside], self._packed).plies
        distance = distances(self._arrays, self._tokens, self._packed.bounds, games, firsts)
        nats = self._tags[games] - MOVE_NATS * distance + POSITION_RIGHT * inside
        return Weighed(games, firsts, distance, nats)

    def candidate(self, game: GameTags, first: int, likely: float) -> QuotedGame:
        """A game that may be meant, with all that differs.

        :param first: half-moves at which the description begins; -1: anywhere.
        """
        bounds = self._packed.bounds
        moves = sans(chess.Board(), self._packed.of(game.id))
        played = self._tokens[bounds[game.id] : bounds[game.id + 1]]
        distance, steps = align(self._arrays, played, first)
        agreeing = [s for s in steps if s.how in (SAME, SWAP)]
        return QuotedGame(
            game=game,
            likely=likely,
            distance=distance,
            agreeing=sum(len(s.described) for s in agreeing),
            first=min(agreeing[0].played) if agreeing else None,
            differences=find_differences(self._described, game, moves, played, steps),
            moves=moves,
        )


def _fits(described: DescribedGame, weighed: Weighed, best: I64, given: list[QuotedGame]) -> bool:
    if not given:
        return False
    if described.moves and len(described.moves) - given[0].agreeing > FITTING_PART * len(described.moves):
        return False
    # What speaks for a game beyond the described moves that fit it: a game that shares nothing else is found by them
    # alone.
    return bool(weighed.nats[best[0]] + MOVE_NATS * given[0].agreeing >= FITTING_NATS)


def _tag_nats(described: DescribedGame, table: GameTable) -> Floats:
    """What names, year, event and result say for each game, shape (games,)."""
    nats = _name_nats(described.players, table)
    if described.year is not None:
        off = np.abs(table.years.astype(np.int64) - described.year)
        by_year = np.full(len(off), YEAR_WRONG)
        for most, worth in reversed(YEAR_NATS):
            by_year[off <= most] = worth
        nats += np.where(table.years > 0, by_year, 0.0)
    if described.result is not None:
        right = table.half_points == HALF_POINTS[described.result]
        nats += np.where(right, RESULT_RIGHT, np.where(table.half_points <= 2, RESULT_WRONG, 0.0))
    if described.event:
        nats += event_nats(described.event, table)[table.event]
    return nats


def event_nats(described: str, table: GameTable) -> Floats:
    """For each event's name: by the part of the described words that it has."""
    words = [word for word in plain(described).split() if len(word) > 2]
    if not words:
        return np.zeros(len(table.events))
    part = np.array([sum(word in name for word in words) / len(words) for name in map(plain, table.events)])
    return np.where(part > 0, EVENT_RIGHT * part, EVENT_WRONG)


def _name_nats(players: tuple[str, ...], table: GameTable) -> Floats:
    if not players:
        return np.zeros(len(table.plies))
    real = table.plies > 0
    size = len(table.names)
    games = np.bincount(table.white[real], minlength=size) + np.bincount(table.black[real], minlength=size)
    by_name = [evidence(likeness(name, table.names), games, NAME_PENALTY, NAME_LEAST) for name in players[:2]]
    white, black = by_name[0][table.white], by_name[0][table.black]
    if len(by_name) == 1:
        best: Floats = np.maximum(white, black)
        return best
    as_given = white + by_name[1][table.black]
    exchanged = black + by_name[1][table.white] - COLOURS_NATS
    return np.maximum(as_given, exchanged)
