"""Claims of check, mate and threats of mate, decided by the Laws and by exact search of few moves."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import chess

from linewright.board.tactics.mates import QUIET_MOVES, cannot_stop_mate, mate_in, mates_at_once
from linewright.board.tactics.motifs import as_if_to_move
from linewright.board.tactics.threats import Aim, threats
from linewright.claims.claim_kind import ClaimKind, Facts
from linewright.claims.evidence_values import color_term
from linewright.claims.kinds.tactic_finder import tactic_finder
from linewright.claims.occurrences import Occurrence
from linewright.claims.rulings import Ruling, fails, holds, negated, ruled, undecided
from linewright.claims.sentence.men import men_on
from linewright.engine.signs import CLEAR, WINNING
from linewright.engine.verdict_evidence import cite_verdict
from linewright.language.evidence import NOTHING, Row, why
from linewright.lesson.finding import Kind

#: Deepest mate looked for without an engine.
DEEPEST: Final = 3
#: A side that an engine gives less than this, in pawns, threatens no mate that has to be dealt with.
SAFE: Final = -CLEAR


@dataclass(frozen=True, slots=True)
class MateClaim:
    """A claim of check, mate or a threat of mate.

    :param sort: ``check``, ``mate``, ``in`` (a number of moves), ``threat``, ``unstoppable``.
    :param moves: the number of moves, where one is said.
    :param on: the square that mate is threatened on.
    :param color: who gives it, when known.
    """

    sort: str
    moves: int = 0
    on: chess.Square | None = None
    color: chess.Color | None = None
    denied: bool = False


def _build(said: Occurrence, denied: bool) -> MateClaim:
    moves = int(said.value("moves") or 0)
    return MateClaim(said.form.name, moves, said.square("on"), _giver(said), denied != bool(said.value("denied")))


def _giver(said: Occurrence) -> chess.Color | None:
    """Who gives check or mate: the one named, or the other side of the one that suffers it."""
    if said.value("giver"):
        return said.color("giver")
    sufferer = said.color("sufferer")
    return None if sufferer is None else not sufferer


def decide(claim: MateClaim, facts: Facts) -> Ruling:
    """By the Laws for check and mate (FIDE 3.9, 5.1.1); mates ahead by search, then by the engine's verdict."""
    ruling = _RULES[claim.sort](claim, facts)
    if not claim.denied:
        return ruling
    return negated(ruling) if claim.sort in ("check", "mate") else undecided(ruling.evidence)


def _check(claim: MateClaim, facts: Facts) -> Ruling:
    board = facts.board
    if not board.is_check():
        return fails(why("mating.not_in_check", side=color_term(board.turn)))
    if claim.color is board.turn:
        return fails(why("mating.other_in_check", side=color_term(board.turn), other=color_term(not board.turn)))
    return holds(why("mating.check", men=men_on(board, board.checkers())))


def _mate(claim: MateClaim, facts: Facts) -> Ruling:
    board = facts.board
    if board.is_checkmate():
        return ruled(claim.color in (None, not board.turn), why("mating.checkmated", side=color_term(board.turn)))
    # "Queen f2, it's mate": said just before the move, too; and of a mate that can't be stopped.
    return _soon(claim, facts, DEEPEST)


def _in(claim: MateClaim, facts: Facts) -> Ruling:
    return _soon(claim, facts, claim.moves)


def _soon(claim: MateClaim, facts: Facts, most: int) -> Ruling:
    """Whether a side mates in so many moves: exact for few, else the engine's word, else open."""
    board = facts.board
    colors = chess.COLORS if claim.color is None else (claim.color,)
    whole = most <= QUIET_MOVES
    for color in sorted(colors, key=lambda c: c != board.turn):
        moves = as_if_to_move(board, color)
        if moves is None:
            whole = False
            continue
        search = mate_in(moves, min(most, DEEPEST))
        if search.mate is not None:
            line = moves.variation_san(list(search.mate.line))
            if board.turn == color or cannot_stop_mate(board):
                return holds(why("mating.mates", side=color_term(color), line=line))
            return undecided(why("mating.would_mate", side=color_term(color), line=line))
        whole = whole and search.whole
    if (mate := _engine_mate(facts)) is not None and (mate > 0) in colors:
        score = cite_verdict(facts.assessed, facts.after) if facts.assessed else NOTHING
        return holds(score) if abs(mate) <= most or claim.sort != "in" else undecided(score)
    if whole:
        return fails(why("mating.no_mate_in", moves=most))
    return undecided(why("mating.no_mate_seen"))


def _engine_mate(facts: Facts) -> int | None:
    best = facts.assessed.best if facts.assessed is not None else None
    return best.score.mate if best is not None else None


def _threat(claim: MateClaim, facts: Facts) -> Ruling:
    """A mate at once after a pass; deeper threats are left undecided."""
    board = facts.board
    colors = chess.COLORS if claim.color is None else (claim.color,)
    for color in sorted(colors, key=lambda c: c == board.turn):
        for threat in threats(board, color):
            if threat.aim is Aim.MATE and claim.on in (None, threat.move.to_square):
                return holds(why("mating.threatens", side=color_term(color), move=threat.san))
    if claim.on is not None and not any(board.attackers_mask(color, claim.on) for color in colors):
        return fails(why("mating.unattacked", square=chess.square_name(claim.on)))
    best = facts.assessed.best if facts.assessed is not None else None
    if facts.assessed is not None and best is not None and len(colors) == 1:
        score = best.score.pawns
        if score is not None and (score if claim.color else -score) < SAFE:
            return fails(why("mating.no_mate_and", score=cite_verdict(facts.assessed, facts.after)))
    return undecided(why("mating.no_mate_at_once"))


def _unstoppable(claim: MateClaim, facts: Facts) -> Ruling:
    board = facts.board
    if board.is_checkmate():
        return holds(why("mating.checkmated", side=color_term(board.turn)))
    if claim.color in (None, not board.turn) and cannot_stop_mate(board):
        some = Row(tuple(board.san(move) for move in board.legal_moves)[:1], ", ", none="")
        return holds(why("mating.whatever", side=color_term(board.turn), moves=some))
    if claim.color in (None, board.turn) and mates_at_once(board):
        return holds(why("mating.mates_at_once", side=color_term(board.turn), move=board.san(mates_at_once(board)[0])))
    if (mate := _engine_mate(facts)) is not None and claim.color in (None, mate > 0):
        return holds(cite_verdict(facts.assessed, facts.after) if facts.assessed else NOTHING)
    best = facts.assessed.best if facts.assessed is not None else None
    if facts.assessed is not None and best is not None and abs(best.score.pawns or 0.0) < WINNING:
        return fails(cite_verdict(facts.assessed, facts.after))
    return undecided(why("mating.no_forced_mate"))


_RULES: Final = {"check": _check, "mate": _mate, "in": _in, "threat": _threat, "unstoppable": _unstoppable}

MATING = ClaimKind(Kind.TACTIC, tactic_finder("mating", _build, apart=True), decide, asks_engine=True)
