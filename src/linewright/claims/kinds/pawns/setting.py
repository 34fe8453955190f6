"""Claims of named structures, outposts, holes and isolated pawns named by their square alone."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

import chess

from linewright.board.structure import pawns
from linewright.board.structure.named_structures import Structure, stands
from linewright.board.structure.squares import holes, outposts
from linewright.claims.claim_kind import ClaimKind, Facts, Found
from linewright.claims.model import Kind
from linewright.claims.rulings import Ruling, color_name, fails, holds, negated, undecided
from linewright.claims.sentence.men import color_of
from linewright.claims.sentence.mood import mood
from linewright.claims.sentence.scene import Scene
from linewright.claims.sentence.words import Sentence
from linewright.language.patterns import listed

#: How trainers name the structures; the names are common property of the trade.
_NAMES: Final = {
    r"carlsbad": Structure.CARLSBAD,
    r"stonewall": Structure.STONEWALL,
    r"hedgehog": Structure.HEDGEHOG,
    r"maroczy": Structure.MAROCZY,
    r"scheveningen": Structure.SCHEVENINGEN,
    r"dragon": Structure.DRAGON,
    r"slav triangle": Structure.SLAV_TRIANGLE,
    r"isolated queen's pawn": Structure.ISOLATED_QUEENS_PAWN,
    r"(?:modern )?benoni": Structure.MODERN_BENONI,
    r"french exchange": Structure.FRENCH_EXCHANGE,
}
_STRUCTURE = re.compile(
    r"\b(?:it's|that's|this is|that is|we have|we've got|we have got|he has|he's got|black has|white has|with|here's|"
    r"know as|get|gets|reached|reach) (?:now |just |simply |really )?(?:a|the|an) (?:typical |classic |classical |"
    r"real |pure |"
    r"standard |so called |well known |famous )*(?:"
    + "|".join(f"(?P<s{n}>{name})" for n, name in enumerate(_NAMES))
    + r") (?:pawn )?(?:structure|formation|skeleton|bind|position|setup|set up)\b"
)
_SQUARE = re.compile(
    rf"\b(?:(?P<who>{listed('white black we he they i')})(?: has| have|'s)?(?: got)? (?:a |an |"
    rf"the )?(?P<kind1>outpost|hole|weak square)s? on "
    rf"(?P<at1>[a-h][1-8])|(?P<at2>[a-h][1-8]) is (?:now |clearly |really |just )*(?P<denied>not )?(?:a |an |"
    rf"the )?(?:wonderful |great |"
    rf"perfect |ideal |terrible |gaping |beautiful |nice |huge |big )*(?P<kind2>outpost|hole|weak square|"
    rf"strong point)(?: for "
    rf"(?P<for>white|black|us|him))?|(?:there's|there is) (?:a |an )(?:wonderful |great |perfect |ideal |terrible |"
    rf"gaping |"
    rf"beautiful |nice |huge |big )*(?P<kind3>outpost|hole|weak square) on (?P<at3>[a-h][1-8]))\b"
)
_ISOLATED = re.compile(
    rf"(?<!on )(?<!and )\b(?P<at1>[a-h][1-8]) (?:is|stays|remains|becomes) (?:now |clearly |still |also )*"
    rf"(?P<denied>not |no longer )?(?P<kind1>isolated|backward|passed)(?= |$)(?! (?:pawn|{listed('in on')}))"
)
_DAMAGED = re.compile(
    r"\b(?P<who>white's|black's|his|our|my|their|her|the) (?:(?P<wing>queenside|kingside) )?(?:pawns?|"
    r"(?:pawn )?structure|queenside|"
    r"kingside)(?: structure| pawns)? (?:is|are|looks) (?:now |badly |slightly |seriously |"
    r"a bit |already |"
    r"completely |really )*(?:damaged|ruined|shattered|wrecked|compromised|weakened|broken up|in ruins|a mess|"
    r"crippled)\b"
)


@dataclass(frozen=True, slots=True)
class SettingClaim:
    """A named structure, or a square with a name.

    :param structure: the structure named, or None.
    :param kind: ``outpost``, ``hole`` (a weak square), ``damaged`` (the structure), or a pawn's trait:
        ``isolated``, ``backward``, ``passed``.
    :param color: who holds the outpost, or the structure; who suffers the hole isn't said by the words.
    """

    structure: Structure | None = None
    kind: str = ""
    square: chess.Square | None = None
    color: chess.Color | None = None
    denied: bool = False


def find(sentence: Sentence, scene: Scene) -> Iterator[Found[SettingClaim]]:
    """The claims of a sentence of structures and squares."""
    for pattern in (_STRUCTURE, _SQUARE, _ISOLATED, _DAMAGED):
        for match in pattern.finditer(sentence.text):
            trigger = sentence.token_range(match.start(), match.end())
            clause = scene.clause(sentence, trigger)
            said_as = mood(scene, sentence, clause, trigger)
            groups = match.groupdict()
            step = scene.step_at(sentence.tokens[trigger[0]].first)
            denied = said_as.negated != bool(groups.get("denied"))
            if pattern is _STRUCTURE:
                named = next(s for n, s in enumerate(_NAMES.values()) if groups[f"s{n}"])
                about = SettingClaim(structure=named, denied=denied)
            elif pattern is _DAMAGED:
                owner = color_of(groups["who"] or "", trigger[0], scene, sentence)
                about = SettingClaim(kind="damaged", color=owner, denied=denied)
            else:
                kind = next(v for k, v in groups.items() if k.startswith("kind") and v)
                at = next(v for k, v in groups.items() if k.startswith("at") and v)
                who = groups.get("who") or groups.get("for") or ""
                kind = {"weak square": "hole", "strong point": "outpost"}.get(kind, kind)
                color = color_of(who, trigger[0], scene, sentence)
                about = SettingClaim(None, kind, chess.parse_square(at), color, denied)
            yield Found(about, *clause, step, said_as)


def decide(claim: SettingClaim, facts: Facts) -> Ruling:
    """By the rules of ``board/``. Trainers use these names more widely than any rule, so that a miss stays undecided;
    only a pawn's trait, which the handbooks agree on, can fail."""
    if claim.structure is not None:
        ruling = _structure(claim.structure, facts.board)
    elif claim.kind == "damaged":
        ruling = _damaged(claim, facts.board)
    elif claim.kind in _TRAITS:
        ruling = _trait(claim, facts.board)
        return negated(ruling) if claim.denied else ruling
    else:
        ruling = _square(claim, facts.board)
    return undecided(ruling.evidence) if claim.denied else ruling


