"""How a score is shown: the trade's signs, and the expected score.

The thresholds are in pawns from White's side and stand here only. Their reason: the free engine that most people use
scales its score since version 15.1 (2022) so that 1.00 means winning half of the games against itself at move 32. By
its own win/draw/loss figures there, a lead of 0.3 wins about 4 games in 100, 0.8 about a third, and 1.7 98 in 100 (the
tests measure it again). Other engines' scales differ, by a third or so, which the steps are wide enough for. The signs
and their meanings are those of the PGN standard (1994), numeric annotation glyphs 10 to 19.
"""

from __future__ import annotations

from enum import Enum
from typing import Final

from linewright.engine.model import EngineVerdict, Over, Score, WinDrawLoss
from linewright.language.evidence import Evidence, why

#: Pawns from which on a side is said to be slightly better: below, it hardly ever wins.
SLIGHT: Final = 0.3
#: Pawns from which on a side is clearly better: it wins a good part of the games.
CLEAR: Final = 0.8
#: Pawns from which on a side is winning: it wins nearly all of them.
WINNING: Final = 1.7
#: A position is unclear when both sides win more often than this, whatever the score: chances of 0-1.
UNCLEAR: Final = 0.25
#: Pawns that make ten to one in chances of the logistic below.
LOGISTIC_SCALE: Final = 4.0


class Sign(Enum):
    """The trade's signs with their numeric annotation glyphs."""

    BLACK_WINNING = ("−+", 19)
    BLACK_CLEAR = ("∓", 17)
    BLACK_SLIGHT = ("⩱", 15)
    EQUAL = ("=", 10)
    UNCLEAR = ("∞", 13)
    WHITE_SLIGHT = ("⩲", 14)
    WHITE_CLEAR = ("±", 16)
    WHITE_WINNING = ("+−", 18)

    def __init__(self, symbol: str, nag: int) -> None:
        self.symbol = symbol
        self.nag = nag

    @property
    def meaning(self) -> Evidence:
        """What it means: ``white is slightly better``."""
        return why(f"engine.{self.name.lower()}")

    def __str__(self) -> str:
        return self.symbol


_STEPS: Final = (
    (WINNING, Sign.WHITE_WINNING, Sign.BLACK_WINNING),
    (CLEAR, Sign.WHITE_CLEAR, Sign.BLACK_CLEAR),
    (SLIGHT, Sign.WHITE_SLIGHT, Sign.BLACK_SLIGHT),
)


def sign_of(score: Score, expectation: WinDrawLoss | None = None) -> Sign:
    """The sign of a score.

    A mate is winning. Unclear is only said where the engine gives its expectation and both sides win more often
    than ``UNCLEAR``.
    """
    if score.mate is not None:
        return Sign.WHITE_WINNING if score.mate > 0 else Sign.BLACK_WINNING
    if expectation is not None and min(expectation.win, expectation.loss) > UNCLEAR:
        return Sign.UNCLEAR
    pawns = score.pawns or 0.0
    for least, white, black in _STEPS:
        if abs(pawns) >= least:
            return white if pawns > 0 else black
    return Sign.EQUAL


def sign(verdict: EngineVerdict) -> Sign:
    """The sign of a verdict; a game that is over is won or level."""
    if verdict.over is Over.CHECKMATE:
        return Sign.BLACK_WINNING if verdict.turn else Sign.WHITE_WINNING
    best = verdict.best
    return Sign.EQUAL if best is None else sign_of(best.score, best.expectation)


def expected(verdict: EngineVerdict) -> float:
    """White's expected score, 0-1: the engine's own expectation where it gives one, else :func:`logistic`."""
    if verdict.over is Over.CHECKMATE:
        return 0.0 if verdict.turn else 1.0
    best = verdict.best
    if best is None:
        return 0.5
    return best.expectation.points if best.expectation is not None else logistic(best.score)


def logistic(score: Score) -> float:
    """White's expected score from a score alone: ``1 / (1 + 10 ** (-pawns / 4))``, mates 1 and 0.

    The formula of Fischer and Kannan's fit of game results to pawn leads (2007); from memory.
    """
    if score.mate is not None:
        return 1.0 if score.mate > 0 else 0.0
    return float(1 / (1 + 10 ** (-(score.pawns or 0.0) / LOGISTIC_SCALE)))
