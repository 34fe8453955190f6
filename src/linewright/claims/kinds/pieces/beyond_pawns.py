"""Claims that no pawn of a side can guard a square, or drive a man from it, any more."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import chess

from linewright.board.structure.squares import can_guard
from linewright.claims.claim_kind import PLAIN, ClaimKind, Facts, Found
from linewright.claims.evidence_values import color_term
from linewright.claims.occurrences import occurrences
from linewright.claims.rulings import Ruling, fails, holds, undecided
from linewright.claims.sentence.talk_scene import Scene
from linewright.claims.sentence.words import Sentence
from linewright.language.evidence import why
from linewright.lesson.finding import Kind


@dataclass(frozen=True, slots=True)
class BeyondPawns:
    """That no pawn of a colour can come to guard the square; None where the words leave open whose."""

    color: chess.Color | None
    square: chess.Square


def find(sentence: Sentence, scene: Scene) -> Iterator[Found[BeyondPawns]]:
    """The squares of a sentence that are said to be out of the pawns' reach; denied and hedged by their own words."""
    for said in occurrences("beyond_pawns", sentence, scene):
        yield said.found(BeyondPawns(said.color("who"), chess.parse_square(said.value("square"))), PLAIN)


def decide(claim: BeyondPawns, facts: Facts) -> Ruling:
    """Whether a pawn of the colour guards the square or may come to (``can_guard``)."""
    square = chess.square_name(claim.square)
    if claim.color is None:
        return undecided(why("beyond_pawns.whose", square=square))
    side = color_term(claim.color)
    if can_guard(facts.board, claim.square, claim.color):
        return fails(why("beyond_pawns.can", square=square, side=side))
    return holds(why("beyond_pawns.cannot", square=square, side=side))


BEYOND_PAWNS = ClaimKind(Kind.STRUCTURE, find, decide)
