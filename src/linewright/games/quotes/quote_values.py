"""What looking for a quoted game answers with."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from linewright.games.values import GameTags

#: Where description and game differ: another move; a move described that the game hasn't; moves left out; two moves in
#: the other order; another sign of capture; then name, colours, year, event, result and the game's end.
DifferenceKind = Literal[
    "move", "unplayed", "left out", "order", "capture", "name", "colours", "year", "event", "result", "end"
]


@dataclass(frozen=True, slots=True)
class QuoteDifference:
    """One place where what was said is not what was played.

    :param said: as said, e.g. ``23.Rd7``; empty for what was left out.
    :param played: as played, e.g. ``23.Rxd7``; empty for what was not.
    :param ply: half-moves before the played move (or before the described one, where its number says); None for tags.
    :param words: the sentence that says it.
    """

    kind: DifferenceKind
    said: str
    played: str
    ply: int | None
    words: str


@dataclass(frozen=True, slots=True)
class QuotedGame:
    """A game that may be meant.

    :param likely: probability (0-1) that it is the one among the base's games, if one of them is meant.
    :param distance: of the described moves, in moves; :data:`linewright.games.quotes.alignment` says what counts how
        much.
    :param agreeing: described moves that were played, in the order given.
    :param first: half-moves before the first move that agrees; None where none does.
    :param moves: the whole game in SAN.
    """

    game: GameTags
    likely: float
    distance: float
    agreeing: int
    first: int | None
    differences: tuple[QuoteDifference, ...]
    moves: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class QuoteAnswer:
    """The answer to a quote.

    :param fits: the first candidate fits well enough to be called the game that is meant.
    :param moves_given: how many moves were described.
    :param candidates: likeliest first; where none fits, the nearest.
    """

    fits: bool
    moves_given: int
    candidates: tuple[QuotedGame, ...]
