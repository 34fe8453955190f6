"""Claims about the right to castle."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Final

import chess

from linewright.board.castling import Castling, looks_castled, may_still_castle
from linewright.claims.claim_kind import PLAIN, ClaimKind, Facts, Found
from linewright.claims.evidence_values import color_term
from linewright.claims.occurrences import Occurrence, finder
from linewright.claims.rulings import BOTH, Ruling, Side, fails, for_side, holds, ruled, undecided
from linewright.claims.sentence.owners import named_at, resolved
from linewright.claims.sentence.talk_scene import Scene
from linewright.claims.sentence.words import Sentence
from linewright.language.evidence import Row, Term, Value, why
from linewright.language.wordings import word_set
from linewright.lesson.finding import Kind

#: How many words after its own may say that the right is lost for good ("can't castle *any more*").
TAIL: Final = 2
WINGS: Final = (Castling.KINGSIDE, Castling.QUEENSIDE)


@dataclass(frozen=True, slots=True)
class RightClaim:
    """That a side has lost, or still has, the right to castle.

    :param lost: it is said to be lost.
    :param which: on which wing, where said.
    :param passing: "can't castle now", which may mean only that it is not possible on the next move.
    """

    side: Side
    lost: bool
    which: Castling = Castling.EITHER
    passing: bool = False


def find(sentence: Sentence, scene: Scene) -> Iterator[Found[RightClaim]]:
    """The claims of a sentence about the right to castle."""
    # "He'll never castle" and "he may no longer castle" are plain, whatever the mood of such words elsewhere.
    return (replace(found, mood=PLAIN) for found in _find(sentence, scene))


def _build(said: Occurrence) -> RightClaim | None:
    if _is_unreal(said):
        return None
    denied = bool(said.value("loses")) and said.hint("denied", said.before) is not None
    wing = said.value("wing")
    return RightClaim(
        _owner(said),
        (said.form.name == "lost") != denied,
        Castling(wing) if wing else Castling.EITHER,
        bool(said.value("passing")) and not _for_good(said),
    )


def _is_unreal(said: Occurrence) -> bool:
    """A plan or condition; words such as "can" and "never" inside the claim itself are its own affair."""
    own = said.hint("of_the_right", said.before)
    if said.mood.unreal and own is None:
        return True
    return said.hint("planned", said.before[: own.start] if own else said.before) is not None


def _for_good(said: Occurrence) -> bool:
    """ "Any more", "ever again": the right is meant, not the next move."""
    tokens, (first, last) = said.sentence.tokens, said.trigger
    return said.hint("for_good", " ".join(token.text for token in tokens[first : last + TAIL])) is not None


def _owner(said: Occurrence) -> Side:
    """The last side named before the claim's words: "his king can never castle now"."""
    if said.value("both"):
        return BOTH
    texts, code = [token.text for token in said.sentence.tokens], said.scene.language
    no_owner = word_set("claims/castling_right", "no_owner", code)
    for i in range(said.trigger[0] - 1, said.clause[0] - 1, -1):
        if texts[i] not in no_owner and (who := named_at(texts, i, code)):
            return resolved(said.scene, said.sentence, i, who)
    return said.side


_find = finder("castling_right", _build, apart=True)


def decide(claim: RightClaim, facts: Facts) -> Ruling:
    """Look at the rights of the position (FIDE Laws 3.8.2.1)."""
    return for_side(claim.side, lambda color: _decide_color(claim, facts.board, color))


def _decide_color(claim: RightClaim, board: chess.Board, color: chess.Color) -> Ruling:
    king = board.king(color)
    on = why("castling_right.no_king")
    if king is not None:
        on = why("castling_right.king_on", square=chess.square_name(king))
    where: dict[str, Value] = {"side": color_term(color), "king": on}
    if not may_still_castle(board, color, claim.which):
        return _without_right(claim, board, color, where)
    kept = tuple(Term(wing) for wing in WINGS if may_still_castle(board, color, wing))
    keeps = why("castling_right.keeps", wings=Row(kept, word="and"), **where)
    if not claim.lost:
        return holds(keeps)
    return undecided(why("castling_right.next_move", evidence=keeps)) if claim.passing else fails(keeps)


def _without_right(claim: RightClaim, board: chess.Board, color: chess.Color, where: dict[str, Value]) -> Ruling:
    if looks_castled(board, color):
        evidence = why("castling_right.looks_castled", **where)
        return undecided(evidence) if claim.lost else fails(evidence)
    if claim.which is Castling.EITHER:
        return ruled(claim.lost, why("castling_right.lost", **where))
    return ruled(claim.lost, why("castling_right.lost_on_wing", wing=Term(claim.which), **where))


KING = ClaimKind(Kind.KING, find, decide)
