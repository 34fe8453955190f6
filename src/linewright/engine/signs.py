"""How a score is shown: the trade's signs, words, and the expected score.

The thresholds are in pawns from White's side and stand here only. Their reason: the free engine that most people use
scales its score since version 15.1 (2022) so that 1.00 means winning half of the games against itself at move 32. By
its own win/draw/loss figures there, a lead of 0.3 wins about 4 games in 100, 0.8 about a third, and 1.7 98 in 100 (the
tests measure it again). Other engines' scales differ, by a third or so, which the steps are wide enough for. The signs
and their meanings are those of the PGN standard (1994), numeric annotation glyphs 10 to 19.
"""

from __future__ import annotations

from enum import Enum
from typing import Final

from linewright.engine.model import Expectation, Over, Score, Verdict

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

MINUS: Final = "\N{MINUS SIGN}"


class Sign(Enum):
    """The trade's signs with their numeric annotation glyphs and words."""

    BLACK_WINNING = ("−+", 19, "black is winning")
    BLACK_CLEAR = ("∓", 17, "black is clearly better")
    BLACK_SLIGHT = ("⩱", 15, "black is slightly better")
    EQUAL = ("=", 10, "the position is level")
    UNCLEAR = ("∞", 13, "the position is unclear")
    WHITE_SLIGHT = ("⩲", 14, "white is slightly better")
    WHITE_CLEAR = ("±", 16, "white is clearly better")
    WHITE_WINNING = ("+−", 18, "white is winning")

    def __init__(self, symbol: str, nag: int, words: str) -> None:
        self.symbol = symbol
        self.nag = nag
        self.words = words

    def __str__(self) -> str:
        return self.symbol


_STEPS: Final = (
    (WINNING, Sign.WHITE_WINNING, Sign.BLACK_WINNING),
    (CLEAR, Sign.WHITE_CLEAR, Sign.BLACK_CLEAR),
    (SLIGHT, Sign.WHITE_SLIGHT, Sign.BLACK_SLIGHT),
)


def sign_of(score: Score, expectation: Expectation | None = None) -> Sign:
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


def sign(verdict: Verdict) -> Sign:
    """The sign of a verdict; a game that is over is won or level."""
    if verdict.over is Over.CHECKMATE:
        return Sign.BLACK_WINNING if verdict.turn else Sign.WHITE_WINNING
    best = verdict.best
    return Sign.EQUAL if best is None else sign_of(best.score, best.expectation)


def words(verdict: Verdict) -> str:
    """A verdict in words: ``white is slightly better``, ``black mates in 5``, ``checkmate: white has won``."""
    if verdict.over is Over.CHECKMATE:
        return f"checkmate: {'black' if verdict.turn else 'white'} has won"
    if verdict.over is not None:
        return f"a draw: {verdict.over}"
    best = verdict.best
    if best is not None and best.score.mate is not None:
        return f"{'white' if best.score.mate > 0 else 'black'} mates in {abs(best.score.mate)}"
    return sign(verdict).words


def told(score: Score) -> str:
    """A score as evidence: ``+0.4``, ``−1.3``, ``0.0``, ``mate in 5 for black``."""
    if score.mate is not None:
        return f"mate in {abs(score.mate)} for {'white' if score.mate > 0 else 'black'}"
    tenths = round((score.pawns or 0.0) * 10)
    return f"{'+' if tenths > 0 else MINUS if tenths < 0 else ''}{abs(tenths) / 10:.1f}"


def work(nodes: int) -> str:
    """An amount of work: ``2 M nodes``, ``1.6 M nodes``, ``50 k nodes``."""
    if nodes >= 1_000_000:
        return f"{nodes / 1_000_000:.1f}".removesuffix(".0") + " M nodes"
    return f"{round(nodes / 1000)} k nodes" if nodes >= 1000 else f"{nodes} nodes"


def evidence(verdict: Verdict, after: str = "") -> str:
    """A verdict as evidence beside a sentence: ``Stockfish 15.1, 2 M nodes: −1.3 after 12…Qb6``.

    :param after: the move that led to the position, as it should be written.
    """
    tail = f" after {after}" if after else ""
    if verdict.best is None:
        return words(verdict) + tail
    return f"{verdict.engine}, {work(verdict.nodes)}: {told(verdict.best.score)}{tail}"


def expected(verdict: Verdict) -> float:
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
