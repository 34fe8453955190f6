"""Claims of how many legal moves a side has."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

import chess

from linewright.claims.claim_kind import ClaimKind, Facts, Found
from linewright.claims.kinds.events import mood_of
from linewright.claims.model import Kind
from linewright.claims.rulings import Ruling, color_name, ruled, undecided
from linewright.claims.sentence.scene import Scene
from linewright.claims.sentence.words import Sentence
from linewright.language.numbers import number
from linewright.language.patterns import listed

#: So many moves are named in the evidence.
NAMED: Final = 4
_COUNT: Final = listed("no one two three four")
_LEGAL: Final = re.compile(
    rf"\b(?:has|have|got|'ve|there is|there's|there are|with|is|it's) (?:exactly |only |just |precisely )*"
    rf"(?P<count>{_COUNT}|an? single|the only) legal moves?\b"
)


@dataclass(frozen=True, slots=True)
class LegalMoves:
    """That the side to move has exactly so many legal moves."""

    count: int


def find(sentence: Sentence, scene: Scene) -> Iterator[Found[LegalMoves]]:
    """The counts of legal moves in a sentence."""
    for match in _LEGAL.finditer(sentence.text):
        trigger = sentence.token_range(match.start(), match.end())
        clause = scene.clause(sentence, trigger)
        step = scene.step_at(sentence.tokens[trigger[0]].first)
        said = match["count"]
        count = 1 if "single" in said or "only" in said else number(said) or 0
        yield Found(LegalMoves(count), *clause, step, mood_of(scene, sentence, clause, trigger, step))


def decide(claim: LegalMoves, facts: Facts) -> Ruling:
    """Count them (FIDE Laws 3.10)."""
    moves = [facts.board.san(move) for move in facts.board.legal_moves]
    shown = ", ".join(moves[:NAMED]) + (" …" if len(moves) > NAMED else "")
    told = f"{color_name(facts.board.turn)} to move has {len(moves)} legal moves{': ' if moves else ''}{shown}"
    if len(moves) != claim.count and len(list(_other(facts.board))) == claim.count:
        return undecided(f"{told}; the other side would have {claim.count}")
    return ruled(len(moves) == claim.count, told)


def _other(board: chess.Board) -> Iterator[chess.Move]:
    """The moves of the side that is not to move, if it were; none where it gives check."""
    turned = board.copy(stack=False)
    turned.turn = not board.turn
    yield from turned.legal_moves if turned.is_valid() else ()


LEGAL_MOVES = ClaimKind(Kind.TACTIC, find, decide)
