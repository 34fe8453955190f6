"""Claims of how many legal moves a side has."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

import chess

from linewright.claims.claim_kind import ClaimKind, Facts
from linewright.claims.evidence_values import color_term
from linewright.claims.kinds.tactic_finder import tactic_finder
from linewright.claims.occurrences import Occurrence
from linewright.claims.rulings import Ruling, ruled, undecided
from linewright.language.evidence import Evidence, Row, why
from linewright.lesson.finding import Kind

#: So many moves are named in the evidence.
NAMED: Final = 4


@dataclass(frozen=True, slots=True)
class LegalMovesClaim:
    """That the side to move has exactly so many legal moves."""

    count: int


def _build(said: Occurrence, _: bool) -> LegalMovesClaim:
    return LegalMovesClaim(int(said.value("count")))


def decide(claim: LegalMovesClaim, facts: Facts) -> Ruling:
    """Count them (FIDE Laws 3.10)."""
    moves = [facts.board.san(move) for move in facts.board.legal_moves]
    evidence = _counted(facts.board, moves)
    if len(moves) != claim.count and len(list(_other(facts.board))) == claim.count:
        return undecided(why("legal_moves.other_side", evidence=evidence, number=claim.count))
    return ruled(len(moves) == claim.count, evidence)


def _counted(board: chess.Board, moves: list[str]) -> Evidence:
    side, shown = color_term(board.turn), Row(tuple(moves[:NAMED]), ", ")
    if not moves:
        return why("legal_moves.none", side=side)
    if len(moves) > NAMED:
        return why("legal_moves.some", side=side, number=len(moves), moves=shown)
    return why("legal_moves.all", side=side, number=len(moves), moves=shown)


def _other(board: chess.Board) -> Iterator[chess.Move]:
    """The moves of the side that is not to move, if it were; none where it gives check."""
    turned = board.copy(stack=False)
    turned.turn = not board.turn
    yield from turned.legal_moves if turned.is_valid() else ()


LEGAL_MOVES = ClaimKind(Kind.TACTIC, tactic_finder("legal_moves", _build), decide)
