"""Claims that count developed pieces."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

import chess

from linewright.board.development import MINORS, pieces_out
from linewright.claims.claim_kind import ClaimKind, Facts, Found
from linewright.claims.evidence_values import color_term, square_row
from linewright.claims.occurrences import Occurrence, occurrences
from linewright.claims.rulings import BOTH, UNCLEAR, Reach, Ruling, Side, fails, holds, undecided
from linewright.claims.sentence.men import KINDS
from linewright.claims.sentence.owners import named_at, party, resolved
from linewright.claims.sentence.talk_scene import Scene
from linewright.claims.sentence.words import Sentence
from linewright.language.evidence import Evidence, why
from linewright.language.numbers import number
from linewright.language.wordings import Heard, wording
from linewright.lesson.finding import Kind

NAME: Final = "pieces_out"


@dataclass(frozen=True, slots=True)
class SideCount:
    """One side's (or each side's) number of pieces out."""

    side: Side
    count: int


@dataclass(frozen=True, slots=True)
class OutClaim:
    """That the sides have so many pieces developed; all counts must hold by one and the same way of counting.

    :param minors: only knights and bishops are counted, as said.
    :param only: only men of this kind are.
    """

    counts: tuple[SideCount, ...]
    minors: bool = False
    only: chess.PieceType | None = None


def find(sentence: Sentence, scene: Scene) -> Iterator[Found[OutClaim]]:
    """The counts of developed pieces in a sentence."""
    used = -1
    for said in occurrences(NAME, sentence, scene, "out"):
        side, at = owner(said)
        if side is None or said.trigger[0] < used:
            continue
        counts = [SideCount(side, _count(said.heard))]
        used = said.clause[1]
        if against := said.hint("against", said.after):
            counts.append(_other(said, against, side))
            used = max(used, said.trigger[1] + len(against.text.split()))
        about = OutClaim(tuple(counts), bool(said.value("minors")), KINDS.get(said.value("only")))
        yield Found(about, min(said.clause[0], at), used, said.step, said.mood)


def _count(heard: Heard) -> int:
    return number(heard.value("count")) or 0


def owner(said: Occurrence) -> tuple[Side | None, int]:
    """The side whose pieces are counted, and where it is named; "we've each" and "each side" mean both."""
    named: Side | None = None
    at = said.clause[0]
    if wording(f"claims/{NAME}", said.scene.language).hint("of_both", said.after):
        return BOTH, at
    texts = [token.text for token in said.sentence.tokens]
    for i in range(said.trigger[0] - 1, said.clause[0] - 1, -1):
        who = named_at(texts, i, said.scene.language)
        if who is None:
            continue
        side = resolved(said.scene, said.sentence, i, who)
        if named is None or side.reach is Reach.BOTH:
            named, at = side, i
    return named, at


def _other(said: Occurrence, against: Heard, side: Side) -> SideCount:
    """The second count of a comparison; the other side's where none is named."""
    who = party(against.value("who"), said.scene.language)
    if who is not None:
        return SideCount(resolved(said.scene, said.sentence, said.trigger[1], who), _count(against))
    return SideCount(Side.of(not side.color) if side.color is not None else UNCLEAR, _count(against))


#: The ways of counting that trainers use: knights and bishops; the queen too; rooks off the corners too (castled).
WAYS: Final[tuple[tuple[chess.PieceType, ...], ...]] = (
    MINORS,
    (*MINORS, chess.QUEEN),
    (*MINORS, chess.QUEEN, chess.ROOK),
)
_HOW: Final = {
    WAYS[1]: why("pieces_out.with_queen"),
    WAYS[2]: why("pieces_out.with_rooks"),
    (chess.KNIGHT,): why("pieces_out.knights_alone"),
    (chess.BISHOP,): why("pieces_out.bishops_alone"),
}


def decide(claim: OutClaim, facts: Facts) -> Ruling:
    """Count the pieces off their first squares; the claim holds when one way of counting bears all of it out."""
    out = describe_pieces_out(facts.board)
    if any(count.side.reach is Reach.UNCLEAR for count in claim.counts):
        return undecided(why("pieces_out.which_side", out=out))
    ways = WAYS[:1] if claim.minors else WAYS
    for kinds in ways if claim.only is None else ((claim.only,),):
        if all(_is_true(count, facts.board, kinds) for count in claim.counts):
            return holds(why("pieces_out.counted", out=out, how=_HOW[kinds]) if kinds in _HOW else out)
    return fails(out)


def _is_true(count: SideCount, board: chess.Board, kinds: tuple[chess.PieceType, ...]) -> bool:
    return all(len(pieces_out(board, color, kinds)) == count.count for color in count.side.colors)


def describe_pieces_out(board: chess.Board) -> Evidence:
    """E.g. "knights and bishops out: white 3 (c3 f3 e2), black 2 (f6 g7)"."""
    return why("pieces_out.out", white=_side_out(board, chess.WHITE), black=_side_out(board, chess.BLACK))


def _side_out(board: chess.Board, color: chess.Color) -> Evidence:
    side, squares = color_term(color), pieces_out(board, color)
    out = why("pieces_out.none_out", side=side, number=0)
    if squares:
        out = why("pieces_out.some_out", side=side, number=len(squares), squares=square_row(squares))
    return why("pieces_out.queen_too", out=out) if pieces_out(board, color, (chess.QUEEN,)) else out


DEVELOPMENT = ClaimKind(Kind.DEVELOPMENT, find, decide)
