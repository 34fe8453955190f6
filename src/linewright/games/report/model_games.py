"""Games worth showing from a position, by a stated formula, each with its reasons."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from linewright.board.structure.named_structures import structures
from linewright.games.index.arrays import I32, I64, U16, U32, U64, Floats
from linewright.games.index.lockstep import play
from linewright.games.index.move_effects import moving, running, square_changes, start_value
from linewright.games.index.position_keys import zobrist_tables
from linewright.games.ingest.columns import UNKNOWN
from linewright.games.query.batch_replay import board_after, following, trace
from linewright.games.query.game_filter import Colour
from linewright.games.query.listing import game_row
from linewright.games.query.loaded_games import LoadedGames
from linewright.games.query.position_entries import PositionEntries
from linewright.games.query.table_reads import GameTable, PackedGames, games_by_number
from linewright.games.values import GameRow

#: What each part weighs; together 1. The reasons stand in :func:`rank`.
STRENGTH, DECISIVENESS, SHORTNESS, STRUCTURE, TYPICALITY = 0.30, 0.20, 0.15, 0.20, 0.15

#: Mean ratings (points) that count nothing and in full: a strong club player, and the best of the world.
WEAK, STRONG = 2200, 2800
#: An unrated game counts as one a third of the way up: most are old master games.
UNRATED: Final = 1 / 3

#: A lost game of the side that the lesson is for still shows what to avoid.
LOST: Final = 0.4

#: Moves: a game so short shows the whole plan on one page; one so long has left the opening far behind; and one
#: shorter than the least was agreed or blundered, and shows nothing.
SHORT, LONG, LEAST = 25, 70, 15

#: Half-moves after the position at which its typical pawn structure is looked for, and for how many it must stand to
#: count in full (20 moves: opening's end to endgame).
SETTLED, STANDING = 12, 40

#: Half-moves after the position over which a game's moves are compared with those of the others.
COMPARED: Final = 12


@dataclass(frozen=True, slots=True)
class Merits:
    """The formula's parts, 0-1 each, and their weighted sum."""

    strength: float
    decisiveness: float
    shortness: float
    structure: float
    typicality: float
    total: float


@dataclass(frozen=True, slots=True)
class ModelGame:
    """A game worth showing.

    :param stood: half-moves after the position in which the typical pawn structure stood.
    :param why: one line that says what speaks for it.
    """

    game: GameRow
    merits: Merits
    stood: int
    why: str


#: Numbers of the pawns alone.
_PAWNS: Final = np.where(np.isin(np.arange(13), (1, 7))[:, None], zobrist_tables()[0], np.uint64(0))
_PAWNS_MOVED: Final = moving(_PAWNS)


def _pawn_keys(games: U32, lasts: I64, packed: PackedGames) -> tuple[U64, I64]:
    """The pawns' key in each position of some games, up to a number of half-moves.

    :param lasts: half-moves, shape (games,).
    :returns: the keys, game after game, and where each game's last is.
    """
    starts = packed.bounds[games]
    lengths = np.minimum(packed.bounds[games.astype(np.int64) + 1] - starts, lasts)
    bounds = np.concatenate([[0], np.cumsum(lengths)])
    moves = packed.moves[np.arange(bounds[-1]) + np.repeat(starts - bounds[:-1], lengths)]
    changes = square_changes(moves, play(moves, bounds), _PAWNS, _PAWNS_MOVED)
    return running(changes, start_value(_PAWNS), bounds), bounds[1:] + np.arange(len(games))


def _structures(games: U32, plies: I32, packed: PackedGames) -> U64:
    """The pawns' key a while after each game's ply, 0 where the game had ended or no pawn stood."""
    wanted = plies.astype(np.int64) + SETTLED
    keys, lasts = _pawn_keys(games, wanted, packed)
    reached = np.diff(packed.bounds)[games] >= wanted
    return np.where(reached, keys[lasts], np.uint64(0))


def _standing(games: U32, plies: I32, packed: PackedGames, wanted: np.uint64) -> I64:
    """For how many half-moves after each game's ply the pawns stood so."""
    keys, lasts = _pawn_keys(games, np.diff(packed.bounds)[games], packed)
    firsts = np.concatenate([[0], lasts[:-1] + 1]) + plies
    counted = np.concatenate([[0], np.cumsum(keys == wanted)])
    found: I64 = counted[lasts + 1] - counted[firsts + 1]
    return found


def _typical_structure(games: U32, plies: I32, packed: PackedGames) -> tuple[np.uint64, int | None]:
    """The commonest pawn structure a while after the position, as a key, and a game that has it."""
    keys = _structures(games, plies, packed)
    known = keys[keys > 0]
    if not len(known):
        return np.uint64(0), None
    different, counts = np.unique(known, return_counts=True)
    best = different[int(np.argmax(counts))]
    return best, int(np.flatnonzero(keys == best)[0])


