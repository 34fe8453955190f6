"""Claims about the pawns as a whole: symmetry, majorities and islands."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import chess

from linewright.board.structure import pawns
from linewright.board.structure.pawns import Wing
from linewright.claims.claim_kind import ClaimKind, Facts
from linewright.claims.evidence_values import color_term, square_row
from linewright.claims.occurrences import Occurrence, finder
from linewright.claims.rulings import Ruling, Side, for_side, negated, ruled, undecided
from linewright.language.evidence import Count, Evidence, Row, Term, why
from linewright.language.numbers import number
from linewright.lesson.finding import Kind


@dataclass(frozen=True, slots=True)
class Symmetry:
    """That the pawns of the two sides mirror each other."""

    denied: bool = False


@dataclass(frozen=True, slots=True)
class Majority:
    """That a side has more pawns on a wing, or, with ``counts``, so many against so many."""

    side: Side
    wing: Wing
    counts: tuple[int, int] | None = None
    denied: bool = False


@dataclass(frozen=True, slots=True)
class Islands:
    """That a side's pawns form so many islands (and the other side's so many)."""

    side: Side
    count: int
    other: int | None = None
    denied: bool = False


ShapeClaim = Symmetry | Majority | Islands


def _claim(said: Occurrence) -> ShapeClaim | None:
    """What an occurrence claims; None where nobody is said to have it, or where the words are inexact."""
    words = said.heard.text
    denied = said.mood.negated or said.hint("denial", words) is not None
    own, other = number(said.value("own")), number(said.value("other"))
    if said.form.name == "symmetry":
        return None if said.hint("almost", words) else Symmetry(denied)
    if said.form.name == "majority":
        counts = (own, other) if own is not None and other is not None else None
        having = said.hint("having", f"{said.before} {words}")
        return Majority(said.side, Wing(said.value("wing")), counts, denied) if having else None
    if own is None or not said.hint("having", said.before):
        return None
    return Islands(said.side, own, other, denied)


def decide(claim: ShapeClaim, facts: Facts) -> Ruling:
    """Count the pawns."""
    board = facts.board
    match claim:
        case Symmetry():
            ruling = _decide_symmetry(board)
        case Majority():
            ruling = for_side(claim.side, lambda color: _decide_majority(claim, board, color))
        case Islands():
            ruling = for_side(claim.side, lambda color: _decide_islands(claim, board, color))
    return negated(ruling) if claim.denied else ruling


def _decide_symmetry(board: chess.Board) -> Ruling:
    white, black = (square_row(pawns.pawns(board, color)) for color in (chess.WHITE, chess.BLACK))
    return ruled(pawns.symmetric(board), why("symmetry_majorities.pawns", white=white, black=black))


def _decide_majority(claim: Majority, board: chess.Board, color: chess.Color) -> Ruling:
    counts = pawns.wing_counts(board, claim.wing)
    listed = Row(tuple(_describe_count(count, color) for count in counts), word="or")
    evidence = why("symmetry_majorities.wing", side=color_term(color), wing=Term(claim.wing.value), counts=listed)
    lead = [count.of(color) - count.of(not color) for count in counts]
    if claim.counts is not None:
        return ruled(any((count.of(color), count.of(not color)) == claim.counts for count in counts), evidence)
    if max(lead) > 0 > min(lead):
        return undecided(why("symmetry_majorities.centre_file", wing=evidence))
    return ruled(max(lead) > 0, evidence)


def _describe_count(count: pawns.WingCount, color: chess.Color) -> Evidence:
    first, last = (chess.FILE_NAMES[count.files[end]] for end in (0, -1))
    own, other = count.of(color), count.of(not color)
    return why("symmetry_majorities.count", first=first, last=last, own=own, other=other)


def _decide_islands(claim: Islands, board: chess.Board, color: chess.Color) -> Ruling:
    own, other = (len(pawns.islands(board, side)) for side in (color, not color))
    listed = Row((_describe_islands(color, own), _describe_islands(not color, other)), ", ")
    return ruled(own == claim.count and claim.other in (None, other), why("terms.plain", text=listed))


def _describe_islands(color: chess.Color, count: int) -> Evidence:
    return why("symmetry_majorities.islands", side=color_term(color), count=Count(count, "pawn island"))


SHAPE: Final[ClaimKind[ShapeClaim]] = ClaimKind(Kind.STRUCTURE, finder("symmetry_majorities", _claim), decide)
