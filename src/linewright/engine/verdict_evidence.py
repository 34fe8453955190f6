"""What an engine says of a position, as evidence: its score and work, or how the game is over."""

from __future__ import annotations

from typing import Final

from linewright.engine.model import EngineVerdict, Over, Score
from linewright.engine.signs import sign
from linewright.language.evidence import Evidence, Term, Value, plain, why

MINUS: Final = "\N{MINUS SIGN}"


def describe_verdict(verdict: EngineVerdict) -> Evidence:
    """A verdict in words: ``white is slightly better``, ``black mates in 5``, ``checkmate: white has won``."""
    if verdict.over is Over.CHECKMATE:
        return why("engine.won_black") if verdict.turn else why("engine.won_white")
    if verdict.over is not None:
        return why("engine.drawn", reason=over_term(verdict.over))
    best = verdict.best
    if best is None or best.score.mate is None:
        return sign(verdict).meaning
    mate = best.score.mate
    return why("engine.mates_white", moves=mate) if mate > 0 else why("engine.mates_black", moves=-mate)


def show_score(score: Score) -> Evidence:
    """A score: ``+0.4``, ``−1.3``, ``0.0``, ``mate in 5 for black``."""
    if score.mate is not None:
        mate = score.mate
        return why("engine.mate_white", moves=mate) if mate > 0 else why("engine.mate_black", moves=-mate)
    tenths = round((score.pawns or 0.0) * 10)
    return plain(f"{'+' if tenths > 0 else MINUS if tenths < 0 else ''}{abs(tenths) / 10:.1f}")


def show_work(nodes: int) -> Evidence:
    """An amount of work: ``2 M nodes``, ``1.6 M nodes``, ``50 k nodes``."""
    if nodes >= 1_000_000:
        return why("engine.nodes_m", number=f"{nodes / 1_000_000:.1f}".removesuffix(".0"))
    if nodes >= 1000:
        return why("engine.nodes_k", number=round(nodes / 1000))
    return why("engine.nodes", number=nodes)


def cite_verdict(verdict: EngineVerdict, after: str = "") -> Evidence:
    """A verdict as evidence beside a sentence: ``Stockfish 15.1, 2 M nodes: −1.3 after 12…Qb6``.

    :param after: the move that led to the position, as it should be written.
    """
    if verdict.best is None:
        described = describe_verdict(verdict)
        return why("engine.after", words=described, move=after) if after else described
    values: dict[str, Value] = {
        "engine": verdict.engine,
        "work": show_work(verdict.nodes),
        "score": show_score(verdict.best.score),
    }
    return why("engine.score_after", move=after, **values) if after else why("engine.score", **values)


def over_term(over: Over) -> Term:
    """How a game is over, as a term."""
    return Term(over.name.lower())
