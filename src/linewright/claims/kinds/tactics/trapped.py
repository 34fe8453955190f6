"""Claims that a piece is trapped or has no squares, or that a man is overloaded."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import chess

from linewright.board.tactics.exchange import exchange
from linewright.board.tactics.motifs import as_if_to_move, overloads, trapped
from linewright.claims.claim_kind import ClaimKind, Facts
from linewright.claims.evidence_values import square_row
from linewright.claims.kinds.tactic_finder import tactic_finder
from linewright.claims.occurrences import Occurrence
from linewright.claims.rulings import Ruling, fails, holds, negated, undecided
from linewright.claims.sentence.men import Man, man_on, men_on
from linewright.language.evidence import together, why
from linewright.lesson.finding import Kind, Verdict

#: With so many safe moves a piece is not trapped, whatever the tactics; with fewer a net may be hidden from the rule.
ROOMY: Final = 3


@dataclass(frozen=True, slots=True)
class TrappedClaim:
    """That a piece is trapped, or a man overloaded.

    :param man: who it is said of.
    :param overloaded: it is said to have too many duties, not to be trapped.
    """

    man: Man
    overloaded: bool = False
    denied: bool = False


def _build(said: Occurrence, denied: bool) -> TrappedClaim | None:
    man, overloaded = said.man(), said.form.name == "overloaded"
    if not overloaded and man.kind in (chess.PAWN, chess.KING):
        return None  # "The king has no squares" is another thing.
    return TrappedClaim(man, overloaded, denied != bool(said.value("denied")))


def decide(claim: TrappedClaim, facts: Facts) -> Ruling:
    """Rule for each man that may be meant; it holds when it is so of one, and fails when it is so of none for sure."""
    board = facts.board
    meant = claim.man.squares(board)
    if not meant:
        return undecided(why("trapped.absent", man=claim.man.term()))
    rule = _overloaded if claim.overloaded else _trapped
    rulings = [rule(board, square) for square in meant]
    holding = [ruling.evidence for ruling in rulings if ruling.verdict is Verdict.HOLDS]
    if holding:
        ruling = holds(together(holding))
    else:
        sure = all(ruling.verdict is Verdict.FAILS for ruling in rulings)
        ruling = Ruling(Verdict.FAILS if sure else Verdict.UNDECIDED, together(ruling.evidence for ruling in rulings))
    return negated(ruling) if claim.denied else ruling


def _trapped(board: chess.Board, square: chess.Square) -> Ruling:
    color, man = bool(board.color_at(square)), man_on(board, square)
    moves = as_if_to_move(board, color)
    if moves is None or moves.is_check():
        return undecided(why("trapped.in_check", man=man))
    safe = [move for move in moves.generate_legal_moves(chess.BB_SQUARES[square]) if exchange(moves, move) >= 0]
    if not safe and any(found.square == square for found in trapped(board, color)):
        attackers = board.attackers(not color, square)
        if not attackers:
            return holds(why("trapped.lost", man=man))
        return holds(why("trapped.lost_attacked", man=man, attackers=men_on(board, attackers)))
    if not safe:
        return undecided(why("trapped.not_lost", man=man))
    evidence = why("trapped.safe", man=man, squares=square_row((move.to_square for move in safe), ", "))
    return fails(evidence) if len(safe) >= ROOMY else undecided(evidence)


def _overloaded(board: chess.Board, square: chess.Square) -> Ruling:
    color, man = bool(board.color_at(square)), man_on(board, square)
    for found in overloads(board, color):
        if found.defender == square:
            return holds(why("trapped.keeps", man=man, duties=men_on(board, found.duties)))
    guarded = [s for s in board.attacks(square) & board.occupied_co[color] if board.attackers(not color, s)]
    if not guarded:
        return fails(why("trapped.no_duty", man=man))
    return undecided(why("trapped.defends", man=man, men=men_on(board, guarded)))


TRAPPED = ClaimKind(Kind.TACTIC, tactic_finder("trapped", _build), decide)
