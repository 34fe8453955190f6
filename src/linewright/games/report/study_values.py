"""What studying a position answers with: plain frozen values, no storage inside."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

from linewright.games.report.expectation import RatingExpectation
from linewright.games.values import Reply

#: Games below which numbers are called small, and no share or score is shown without its interval: a 95 % interval
#: of a share is then wider than about ±18 % (Wilson, around one half).
FEW_GAMES: Final = 30

Direction = Literal["rising", "falling", "steady", "unclear"]


@dataclass(frozen=True, slots=True)
class Proportion:
    """How many of some games, with the share's 95 % Wilson interval (0-1)."""

    games: int
    of: int
    share: float
    low: float
    high: float

    @property
    def few(self) -> bool:
        """Too few games to show the share without its interval."""
        return self.of < FEW_GAMES


@dataclass(frozen=True, slots=True)
class Scored:
    """A score of the side to move (0-1) with its 95 % Wilson interval.

    :param games: games with a known result that it rests on; where 0, score is ½ and the interval 0 to 1.
    """

    games: int
    score: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Period:
    """Some years of a reply: its part of the position's games in them, and how it scored.

    :param first: first year; ``last``: last year, both included.
    """

    first: int
    last: int
    part: Proportion
    scored: Scored


@dataclass(frozen=True, slots=True)
class Trend:
    """How a reply's popularity went, period by period (dated games only), oldest first.

    :param direction: the last period's share against that of all periods before: rising or falling where the two
        intervals don't touch, steady where they do, unclear where either rests on too few games.
    """

    periods: tuple[Period, ...]
    direction: Direction


@dataclass(frozen=True, slots=True)
class FollowUpPlan:
    """What the side that chose the reply does next: its own next three moves, whatever the other side does.

    :param moves: in the order most often chosen, in SAN.
    :param line: the most frequent game continuation with just these moves, both sides', in SAN, the reply first.
    :param part: games with this plan, of those that went on for three more moves (in whatever order of the three).
    :param scored: how the plan scored.
    """

    moves: tuple[str, ...]
    line: tuple[str, ...]
    part: Proportion
    scored: Scored


@dataclass(frozen=True, slots=True)
class FirstPlayed:
    """The earliest dated game with the reply, of all games, whatever the filter.

    :param game: its number in the base.
    :param by: the player who chose the reply.
    """

    game: int
    date: str
    year: int
    by: str
    white: str
    black: str
    event: str


@dataclass(frozen=True, slots=True)
class StudiedReply:
    """One reply with all that the base knows of it.

    :param part: its games of all that went on from the position.
    :param expectation: its score against what the ratings predict; None without rated games.
    :param plans: most frequent first.
    :param first: None where no game of the base with it is dated.
    """

    reply: Reply
    part: Proportion
    expectation: RatingExpectation | None
    trend: Trend
    plans: tuple[FollowUpPlan, ...]
    first: FirstPlayed | None


@dataclass(frozen=True, slots=True)
class Arrival:
    """A move that led to the position.

    :param move: in SAN, with its number in the example.
    :param example: the commonest order of moves ending in it, from the start.
    """

    move: str
    part: Proportion
    example: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class MoveOrder:
    """An order of moves from the start position to the one asked for, in SAN, and the games that chose it."""

    moves: tuple[str, ...]
    part: Proportion


@dataclass(frozen=True, slots=True)
class Study:
    """A position as the games know it.

    :param fen: the position asked for.
    :param only: the filter in words; empty where all games count.
    :param total: games that went on from the position (each once).
    :param ended: games whose last move led to it.
    :param replies: most played first.
    :param arrivals: last moves that led to it, most frequent first, with the filter.
    :param orders: whole orders of moves that led to it, most frequent first; ``orders_known``: how many there are.
    """

    fen: str
    only: str
    total: int
    ended: int
    replies: tuple[StudiedReply, ...]
    arrivals: tuple[Arrival, ...]
    orders: tuple[MoveOrder, ...]
    orders_known: int
