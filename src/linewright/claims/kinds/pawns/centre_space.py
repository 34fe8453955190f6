"""Claims about the centre: its kind, the classical pair of pawns, and who has more space."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

import chess

from linewright.board.structure.centre import Centre, centre, classical_centre, holders, more_space, space
from linewright.claims.claim_kind import ClaimKind, Facts
from linewright.claims.evidence_values import color_term, square_row
from linewright.claims.occurrences import Occurrence, finder
from linewright.claims.rulings import Ruling, Side, fails, for_side, holds, negated, ruled, undecided
from linewright.language.evidence import Term, why
from linewright.language.numbers import number
from linewright.lesson.finding import Kind


class CentreTopic(Enum):
    """What is said of the centre, as the forms of the wording are named."""

    OPEN = "open"
    CLOSED = "closed"
    CLASSICAL = "classical"
    SPACE = "space"
    PAWN = "pawn"
    GUARDED = "guarded"


@dataclass(frozen=True, slots=True)
class CentreClaim:
    """Something said of the centre.

    :param count: how many pawns, where pawns are counted; 0 for none.
    :param square: the square that pawns are said to guard.
    """

    what: CentreTopic
    side: Side
    denied: bool = False
    count: int = 1
    square: chess.Square | None = None


def _claim(said: Occurrence) -> CentreClaim | None:
    what = CentreTopic(said.form.name)
    if what is CentreTopic.PAWN and not said.hint("has", said.sentence.text[: said.heard.start].rstrip()):
        return None
    count = number(said.value("count") or "one") or 0
    side = said.side_named("who") or said.side
    return CentreClaim(what, side, said.mood.negated and count > 0, count, said.square("square"))


def decide(claim: CentreClaim, facts: Facts) -> Ruling:
    """Look at the centre by the rules of ``centre``; where trainers use a word more widely than
    the rule does, a miss is left undecided."""
    board, square = facts.board, claim.square
    if claim.what is CentreTopic.CLASSICAL:
        ruling = for_side(claim.side, lambda color: _decide_pair(board, color))
    elif claim.what is CentreTopic.SPACE:
        ruling = for_side(claim.side, lambda color: _decide_space(board, color))
    elif claim.what is CentreTopic.PAWN:
        ruling = for_side(claim.side, lambda color: _decide_pawns(claim.count, board, color))
    elif square is not None:
        ruling = for_side(claim.side, lambda color: _decide_guards(claim.count, square, board, color))
    else:
        ruling = _decide_kind(claim.what, centre(board))
    return negated(ruling) if claim.denied else ruling


def _decide_guards(count: int, square: chess.Square, board: chess.Board, color: chess.Color) -> Ruling:
    """At least so many pawns attack the square; none where none is said to."""
    pawns = board.attackers(color, square) & board.pieces(chess.PAWN, color)
    name, squares = chess.square_name(square), square_row(pawns, ", ")
    evidence = why("centre_space.guards", side=color_term(color), square=name, squares=squares)
    return ruled(len(pawns) >= count if count else not pawns, evidence)


def _decide_pair(board: chess.Board, color: chess.Color) -> Ruling:
    side, pair = color_term(color), (chess.D4, chess.E4) if color else (chess.D5, chess.E5)
    standing = [square for square in pair if board.piece_at(square) == chess.Piece(chess.PAWN, color)]
    if not standing:
        first, second = map(chess.square_name, pair)
        return fails(why("centre_space.no_pair", side=side, first=first, second=second))
    evidence = why("centre_space.pair", side=side, squares=square_row(standing, word="and"))
    return holds(evidence) if classical_centre(board, color) else undecided(evidence)


def _decide_pawns(count: int, board: chess.Board, color: chess.Color) -> Ruling:
    """Pawns on d4, e4, d5 and e5; a c pawn or one that has only moved to the third rank leaves a miss open."""
    held = holders(board, color)
    evidence = why("centre_space.pawns", side=color_term(color), squares=square_row(held))
    if (len(held) >= count) if count else not held:
        return holds(evidence)
    near = any(
        chess.square_rank(s) not in (1, 6) for s in board.pieces(chess.PAWN, color) if 2 <= chess.square_file(s) < 5
    )
    return undecided(evidence) if near else fails(evidence)


def _decide_space(board: chess.Board, color: chess.Color) -> Ruling:
    own, other = space(board, color), space(board, not color)
    side, other_side = color_term(color), color_term(not color)
    evidence = why("centre_space.space", side=side, own=own, other_side=other_side, other=other)
    return holds(evidence) if more_space(board) is color else undecided(evidence)


def _decide_kind(what: CentreTopic, kind: Centre) -> Ruling:
    evidence = why("centre_space.kind", kind=Term(kind.value))
    if kind.value == what.value:
        return holds(evidence)
    opposite = Centre.CLOSED if what is CentreTopic.OPEN else Centre.OPEN
    return fails(evidence) if kind is opposite else undecided(why("centre_space.kind_by_rule", kind=Term(kind.value)))


CENTRE = ClaimKind(Kind.CENTRE, finder("centre_space", _claim, apart=True), decide)