def _structure(structure: Structure, board: chess.Board) -> Ruling:
    sides = [color for color in chess.COLORS if stands(board, structure, color)]
    if sides:
        return holds(f"{structure}, {color_name(sides[0])}'s")
    return undecided(f"not by the rule of board.structures for the {structure}")


def _damaged(claim: SettingClaim, board: chess.Board) -> Ruling:
    """Doubled or isolated pawns are damage by any handbook; other damage is a matter of taste and stays undecided."""
    if claim.color is None:
        return undecided("the words don't say which side is meant")
    bad = {*pawns.isolated(board, claim.color), *pawns.doubled(board, claim.color)}
    names = " ".join(map(chess.square_name, sorted(bad)))
    told = f"{color_name(claim.color)}'s isolated or doubled pawns: {names or 'none'}"
    return holds(told) if bad else undecided(told)


def _square(claim: SettingClaim, board: chess.Board) -> Ruling:
    assert claim.square is not None
    name = chess.square_name(claim.square)
    colors = chess.COLORS if claim.color is None or claim.kind == "hole" else (claim.color,)
    for color in colors:
        if claim.kind == "hole" and claim.square in holes(board, color):
            return holds(f"{name}: no {color_name(color)} pawn guards it or can come to guard it")
        if claim.kind == "outpost" and any(found.square == claim.square for found in outposts(board, color)):
            return holds(f"{name}: guarded by a {color_name(color)} pawn, and no enemy pawn can attack it")
        # Trainers call a square an outpost, too, when pieces alone hold it in the other side's hole.
        if claim.kind == "outpost" and claim.square in holes(board, not color) and board.attackers(color, claim.square):
            return holds(f"{name}: no {color_name(not color)} pawn can attack it, held by {color_name(color)}")
    return undecided(f"{name}: a pawn can still come to guard or attack it, or nothing holds it")


_TRAITS: Final = {"isolated": pawns.isolated, "backward": pawns.backward, "passed": pawns.passed}


def _trait(claim: SettingClaim, board: chess.Board) -> Ruling:
    assert claim.square is not None
    name = chess.square_name(claim.square)
    if board.piece_type_at(claim.square) != chess.PAWN:
        return undecided(f"no pawn stands on {name}")
    color = bool(board.color_at(claim.square))
    found = _TRAITS[claim.kind](board, color)
    told = f"{color_name(color)}'s {claim.kind} pawns: {' '.join(map(chess.square_name, found)) or 'none'}"
    if claim.square in found:
        return holds(told)
    return undecided(told) if claim.kind == "backward" else fails(told)


SETTING = ClaimKind(Kind.STRUCTURE, find, decide)
