"""Claims that no pawn of a side can guard a square, or drive a man from it, any more."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

import chess

from linewright.board.structure.squares import can_guard
from linewright.claims.claim_kind import ClaimKind, Facts, Found
from linewright.claims.model import Kind
from linewright.claims.rulings import Ruling, color_name, ruled, undecided
from linewright.claims.sentence.scene import Scene
from linewright.claims.sentence.whose import party, resolved
from linewright.claims.sentence.words import Sentence
from linewright.language.patterns import listed

_GUARDS: Final = listed("guard protect cover defend attack control chase reach hit challenge watch")
_SQUARE: Final = "(?:the square )?(?P<square{n}>[a-h][1-8])"
_BEYOND: Final = re.compile(
    rf"\bno (?P<who1>white|black) pawn (?:can|will|could|is ever going to|is able to)(?: \w+){{0,3}}? {_GUARDS} "
    rf"(?:\w+ )?{_SQUARE.format(n=1)}\b"
    r"|\b(?P<who2>white|black|he|we) (?:can|will|could) (?:never|no longer)(?: again| ever)? (?:chase|drive|kick|hit|"
    rf"attack|guard|cover|protect|defend|control) (?:\w+ ){{0,4}}?{_SQUARE.format(n=2)} (?:again )?with an? pawn\b"
)


@dataclass(frozen=True, slots=True)
class BeyondPawns:
    """That no pawn of a colour can come to guard the square; None where the words leave open whose."""

    color: chess.Color | None
    square: chess.Square


def find(sentence: Sentence, scene: Scene) -> Iterator[Found[BeyondPawns]]:
    """The squares of a sentence that are said to be out of the pawns' reach."""
    for match in _BEYOND.finditer(sentence.text):
        trigger = sentence.token_range(match.start(), match.end())
        groups = {re.sub(r"\d$", "", key): value for key, value in match.groupdict().items() if value}
        who = party(groups["who"])
        color = resolved(scene, sentence, trigger[0], who).color if who else None
        step = scene.step_at(sentence.tokens[trigger[0]].first)
        yield Found(BeyondPawns(color, chess.parse_square(groups["square"])), *scene.clause(sentence, trigger), step)


def decide(claim: BeyondPawns, facts: Facts) -> Ruling:
    """Whether a pawn of the colour guards the square or may come to (``can_guard``)."""
    name = chess.square_name(claim.square)
    if claim.color is None:
        return undecided(f"the words don't say whose pawns can't reach {name}")
    can = can_guard(facts.board, claim.square, claim.color)
    side = color_name(claim.color)
    return ruled(not can, f"{name}: {'a' if can else 'no'} {side} pawn guards it or can come to guard it")


BEYOND_PAWNS = ClaimKind(Kind.STRUCTURE, find, decide)
