"""Claims about material: pawns and pieces up or down, the exchange, level material, the two bishops."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from enum import Enum, StrEnum
from typing import Final

import chess

from linewright.board.material import Material, balance, bishop_pair, material, opposite_bishops
from linewright.claims.claim_kind import ClaimKind, Facts
from linewright.claims.evidence_values import color_term, square_row
from linewright.claims.occurrences import Occurrence, finder
from linewright.claims.rulings import ANY, Reach, Ruling, Side, fails, for_side, holds, negated, ruled, undecided
from linewright.claims.sentence.owners import party, resolved
from linewright.language.evidence import Count, Evidence, Row, Term, why
from linewright.language.numbers import number
from linewright.lesson.finding import Kind


class MaterialUnit(StrEnum):
    PAWN = "pawn"
    PIECE = "piece"
    EXCHANGE = "exchange"
    ROOK = "rook"
    QUEEN = "queen"


class MaterialTopic(Enum):
    """What is said of the material."""

    AHEAD = "a side is so much ahead of the other"
    LEVEL = "material is level"
    BISHOP_PAIR = "a side has the two bishops, the other has not"
    OPPOSITE_BISHOPS = "each side has one bishop, on squares of different colours"
    QUEENS_GONE = "the queens have gone"
    LIGHT_BISHOPS_GONE = "both light-squared bishops have gone"
    DARK_BISHOPS_GONE = "both dark-squared bishops have gone"
    PAWNS_EACH = "each side has so many pawns"


@dataclass(frozen=True, slots=True)
class MaterialClaim:
    """Something said of the material.

    :param side: who is ahead, or has the two bishops.
    :param amounts: how much ahead: each unit with its number, negative when behind.
    :param pawns: how many pawns each side has.
    """

    topic: MaterialTopic
    side: Side = ANY
    amounts: tuple[tuple[MaterialUnit, int], ...] = ()
    pawns: int = 0
    denied: bool = False


def _claim(said: Occurrence) -> MaterialClaim | None:
    """What an occurrence claims; None where its surroundings show that it speaks of something else."""
    denied = said.mood.negated or said.hint("denial", said.heard.text) is not None
    return _BUILD[said.form.name](said, denied)


def _ahead(said: Occurrence, denied: bool) -> MaterialClaim | None:
    amounts = _amounts(said)
    if not amounts or said.hint("moving", said.before) or said.hint("on_a_wing", said.after):
        return None
    about = MaterialClaim(MaterialTopic.AHEAD, said.side, amounts, denied=denied)
    if said.value("won"):
        return about if said.hint("has_just", said.before) else None
    return about if said.hint("leading_up", said.before) else _owner_elsewhere(about, said)


def _amounts(said: Occurrence) -> tuple[tuple[MaterialUnit, int], ...]:
    """The units with their numbers; none where the words are more likely misheard."""
    pawns = number(said.value("pawns")) or 1
    if said.value("traded"):
        return (MaterialUnit.PAWN, pawns), (MaterialUnit(said.value("traded")), -1)
    if said.value("given"):
        return (MaterialUnit.PAWN, -pawns), (MaterialUnit(said.value("given")), 1)
    way = said.value("way") or said.value("won") or "ahead"
    unit, second = said.value("unit"), said.value("second_unit")
    if way == "misheard" and unit != MaterialUnit.PAWN:
        return ()
    sign = 1 if way == "ahead" else -1
    first = (MaterialUnit(unit), sign * (number(said.value("count")) or 1))
    return (first, (MaterialUnit(second), sign * (number(said.value("second_count")) or 1))) if second else (first,)


def _owner_elsewhere(about: MaterialClaim, said: Occurrence) -> MaterialClaim | None:
    """ "White, a pawn up, …", "a pawn up for black": an owner right beside the amount; else no claim."""
    first = said.trigger[0]
    who = party(said.sentence.tokens[first - 1].text, said.scene.language) if first else None
    if who is not None:
        return replace(about, side=resolved(said.scene, said.sentence, first - 1, who))
    if first == said.clause[0] and said.scene.side is not None and _is_fragment(said):
        return replace(about, side=Side.of(said.scene.side))
    return about if said.hint("for_whom", said.after) else None


def _is_fragment(said: Occurrence) -> bool:
    """ "Pawn down, yep.", "Exchange and a pawn up": the speaker tells of himself without a verb."""
    tokens, (first, last) = said.sentence.tokens, said.trigger
    alone = tokens[last - 1].after.strength and (not first or tokens[first - 1].after.strength)
    return bool(alone and said.hint("by_itself", said.heard.text))


def _level(said: Occurrence, denied: bool) -> MaterialClaim | None:
    return MaterialClaim(MaterialTopic.LEVEL, denied=denied)


def _bishops(said: Occurrence, denied: bool) -> MaterialClaim | None:
    if said.value("opposite"):
        return MaterialClaim(MaterialTopic.OPPOSITE_BISHOPS, denied=denied)
    given_up = said.hint("given_up", said.before) is not None
    if said.side.reach is Reach.ANY or not (given_up or said.hint("owns", said.before)):
        return None
    return MaterialClaim(MaterialTopic.BISHOP_PAIR, said.side, denied=denied != given_up)


def _queens(said: Occurrence, denied: bool) -> MaterialClaim | None:
    return MaterialClaim(MaterialTopic.QUEENS_GONE, denied=denied != bool(said.value("on")))


def _gone(said: Occurrence, denied: bool) -> MaterialClaim | None:
    light = said.value("squares") == "light"
    topic = MaterialTopic.LIGHT_BISHOPS_GONE if light else MaterialTopic.DARK_BISHOPS_GONE
    return MaterialClaim(topic, denied=denied)


def _each(said: Occurrence, denied: bool) -> MaterialClaim | None:
    return MaterialClaim(MaterialTopic.PAWNS_EACH, pawns=number(said.value("count")) or 0, denied=denied)


_BUILD: Final[dict[str, Callable[[Occurrence, bool], MaterialClaim | None]]] = {
    "ahead": _ahead,
    "level": _level,
    "bishops": _bishops,
    "queens": _queens,
    "gone": _gone,
    "each": _each,
}


def decide(claim: MaterialClaim, facts: Facts) -> Ruling:
    """Count the pieces."""
    ruling = _RULES[claim.topic](claim, facts.board)
    return negated(ruling) if claim.denied else ruling


def _decide_ahead(claim: MaterialClaim, board: chess.Board) -> Ruling:
    return for_side(claim.side, lambda color: _decide_amounts(claim, board, color))


def _decide_amounts(claim: MaterialClaim, board: chess.Board, color: chess.Color) -> Ruling:
    """Exactly the amounts said: holds. Nothing like it: fails. The amount said with more beside it: undecided."""
    has, wanted = balance(board, color), _as_material(claim.amounts)
    evidence = describe_balance(board, color)
    pieces_agree = (has.queens, has.rooks, has.minors) == (wanted.queens, wanted.rooks, wanted.minors)
    pawns_agree = has.pawns == wanted.pawns
    if pieces_agree and (pawns_agree or not any(unit is MaterialUnit.PAWN for unit, _ in claim.amounts)):
        return holds(evidence)
    if has.points == wanted.points or (not pieces_agree and pawns_agree and wanted.pawns):
        return undecided(evidence)
    return fails(evidence)


def _as_material(amounts: tuple[tuple[MaterialUnit, int], ...]) -> Material:
    """The amounts as a balance; a piece is put down as a bishop, since only minor pieces are compared."""
    out = Material(0, 0, 0, 0, 0)
    for unit, count in amounts:
        match unit:
            case MaterialUnit.PAWN:
                out = replace(out, pawns=out.pawns + count)
            case MaterialUnit.PIECE:
                out = replace(out, bishops=out.bishops + count)
            case MaterialUnit.EXCHANGE:
                out = replace(out, rooks=out.rooks + count, bishops=out.bishops - count)
            case MaterialUnit.ROOK:
                out = replace(out, rooks=out.rooks + count)
            case MaterialUnit.QUEEN:
                out = replace(out, queens=out.queens + count)
    return out


def _decide_level(claim: MaterialClaim, board: chess.Board) -> Ruling:
    has = balance(board, chess.WHITE)
    evidence = describe_balance(board, chess.WHITE)
    if (has.queens, has.rooks, has.minors, has.pawns) == (0, 0, 0, 0):
        return holds(evidence)
    return fails(evidence) if has.points else undecided(why("material_count.by_points", balance=evidence))


def _decide_pawns(claim: MaterialClaim, board: chess.Board) -> Ruling:
    white, black = (material(board, color).pawns for color in (chess.WHITE, chess.BLACK))
    evidence = why("material_count.pawns", white=Count(white, "pawn"), black=Count(black, "pawn"))
    return ruled(white == black == claim.pawns, evidence)


def _decide_queens(claim: MaterialClaim, board: chess.Board) -> Ruling:
    squares = square_row(chess.scan_forward(board.queens))
    if not board.queens:
        return holds(why("material_count.no_queens"))
    if any(not board.queens & board.occupied_co[color] for color in chess.COLORS):
        return undecided(why("material_count.one_queen", squares=squares))
    return fails(why("material_count.queens", squares=squares))


def _decide_gone(claim: MaterialClaim, board: chess.Board) -> Ruling:
    light = claim.topic is MaterialTopic.LIGHT_BISHOPS_GONE
    men = Term("light-squared bishops" if light else "dark-squared bishops")
    left = chess.SquareSet(board.bishops & (chess.BB_LIGHT_SQUARES if light else chess.BB_DARK_SQUARES))
    if left:
        return fails(why("material_count.left", men=men, squares=square_row(left)))
    return holds(why("material_count.gone", men=men))


def _decide_opposite(claim: MaterialClaim, board: chess.Board) -> Ruling:
    white, black = (square_row(board.pieces(chess.BISHOP, color)) for color in (chess.WHITE, chess.BLACK))
    return ruled(opposite_bishops(board), why("material_count.bishops", white=white, black=black))


def _decide_bishops(claim: MaterialClaim, board: chess.Board) -> Ruling:
    return for_side(claim.side, lambda color: _decide_pair(board, color))


def _decide_pair(board: chess.Board, color: chess.Color) -> Ruling:
    minors = why("terms.plain", text=Row((_minors(board, color), _minors(board, not color)), ", "))
    if not bishop_pair(board, color):
        return fails(minors)
    if bishop_pair(board, not color):
        return undecided(why("material_count.both_pairs", minors=minors))
    return holds(minors)


def _minors(board: chess.Board, color: chess.Color) -> Evidence:
    has = material(board, color)
    bishops, knights = Count(has.bishops, "bishop"), Count(has.knights, "knight")
    return why("material_count.minors", side=color_term(color), bishops=bishops, knights=knights)


_RULES: Final[dict[MaterialTopic, Callable[[MaterialClaim, chess.Board], Ruling]]] = {
    MaterialTopic.AHEAD: _decide_ahead,
    MaterialTopic.LEVEL: _decide_level,
    MaterialTopic.BISHOP_PAIR: _decide_bishops,
    MaterialTopic.OPPOSITE_BISHOPS: _decide_opposite,
    MaterialTopic.QUEENS_GONE: _decide_queens,
    MaterialTopic.LIGHT_BISHOPS_GONE: _decide_gone,
    MaterialTopic.DARK_BISHOPS_GONE: _decide_gone,
    MaterialTopic.PAWNS_EACH: _decide_pawns,
}


def describe_balance(board: chess.Board, color: chess.Color) -> Evidence:
    """E.g. "white has 1 pawn more (pawns 7 against 6)", "pieces and pawns are level (8 pawns each)"."""
    has = balance(board, color)
    own, other = material(board, color), material(board, not color)
    counts = ((has.queens, "queen"), (has.rooks, "rook"), (has.minors, "minor piece"), (has.pawns, "pawn"))
    parts = [_difference(count, noun) for count, noun in counts if count]
    if not parts:
        return why("material_count.level", pawns=Count(own.pawns, "pawn"))
    listed = Row(tuple(parts), ", ")
    return why("material_count.balance", side=color_term(color), parts=listed, own=own.pawns, other=other.pawns)


def _difference(count: int, noun: str) -> Evidence:
    amount = Count(abs(count), noun)
    return why("material_count.more", amount=amount) if count > 0 else why("material_count.less", amount=amount)


MATERIAL = ClaimKind(Kind.MATERIAL, finder("material_count", _claim), decide)
