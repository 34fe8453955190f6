"""Claims of named structures, outposts, holes and isolated pawns named by their square alone."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import chess

from linewright.board.structure import pawns
from linewright.board.structure.named_structures import Structure, stands
from linewright.board.structure.squares import holes, outposts
from linewright.claims.claim_kind import ClaimKind, Facts
from linewright.claims.evidence_values import color_term, square_row
from linewright.claims.occurrences import Occurrence, finder
from linewright.claims.rulings import Ruling, fails, holds, negated, undecided
from linewright.language.evidence import Term, why
from linewright.lesson.finding import Kind


@dataclass(frozen=True, slots=True)
class StructureClaim:
    """That a named structure stands on the board."""

    structure: Structure
    denied: bool = False


@dataclass(frozen=True, slots=True)
class DamageClaim:
    """That a side's pawns are damaged.

    :param color: None where the words leave open whose.
    """

    color: chess.Color | None
    denied: bool = False


@dataclass(frozen=True, slots=True)
class SquareClaim:
    """A square with a name.

    :param kind: ``outpost``, ``hole`` (a weak square), or the trait of the pawn that stands there: ``isolated``,
        ``backward``, ``passed``.
    :param color: who holds the outpost; who suffers the hole isn't said by the words.
    """

    kind: str
    square: chess.Square
    color: chess.Color | None = None
    denied: bool = False


SettingClaim = StructureClaim | DamageClaim | SquareClaim


def _claim(said: Occurrence) -> SettingClaim:
    denied = said.mood.negated != bool(said.value("denied"))
    if said.form.name == "structure":
        return StructureClaim(Structure[said.value("structure").upper()], denied)
    if said.form.name == "damaged":
        return DamageClaim(said.color("who"), denied)
    return SquareClaim(said.value("kind"), chess.parse_square(said.value("at")), said.color("who"), denied)


def decide(claim: SettingClaim, facts: Facts) -> Ruling:
    """By the rules of ``board/``. Trainers use these names more widely than any rule, so that a miss stays undecided;
    only a pawn's trait, which the handbooks agree on, can fail."""
    match claim:
        case StructureClaim():
            ruling = _decide_structure(claim.structure, facts.board)
        case DamageClaim():
            ruling = _decide_damage(claim, facts.board)
        case SquareClaim() if claim.kind in _TRAITS:
            ruling = _decide_trait(claim, facts.board)
            return negated(ruling) if claim.denied else ruling
        case SquareClaim():
            ruling = _decide_square(claim, facts.board)
    return undecided(ruling.evidence) if claim.denied else ruling


def _decide_structure(structure: Structure, board: chess.Board) -> Ruling:
    name = Term(structure.value)
    sides = [color for color in chess.COLORS if stands(board, structure, color)]
    if sides:
        return holds(why("structures_outposts.structure", structure=name, side=color_term(sides[0])))
    return undecided(why("structures_outposts.no_structure", structure=name))


def _decide_damage(claim: DamageClaim, board: chess.Board) -> Ruling:
    """Doubled or isolated pawns are damage by any handbook; other damage is a matter of taste and stays undecided."""
    if claim.color is None:
        return undecided(why("structures_outposts.whose"))
    bad = {*pawns.isolated(board, claim.color), *pawns.doubled(board, claim.color)}
    squares = square_row(sorted(bad))
    evidence = why("structures_outposts.damage", side=color_term(claim.color), squares=squares)
    return holds(evidence) if bad else undecided(evidence)


def _decide_square(claim: SquareClaim, board: chess.Board) -> Ruling:
    square = chess.square_name(claim.square)
    colors = chess.COLORS if claim.color is None or claim.kind == "hole" else (claim.color,)
    for color in colors:
        side, other = color_term(color), color_term(not color)
        if claim.kind == "hole" and claim.square in holes(board, color):
            return holds(why("structures_outposts.hole", square=square, side=side))
        if claim.kind == "outpost" and any(found.square == claim.square for found in outposts(board, color)):
            return holds(why("structures_outposts.outpost", square=square, side=side))
        # Trainers call a square an outpost, too, when pieces alone hold it in the other side's hole.
        if claim.kind == "outpost" and claim.square in holes(board, not color) and board.attackers(color, claim.square):
            return holds(why("structures_outposts.held", square=square, other=other, side=side))
    return undecided(why("structures_outposts.no_outpost", square=square))


_TRAITS: Final = {"isolated": pawns.isolated, "backward": pawns.backward, "passed": pawns.passed}


def _decide_trait(claim: SquareClaim, board: chess.Board) -> Ruling:
    color = board.color_at(claim.square)
    if color is None or board.piece_type_at(claim.square) != chess.PAWN:
        return undecided(why("structures_outposts.no_pawn", square=chess.square_name(claim.square)))
    found = _TRAITS[claim.kind](board, color)
    squares, trait = square_row(found), Term(claim.kind)
    evidence = why("structures_outposts.trait", side=color_term(color), trait=trait, squares=squares)
    if claim.square in found:
        return holds(evidence)
    return undecided(evidence) if claim.kind == "backward" else fails(evidence)


SETTING: Final[ClaimKind[SettingClaim]] = ClaimKind(Kind.STRUCTURE, finder("structures_outposts", _claim), decide)
