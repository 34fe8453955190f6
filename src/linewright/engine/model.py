"""What an engine says of a position: verdicts, their lines and scores, and troubles."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

import chess


@dataclass(frozen=True, slots=True)
class Score:
    """A score, always from White's side; exactly one of the two is given.

    :param centipawns: hundredths of a pawn, positive when White is better.
    :param mate: moves to mate, positive when White mates, negative when Black does; never 0.
    """

    centipawns: int | None = None
    mate: int | None = None

    def __post_init__(self) -> None:
        if (self.centipawns is None) == (self.mate is None) or self.mate == 0:
            raise ValueError("a score is either centipawns or a mate in one move or more")

    @property
    def pawns(self) -> float | None:
        """The score in pawns; None for a mate."""
        return None if self.centipawns is None else self.centipawns / 100

    def order(self) -> tuple[int, int]:
        """Sorts scores, best for White last: any mate beats any pawns, and the shorter mate the longer one."""
        if self.mate is not None:
            return (1, -self.mate) if self.mate > 0 else (-1, -self.mate)
        return (0, self.centipawns or 0)


@dataclass(frozen=True, slots=True)
class WinDrawLoss:
    """How games are expected to end, as the engine gives it: chances of 0-1 that sum up to 1, from White's side."""

    win: float
    draw: float
    loss: float

    @property
    def points(self) -> float:
        """White's expected score, 0-1."""
        return self.win + self.draw / 2


@dataclass(frozen=True, slots=True)
class Line:
    """One line of an engine's thoughts.

    :param moves: its moves as UCI, the first one from the position asked about; at least one.
    """

    score: Score
    expectation: WinDrawLoss | None
    moves: tuple[str, ...]


class Over(StrEnum):
    """Why there is nothing to ask: the game is over on the board (FIDE Laws 5.1, 5.2)."""

    CHECKMATE = "checkmate"
    STALEMATE = "stalemate"
    DEAD = "neither side can mate"


@dataclass(frozen=True, slots=True)
class EngineVerdict:
    """What an engine says of a position.

    :param fen: the position as EPD (the FEN without its counters).
    :param lines: its lines, best for the side to move first; none when the game is over.
    :param engine: the engine's name and version as it gives them; empty when it wasn't asked.
    :param nodes: positions that it was asked to look at.
    :param depth: plies that it reached on its best line.
    :param over: why the game is over, where it is.
    """

    fen: str
    lines: tuple[Line, ...]
    engine: str
    nodes: int
    depth: int
    over: Over | None = None

    @property
    def best(self) -> Line | None:
        """The best line, None when the game is over."""
        return self.lines[0] if self.lines else None

    @property
    def turn(self) -> chess.Color:
        """The side to move."""
        return self.fen.split()[1] == "w"


@dataclass(frozen=True, slots=True)
class EngineTrouble:
    """Why there is no verdict on a position.

    :param fen: as in :class:`EngineVerdict`.
    :param what: what went wrong, with the engine's name.
    :param todo: what the user can do.
    """

    fen: str
    what: str
    todo: str

    def __str__(self) -> str:
        return f"{self.what}. {self.todo}"
