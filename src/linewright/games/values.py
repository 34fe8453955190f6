"""What the games base answers with: plain frozen values, no storage inside."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Final, Literal

#: In which order :meth:`linewright.games.games_base.GamesBase.games` lists games.
Order = Literal["newest", "strongest"]

#: What to do for more than the starter table holds.
ADD_GAMES: Final = "Add games: linewright base add FILE.pgn"

#: Moves that a :class:`GameRow` shows from the position asked for.
FOLLOWING_PLIES: Final = 8

#: Why a game was left out: it can't be read, or it is sound but no ordinary game from the start position.
SkipKind = Literal["broken", "set-up", "variant", "empty"]


@dataclass(frozen=True, slots=True)
class Reply:
    """One move played from a position, over all games that reached it by any move order.

    :param uci: the move in UCI, castling as the king's move (``e1g1``).
    :param san: the move in standard algebraic notation.
    :param games: games in which it was played from this position (a game that repeats both the position and
        the move counts once).
    :param share: ``games`` as a part (0-1) of the games that went on from the position.
    :param score: expected score (0-1) for the side to move: win 1, draw ½; ½ where ``scored`` is 0.
    :param low: lower end of the score's 95 % Wilson interval (0-1).
    :param high: upper end of it.
    :param mean_rating: mean rating of the players who chose the move, where known, rounded.
    :param last_year: the last year it was played in a dated game.
    :param scored: how many of ``games`` have a known result; score and interval rest on these.
    """

    uci: str
    san: str
    games: int
    share: float
    score: float
    low: float
    high: float
    mean_rating: int | None
    last_year: int | None
    scored: int = 0


@dataclass(frozen=True, slots=True)
class Replies:
    """The replies to a position, most played first.

    :param fen: the position asked for.
    :param total: games that went on from the position (each once, however often it repeats the position).
    :param replies: most played first, then by UCI.
    :param ended: games whose last move led to the position.
    """

    fen: str
    total: int
    replies: tuple[Reply, ...]
    ended: int = 0


@dataclass(frozen=True, slots=True)
class _TaggedGame:
    """One game's tags, as the base keeps them.

    :param id: its number in the base.
    :param result: ``1-0``, ``0-1``, ``1/2-1/2`` or ``*``.
    :param date: as PGN writes it, ``YYYY.MM.DD`` with ``??`` for what is unknown.
    :param plies: length in half-moves.
    """

    id: int
    white: str
    black: str
    white_rating: int | None
    black_rating: int | None
    result: str
    date: str
    year: int | None
    event: str
    site: str
    round: str
    eco: str
    plies: int


@dataclass(frozen=True, slots=True)
class GameTags(_TaggedGame):
    """One game's tags.

    :param source: the file it was added from.
    """

    source: str


@dataclass(frozen=True, slots=True)
class GameRow(_TaggedGame):
    """One game that went through a position.

    :param reached: half-moves played when it first reached the position.
    :param following: up to :data:`FOLLOWING_PLIES` moves from there, in SAN.
    :param source: the file it was added from.
    """

    reached: int
    following: tuple[str, ...]
    source: str


@dataclass(frozen=True, slots=True)
class Debut:
    """How a move has fared that may be new to the base.

    :param first: its earliest game, and the ``newest``; None where the base can't tell.
    :param points: its player's, over the ``scored`` games with a result.
    """

    first: GameTags | None
    newest: GameTags | None
    points: float
    scored: int


#: Of a move that no game has.
NO_DEBUT: Final = Debut(None, None, 0.0, 0)


@dataclass(frozen=True, slots=True)
class Player:
    """Someone whose games the base holds, under one spelling.

    :param name: as the games spell it, most often ``Surname, First`` or ``Surname,F``.
    :param games: how many.
    :param first_year: of the first dated game.
    :param last_year: of the last one.
    """

    name: str
    games: int
    first_year: int | None
    last_year: int | None


@dataclass(frozen=True, slots=True)
class BaseInfo:
    """What a base holds.

    :param positions: different positions reached in its games.
    :param players: different ones; spellings of one name are joined where the games allow it.
    :param sources: files added, each with the games it brought.
    :param size: bytes on disk.
    """

    path: Path
    games: int
    positions: int
    players: int
    first_year: int | None
    last_year: int | None
    rated: int
    sources: tuple[tuple[str, int], ...]
    size: int


@dataclass(frozen=True, slots=True)
class SkippedGame:
    """A game that was not added: the file, the line where the game starts there, and why.

    ``line`` counts from 1; for a broken move it is the line of the game's first line and the reason quotes
    the move.
    """

    file: str
    line: int
    reason: str
    kind: SkipKind = "broken"

    def __str__(self) -> str:
        return f"{self.file}:{self.line}: {self.reason}"


@dataclass(frozen=True, slots=True)
class Progress:
    """How far adding has come.

    :param file: what is being read.
    :param done: bytes read of the files as they lie on disk.
    :param total: bytes of all files on disk.
    :param games: games read so far (added, duplicates and skipped).
    :param seconds: since the start.
    """

    file: str
    done: int
    total: int
    games: int
    seconds: float

    @property
    def games_per_second(self) -> float:
        return self.games / self.seconds if self.seconds > 0 else 0.0


@dataclass(frozen=True, slots=True)
class AddReport:
    """What adding did.

    :param skipped: the first :data:`linewright.games.ingest.adding.LISTED_SKIPS` games left out, in reading order.
    :param skipped_count: all games left out.
    """

    added: int
    duplicates: int
    skipped: tuple[SkippedGame, ...]
    skipped_count: int
    seconds: float
