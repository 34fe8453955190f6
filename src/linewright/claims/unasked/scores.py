"""Verdicts in pawns: what a move costs, and which moves are as good as the best."""

from __future__ import annotations

import chess

from linewright.engine.model import EngineVerdict, Score
from linewright.engine.verdict_evidence import over_term, show_score
from linewright.language.evidence import Value

#: A mate in pawns: beyond every score that still needs playing, so that a mate missed counts as much as a rook and
#: a queen. Our choice.
MATE = 14.0


def loss(turn: chess.Color, before: EngineVerdict, after: EngineVerdict) -> float:
    """Pawns that a move costs the side that made it, 0 and up.

    :param turn: the side that moved.
    """
    lost = pawns(before) - pawns(after)
    return max(0.0, lost if turn else -lost)


def pawns(verdict: EngineVerdict) -> float:
    """A verdict in pawns from White's side, held within ``MATE``; a game that is over counts as mate or 0."""
    if verdict.best is None:
        return (-MATE if verdict.turn else MATE) if verdict.over == "checkmate" else 0.0
    return _in_pawns(verdict.best.score)


def good_moves(verdict: EngineVerdict, within: float) -> tuple[chess.Move, ...]:
    """The first moves of those lines that are at most so many pawns worse than the best one, best first.

    :param within: pawns, 0 and up.
    """
    return tuple(
        chess.Move.from_uci(line.moves[0])
        for line in verdict.lines
        if abs(_in_pawns(line.score) - pawns(verdict)) <= within
    )


def score_after(verdict: EngineVerdict) -> Value:
    """The score alone: ``−1.3``, or how the game is over."""
    if verdict.best is not None:
        return show_score(verdict.best.score)
    return over_term(verdict.over) if verdict.over is not None else ""


def _in_pawns(score: Score) -> float:
    if score.mate is not None:
        return MATE if score.mate > 0 else -MATE
    return max(-MATE, min(MATE, score.pawns or 0.0))
