"""Claims that compare development: a lead, fewer pieces out, or equally many."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import chess

from linewright.board.development import pieces_out
from linewright.claims.claim_kind import ClaimKind, Facts, Found
from linewright.claims.kinds.pieces.pieces_out import WAYS, describe_pieces_out, owner
from linewright.claims.occurrences import occurrences
from linewright.claims.rulings import BOTH, Ruling, Side, for_side, negated, ruled, undecided
from linewright.claims.sentence.talk_scene import Scene
from linewright.claims.sentence.words import Sentence
from linewright.language.evidence import why
from linewright.lesson.finding import Kind


@dataclass(frozen=True, slots=True)
class LeadClaim:
    """That a side has more (1), fewer (-1) or equally many (0) pieces out than the other.

    :param counted: pieces were spoken of ("more pieces out"); else "ahead in development", which tempi decide too.
    """

    side: Side
    sign: int
    counted: bool
    denied: bool = False


def find(sentence: Sentence, scene: Scene) -> Iterator[Found[LeadClaim]]:
    """The comparisons of development in a sentence."""
    for said in occurrences("development_lead", sentence, scene):
        sign: int = said.form.data["sign"]
        side, at = owner(said)
        side = side if sign else BOTH
        if side is not None:
            about = LeadClaim(side, sign, bool(said.value("counted")), said.mood.negated)
            yield Found(about, min(said.clause[0], at), said.clause[1], said.step, said.mood)


def decide(claim: LeadClaim, facts: Facts) -> Ruling:
    """Compare the pieces off their first squares, in each way of counting them."""
    ruling = for_side(claim.side, lambda color: _decide_color(claim, facts.board, color))
    return negated(ruling) if claim.denied else ruling


def _decide_color(claim: LeadClaim, board: chess.Board, color: chess.Color) -> Ruling:
    leads = [len(pieces_out(board, color, kinds)) - len(pieces_out(board, not color, kinds)) for kinds in WAYS]
    signs = {(lead > 0) - (lead < 0) for lead in leads}
    out = describe_pieces_out(board)
    if claim.counted or claim.sign in signs:
        return ruled(claim.sign in signs, out)
    return undecided(why("pieces_out.tempi", out=out)) if 0 in signs else ruled(False, out)


LEAD = ClaimKind(Kind.DEVELOPMENT, find, decide)
