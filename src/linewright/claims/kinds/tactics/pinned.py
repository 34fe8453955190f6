"""Claims that a man is pinned."""

from __future__ import annotations

from dataclasses import dataclass

import chess

from linewright.board.tactics.attacks import Pin, pins
from linewright.claims.claim_kind import ClaimKind, Facts
from linewright.claims.evidence_values import color_term, square_row
from linewright.claims.kinds.tactic_finder import tactic_finder
from linewright.claims.occurrences import Occurrence
from linewright.claims.rulings import Ruling, fails, holds, negated, undecided
from linewright.claims.sentence.men import Man, kind_named, man_standing_on
from linewright.language.evidence import Evidence, Term, Value, together, why
from linewright.lesson.finding import Kind


@dataclass(frozen=True, slots=True)
class PinClaim:
    """That a man is pinned.

    :param man: who; the words don't tell whose.
    :param behind: the kind of the man it is pinned to, when said.
    :param denied: it is said not to be pinned.
    """

    man: Man
    behind: chess.PieceType | None = None
    denied: bool = False


def _build(said: Occurrence, denied: bool) -> PinClaim:
    behind = kind_named(said.value("behind"), said.scene.language)
    return PinClaim(said.man(), behind, denied != bool(said.value("denied")))


def decide(claim: PinClaim, facts: Facts) -> Ruling:
    """Look for the pin (:func:`linewright.board.tactics.attacks.pins`).

    It fails only where no man of the named kind and place is so much as attacked along a line: trainers also call
    pinned what stands before a mere square or a man worth no more, which the rule doesn't count.
    """
    ruling = _look_for(claim, facts.board)
    return negated(ruling) if claim.denied else ruling


def _look_for(claim: PinClaim, board: chess.Board) -> Ruling:
    named = claim.man.squares(board)
    meant = [pin for color in chess.COLORS for pin in pins(board, color) if pin.front in named]
    fitting = [pin for pin in meant if claim.behind in (None, board.piece_type_at(pin.behind))]
    if fitting:
        return holds(together(_pinning(board, pin) for pin in fitting))
    if meant:
        return undecided(together(_pinning(board, pin) for pin in meant))
    man = Man(claim.man.kind).term()
    if not named:
        return undecided(why("pinned.absent", man=man))
    where: dict[str, Value] = {"man": man, "squares": square_row(_by_color(board, named), ", ")}
    if claim.behind is not None and not any(_before(board, square, claim.behind) for square in named):
        return fails(why("pinned.not_before", behind=Term(chess.piece_name(claim.behind)), **where))
    if any(_on_a_line(board, square) for square in named):
        return undecided(why("pinned.nothing_dearer", **where))
    return fails(why("pinned.unattacked", **where))


def _by_color(board: chess.Board, squares: tuple[chess.Square, ...]) -> list[chess.Square]:
    """White's men first."""
    return sorted(squares, key=lambda square: not board.color_at(square))


def _on_a_line(board: chess.Board, square: chess.Square) -> bool:
    color = board.color_at(square)
    sliders = board.bishops | board.rooks | board.queens
    return color is not None and bool(board.attackers_mask(not color, square) & sliders)


def _before(board: chess.Board, square: chess.Square, behind: chess.PieceType) -> bool:
    """Whether an enemy bishop, rook or queen attacks the man and the next man on that line is of the kind, and its
    own side's."""
    color = bool(board.color_at(square))
    sliders = (board.bishops | board.rooks | board.queens) & board.attackers_mask(not color, square)
    without = board.copy(stack=False)
    without.remove_piece_at(square)
    beyond = (
        hit
        for slider in chess.scan_forward(sliders)
        for hit in without.attacks(slider) & board.pieces(behind, color)
        if chess.BB_SQUARES[square] & chess.between(slider, hit)
    )
    return next(beyond, None) is not None


def _pinning(board: chess.Board, pin: Pin) -> Evidence:
    return why(
        "pinned.pins",
        attacker=man_standing_on(board, pin.attacker),
        side=color_term(bool(board.color_at(pin.front))),
        man=man_standing_on(board, pin.front),
        behind=man_standing_on(board, pin.behind),
    )


PINNED = ClaimKind(Kind.TACTIC, tactic_finder("pinned", _build), decide)
