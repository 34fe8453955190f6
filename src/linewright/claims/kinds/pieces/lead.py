"""Claims that compare development: a lead, fewer pieces out, or equally many."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

import chess

from linewright.board.development import pieces_out
from linewright.claims.claim_kind import ClaimKind, Facts, Found
from linewright.claims.kinds.pieces.development import WAYS, owner, told
from linewright.claims.model import Kind
from linewright.claims.rulings import BOTH, Ruling, Side, for_side, negated, ruled, undecided
from linewright.claims.sentence.mood import mood
from linewright.claims.sentence.scene import Scene
from linewright.claims.sentence.words import Sentence
from linewright.language.patterns import either, phrase


@dataclass(frozen=True, slots=True)
class LeadClaim:
    """That a side has more (1), fewer (-1) or equally many (0) pieces out than the other.

    :param counted: pieces were spoken of ("more pieces out"); else "ahead in development", which tempi decide too.
    """

    side: Side
    sign: int
    counted: bool
    denied: bool = False


_KIND = "(?:minor )?(?:pieces|minors|men)"
_OUT = either("out", "developed", "in play", "in the game")
_MORE = phrase(
    rf"more {_KIND} {_OUT}",
    "(?:ahead|leads|leading|is ahead) in development",
    "better developed",
    "lead in development",
)
_FEWER = phrase(rf"(?:fewer|less) {_KIND} {_OUT}", "(?:behind|lags|lagging|behind) (?:behind )?in development")
_EQUAL = phrase(
    rf"(?:developed )?(?:equally many|the same number of|just as many|as many) {_KIND}(?: {_OUT})?",
    "development is (?:equal|level|even)", "equally (?:well )?developed", "equal in development",
)  # fmt: skip
_PIECES = re.compile(r"\b(?:pieces|minors|men)\b")


def find(sentence: Sentence, scene: Scene) -> Iterator[Found[LeadClaim]]:
    """The comparisons of development in a sentence."""
    for pattern, sign in ((_MORE, 1), (_FEWER, -1), (_EQUAL, 0)):
        for match in pattern.finditer(sentence.text):
            trigger = sentence.token_range(match.start(), match.end())
            clause = scene.clause(sentence, trigger)
            said_as = mood(scene, sentence, clause, trigger)
            side, at = owner(scene, sentence, clause, trigger)
            if sign == 0:
                side = BOTH
            if side is None:
                continue
            about = LeadClaim(side, sign, bool(_PIECES.search(match[0])), said_as.negated)
            step = scene.step_at(sentence.tokens[trigger[0]].first)
            yield Found(about, min(clause[0], at), clause[1], step, said_as)


def decide(claim: LeadClaim, facts: Facts) -> Ruling:
    """Compare the pieces off their first squares, in each way of counting them."""
    ruling = for_side(claim.side, lambda color: _decide_color(claim, facts.board, color))
    return negated(ruling) if claim.denied else ruling


def _decide_color(claim: LeadClaim, board: chess.Board, color: chess.Color) -> Ruling:
    leads = [len(pieces_out(board, color, kinds)) - len(pieces_out(board, not color, kinds)) for _, kinds in WAYS]
    signs = {(lead > 0) - (lead < 0) for lead in leads}
    if claim.counted or claim.sign in signs:
        return ruled(claim.sign in signs, told(board))
    return undecided(f"{told(board)}; a lead may lie in tempi too") if 0 in signs else ruled(False, told(board))


LEAD = ClaimKind(Kind.DEVELOPMENT, find, decide)