def _typicality(paths: U16) -> Floats:
    """Mean share of each game's next moves among the games that had played the same so far, shape (games,)."""
    groups = np.zeros(len(paths), dtype=np.int64)
    shares, lengths = np.zeros(len(paths)), np.zeros(len(paths))
    for column in paths.T:
        sizes = np.bincount(groups)[groups]
        _, groups = np.unique(groups << 16 | column, return_inverse=True)
        going = column > 0
        shares += np.where(going, np.bincount(groups)[groups] / sizes, 0)
        lengths += going
    return np.where(lengths > 0, shares / np.maximum(lengths, 1), 0)


def _merits(games: U32, table: GameTable, stood: I64, typicality: Floats, side: Colour | None) -> Floats:
    """The parts of the formula, shape (games, 5)."""
    white, black = (r[games].astype(np.float64) for r in (table.white_ratings, table.black_ratings))
    strength = np.where(
        (white > 0) & (black > 0), np.clip(((white + black) / 2 - WEAK) / (STRONG - WEAK), 0, 1), UNRATED
    )
    half_points = table.half_points[games]
    won, lost = (2, 0) if side != "black" else (0, 2)
    decisive = np.select([half_points == won, half_points == lost], [1.0, 1.0 if side is None else LOST], 0.0)
    length = (table.plies[games].astype(np.float64) + 1) // 2
    shortness = np.where(length < LEAST, 0.0, np.clip((LONG - length) / (LONG - SHORT), 0, 1))
    decisive[length < LEAST] = 0
    structure = np.clip(stood / STANDING, 0, 1)
    return np.stack([strength, decisive, shortness, structure, typicality], axis=1)


def rank(loaded: LoadedGames, here: PositionEntries, limit: int, side: Colour | None = None) -> tuple[ModelGame, ...]:
    """The games most worth showing from a position.

    Each part lies in 0-1; the sum is

    ``0.30·strength + 0.20·decisiveness + 0.15·shortness + 0.20·structure + 0.15·typicality``

    - *strength*: the players' mean rating between 2200 and 2800. It weighs most, since a pupil copies the moves: they
      should be good ones. An unrated game counts as a third.
    - *decisiveness*: somebody won; with ``side``, that side did (its losses count 0.4). A plan that wins is remembered.
    - *shortness*: 1 up to 25 moves, falling to 0 at 70; a lesson has minutes, not hours. Under 15 moves nothing counts
      but the rest: such games were agreed or blundered.
    - *structure*: for how long after the position its typical pawn structure stood, in full at 20 moves. The typical
      one is the commonest among all the games six moves after the position. What is taught of plans needs it standing.
    - *typicality*: the mean share of the game's next six moves among games that had played alike so far; a model game
      should follow the line it is a model for.

    The weights are common sense, not measured: they order, they prove nothing.

    :param side: the one that the lesson is for; None: either.
    """
    table, packed, games = loaded.table, loaded.packed, here.through()
    plies = trace(here.position, games, packed).plies
    games, plies = games[plies >= 0], plies[plies >= 0]
    if not len(games):
        return ()
    wanted, example = _typical_structure(games, plies, packed)
    lasted = np.zeros(len(games), dtype=np.int64)
    if example is not None:
        lasted = _standing(games, plies, packed, wanted)
    typicality = _typicality(following(games, plies, packed, COMPARED))
    parts = _merits(games, table, lasted, typicality, side)
    totals = parts @ np.array([STRENGTH, DECISIVENESS, SHORTNESS, STRUCTURE, TYPICALITY])
    best = np.lexsort((games, -totals))[:limit]
    rows = games_by_number(loaded.con, games[best].tolist())
    named = _named(packed, games, plies, example)
    found = []
    for number in best.tolist():
        game = int(games[number])
        strong, decisive, short, standing, typical = (float(part) for part in parts[number])
        merits = Merits(strong, decisive, short, standing, typical, float(totals[number]))
        row = game_row(rows[game], packed.of(game), int(plies[number]))
        why = _why(row, merits, int(lasted[number]), named, known=table.half_points[game] != UNKNOWN)
        found.append(ModelGame(row, merits, int(lasted[number]), why))
    return tuple(found)


def _named(packed: PackedGames, games: U32, plies: I32, example: int | None) -> str:
    """The typical structure in the trade's words, where it has a name."""
    if example is None:
        return ""
    board = board_after(packed.of(int(games[example]))[: int(plies[example]) + SETTLED])
    names = [named.structure.value for named in structures(board)]
    return names[0] if names else "the typical pawn structure"


def _why(game: GameRow, merits: Merits, stood: int, named: str, known: bool) -> str:
    """What speaks for the game, the weightiest parts in full words."""
    moves = (game.plies + 1) // 2
    parts = []
    if game.white_rating and game.black_rating:
        parts.append(f"players rated {(game.white_rating + game.black_rating) // 2} on average")
    if game.result in ("1-0", "0-1"):
        parts.append(f"{'White' if game.result == '1-0' else 'Black'} wins in {moves} moves")
    else:
        parts.append(f"{'drawn' if known else 'no result known'} in {moves} moves")
    if stood:
        parts.append(f"{named} stood for {(stood + 1) // 2} moves")
    parts.append(f"its next moves are the choice of {100 * merits.typicality:.0f} % on average")
    return "; ".join(parts)
