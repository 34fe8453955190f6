"""Claims about pawns: isolated, doubled, passed, backward and hanging pawns."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum

import chess

from linewright.board.structure import pawns
from linewright.claims.claim_kind import ClaimKind, Facts, Found
from linewright.claims.model import Kind
from linewright.claims.rulings import (
    Reach,
    Ruling,
    Side,
    color_name,
    fails,
    for_side,
    holds,
    negated,
    undecided,
)
from linewright.claims.sentence.mood import mood
from linewright.claims.sentence.scene import Scene
from linewright.claims.sentence.whose import side_of
from linewright.claims.sentence.words import Sentence
from linewright.language.patterns import apart, either, listed, phrase


class Trait(StrEnum):
    ISOLATED = "isolated"
    DOUBLED = "doubled"
    TRIPLED = "tripled"
    PASSED = "passed"
    PROTECTED = "protected passed"
    BACKWARD = "backward"
    HANGING = "hanging"


@dataclass(frozen=True, slots=True)
class PawnClaim:
    """That a side has pawns with the traits.

    :param traits: all claimed of the same pawns.
    :param side: whose pawns.
    :param squares: the squares named, if any.
    :param files: the files named (0 = a), if any.
    :param denied: the claim is that there are none such.
    :param mentioned: the pawns are only taken for granted ("against his isolated d pawn").
    """

    traits: tuple[Trait, ...]
    side: Side
    squares: tuple[chess.Square, ...] = ()
    files: tuple[int, ...] = ()
    denied: bool = False
    mentioned: bool = False


_TRAIT_WORDS = {
    "isolated": Trait.ISOLATED, "isolate": Trait.ISOLATED, "iqp": Trait.ISOLATED, "iqps": Trait.ISOLATED,
    "doubled": Trait.DOUBLED, "double": Trait.DOUBLED, "doubles": Trait.DOUBLED, "doubling": Trait.DOUBLED,
    "tripled": Trait.TRIPLED, "triple": Trait.TRIPLED, "trebled": Trait.TRIPLED,
    "passed": Trait.PASSED, "past": Trait.PASSED, "passer": Trait.PASSED, "protected": Trait.PROTECTED,
    "alone": Trait.ISOLATED, "supported": Trait.PROTECTED, "backward": Trait.BACKWARD, "hanging": Trait.HANGING,
}  # fmt: skip
_ADJ = either(listed("isolated doubled tripled trebled passed past protected supported backward"), "all alone")
_MIXED = (
    f"(?:{listed('and but very queen central e d c weak ugly little poor lonely fixed outside distant connected')} )*?"
)
_FILE = either("[a-h][1-8]", "[a-h]", listed("queen's queen king's king queenside kingside centre central white black"))
_FILES = f"(?:{_FILE}(?:(?: and)? {_FILE})* )?"
_SPOT = "(?:the )?(?:[a-h][1-8]|[a-h](?= |$))"
_PLACE = (
    f"(?P<place{{n}}>(?: {listed('here now there too right')})?(?: of {listed('his her our my their its your')} own)?"
    f"(?: (?:on|at|in) {_SPOT}(?: (?:and|or)(?: on)? {_SPOT})*(?: files?)?)?)"
)
#: A noun with its traits: "doubled isolated h pawns", "an iqp on d5", "hanging pawns on c5 and d5".
_NOUN = re.compile(
    rf"\b(?P<adj>{_ADJ}(?: {_MIXED}{_ADJ})*|double|triple|isolate) (?:and "
    rf")?(?P<files>{_FILES})pawns?\b{_PLACE.format(n=1)}"
    rf"|\b(?P<iqp>iqps?)\b{_PLACE.format(n=2)}"
    rf"|\b(?P<passer>(?:protected )?passer)\b{_PLACE.format(n=3)}"
    rf"|\b(?P<hanging>hanging) (?P<files2>{_FILES})pawns\b{_PLACE.format(n=4)}"
)
_VERB = either(
    listed("is are isn't aren't stays stay remains remain becomes become looks look stands stand sits 's it's they're"),
    "(?:has|have) (?:become|been)",
)
_BETWEEN = either(
    listed("now also still really clearly obviously both all not never actually just very badly hopelessly "
           "permanently weak a an"),
    listed("the only then here already simply always indeed even and left so"),
    "no longer", "not necessarily", "going to be", "of course", "by no means", "in no way", "anything but", "far from",
)  # fmt: skip
#: A sentence about a pawn: "the d pawn is isolated", "his pawn on d6 is backward", "the c pawns are doubled".
_COPULA = re.compile(
    rf"\b(?:(?P<files>{_FILE}(?: and {_FILE})?) )?pawns?(?: (?:here|there))?"
    rf"(?: on (?P<squares>{_SPOT}(?: and (?:on )?{_SPOT})?)(?: files?)?)?"
    rf"(?: (?:that |which )?(?P<verb>{_VERB})|"
    rf"(?P<verb2>'s)) (?P<between>(?:{_BETWEEN} )*)(?P<adj>{_ADJ}(?: (?:and )?{_ADJ})*)\b(?! by\b)"
)
#: A deed: "that doubles his c pawns", "doubling our pawns", "isolates the d pawn".
_DEED = re.compile(
    rf"\b(?P<adj>{listed('doubled doubles doubling tripling isolates isolating')}) "
    rf"(?P<owner>{listed('our his her their my your the white black')}(?:'s)?) "
    rf"(?P<files>{_FILES})pawns?\b{_PLACE.format(n=1)}"
)
#: Words that make a noun a claim: somebody has it, there is one.
_ASSERTS = phrase(
    listed("has have had having got gets get getting gains left lands saddled stuck lumbered keep keeps keeping kept "
           "hold holds"),
    listed("accept accepts suffers owns with obtain obtains obtained give gives gave given giving leaves leaving make "
           "makes made"),
    listed("create creates created creating there's that's it's we've he's i've they've black's white's you've "
           "they're is are"),
    listed("inherit inherits produce produces see not no without"),
    "(?:taken|takes|took|take) on", "ends? up", "ended up", "look at", "there (?:is|are)",
)  # fmt: skip
_DEFINITE = re.compile(rf"\b{listed('the this that his her our my their your those these')}$|'s$")
_BARE = ("", "a", "an", "two")


def find(sentence: Sentence, scene: Scene) -> Iterator[Found[PawnClaim]]:
    """The pawn claims of a sentence, in order."""
    return apart((_COPULA, _DEED, _NOUN), sentence.text, lambda match: _claim(sentence, scene, match))


def _claim(sentence: Sentence, scene: Scene, match: re.Match[str]) -> Found[PawnClaim] | None:
    groups = {key: value for key, value in match.groupdict().items() if value}
    trigger = sentence.token_range(match.start(), match.end())
    clause = scene.clause(sentence, trigger)
    said_as = mood(scene, sentence, clause, trigger)
    traits = _traits(groups)
    squares, files = _places(groups)
    before = " ".join(token.text for token in sentence.tokens[clause[0] : trigger[0]])
    denied = said_as.negated
    mentioned = False
    if match.re is _COPULA:
        verb = f"{groups.get('verb', '')} {groups.get('between', '')}"
        denied = bool(re.search(r"n't|\bnot\b|\bno\b|\bnever\b|anything but|far from", verb))
        if "not necessarily" in verb or "going to be" in verb:
            return None
        side = side_of(scene, sentence, clause, trigger)
    elif match.re is _DEED:
        side = side_of(scene, sentence, (trigger[0], trigger[1]), (trigger[0] + 2, trigger[0] + 3))
        if re.search(r"\b(?:to|can|by|without|not)$", before):
            return None
    else:
        side = side_of(scene, sentence, clause, trigger)
        definite = bool(_DEFINITE.search(before))
        denied = denied and not definite  # "he can't get rid of the isolated pawn": it is there
        mentioned = definite or not _ASSERTS.search(before)
        if mentioned and before in _BARE and squares:
            mentioned = False  # "We've ruined his pawns: doubled pawns on c6 and c7."
        if mentioned and not _presupposes(before, side, squares, files):
            return None
    if "iqp" in groups and not squares:
        files = (3,)
    step = scene.step_at(sentence.tokens[trigger[0]].first)
    about = PawnClaim(traits, side, squares, files, denied, mentioned)
    return Found(about, *clause, step, said_as)


def _presupposes(before: str, side: Side, squares: tuple[chess.Square, ...], files: tuple[int, ...]) -> bool:
    """Whether a mere mention takes such a pawn of this position for granted: it must be definite, and say where
    it stands or whose it is."""
    if not _DEFINITE.search(before):
        return False
    return bool(squares) or bool(files) or side.reach is Reach.ONE


def _traits(groups: dict[str, str]) -> tuple[Trait, ...]:
    words = " ".join(groups.get(key, "") for key in ("adj", "iqp", "passer", "hanging")).split()
    traits = list(dict.fromkeys(_TRAIT_WORDS[word] for word in words if word in _TRAIT_WORDS))
    if "isolates" in words or "isolating" in words:
        traits.append(Trait.ISOLATED)
    if "tripling" in words:
        traits.append(Trait.TRIPLED)
    if Trait.PROTECTED in traits and Trait.PASSED in traits:
        traits.remove(Trait.PASSED)
    return tuple(traits)


def _places(groups: dict[str, str]) -> tuple[tuple[chess.Square, ...], tuple[int, ...]]:
    """Squares and files named before and after the pawn."""
    keys = ("files", "files2", "squares", "place1", "place2", "place3", "place4")
    words = " ".join(groups.get(key, "") for key in keys).split()
    squares = tuple(dict.fromkeys(chess.parse_square(w) for w in words if re.fullmatch("[a-h][1-8]", w)))
    files = [ord(w) - 97 for w in words if re.fullmatch("[a-h]", w)]
    files += [3 for w in words if w in ("queen's", "queen")] + [4 for w in words if w in ("king's", "king")]
    named = tuple(dict.fromkeys(files))
    return squares, () if squares else named


def decide(claim: PawnClaim, facts: Facts) -> Ruling:
    """Whether such pawns stand there."""
    board = facts.board
    side = _owner(claim, board)
    if side is None:
        ruling = _no_pawn_there(claim, facts)
    else:
        ruling = for_side(side, lambda color: _for_color(claim, board, color))
    if not claim.denied:
        return ruling
    return undecided(ruling.evidence) if side is None else negated(ruling)


def _owner(claim: PawnClaim, board: chess.Board) -> Side | None:
    """Whose pawns are meant, given what stands on the squares named; None when no fitting pawn stands there."""
    colors = {board.color_at(square) for square in claim.squares if board.piece_type_at(square) == chess.PAWN}
    if not claim.squares:
        return claim.side
    standing = [color for color in claim.side.colors if color in colors]
    if not standing:
        return None
    if claim.side.reach is Reach.BOTH:
        return claim.side
    return Side.of(standing[0]) if len(standing) == 1 else claim.side


def _no_pawn_there(claim: PawnClaim, facts: Facts) -> Ruling:
    """The squares named hold no pawn of the side: a slip of the trainer's, or of the recogniser's."""
    names = " or ".join(chess.square_name(square) for square in claim.squares)
    whose = f"{color_name(claim.side.color)} " if claim.side.color is not None else ""
    told = f"no {whose}pawn stands on {names}"
    if facts.timed:
        near = _sounds_like(claim, facts.board)
        if near:
            return holds(f"{told}; probably misheard: {near} fits")
        return undecided(f"{told}; the square may be misheard")
    here = [_having(claim.traits[0], facts.board, color) for color in claim.side.colors]
    listed = " ".join(chess.square_name(s) for squares in here for s in squares)
    return fails(f"{told}; {claim.traits[0]}: {listed or 'none'}")


#: Letters that rhyme, so that recognisers mix them up.
_RHYMES = ("bcdegptv", "ah", "fs")


def _sounds_like(claim: PawnClaim, board: chess.Board) -> str:
    """The only square of a rhyming file where a pawn with the traits stands, described; "" when none or several."""
    fitting = []
    for square in claim.squares:
        letter, rank = chess.square_name(square)[0], chess.square_name(square)[1]
        for group in _RHYMES:
            if letter not in group:
                continue
            for other in group:
                if other not in "abcdefgh" or other == letter:
                    continue
                near = chess.parse_square(other + rank)
                for color in claim.side.colors:
                    if all(near in _having(trait, board, color) for trait in claim.traits):
                        fitting.append((near, color))
    if len(fitting) != 1:
        return ""
    near, color = fitting[0]
    return f"{chess.square_name(near)}: {_reason(claim.traits[0], board, color, near)}"


def _having(trait: Trait, board: chess.Board, color: chess.Color) -> tuple[chess.Square, ...]:
    return {
        Trait.ISOLATED: pawns.isolated,
        Trait.DOUBLED: pawns.doubled,
        Trait.TRIPLED: pawns.tripled,
        Trait.PASSED: pawns.passed,
        Trait.PROTECTED: pawns.protected_passed,
        Trait.BACKWARD: pawns.backward,
        Trait.HANGING: pawns.hanging_pawns,
    }[trait](board, color)


def _having_loosely(trait: Trait, board: chess.Board, color: chess.Color) -> tuple[chess.Square, ...]:
    """Pawns that have a trait only in the wide sense some trainers use; () where handbooks agree."""
    if trait is Trait.BACKWARD:
        return (*pawns.unsupported(board, color), *pawns.held_back(board, color))
    if trait is Trait.HANGING:
        return tuple(square for pair in pawns.pairs_alone(board, color) for square in pair)
    return ()


def _for_color(claim: PawnClaim, board: chess.Board, color: chess.Color) -> Ruling:
    """Whether ``color`` has pawns with all the traits, where the claim says."""
    name = color_name(color)
    strict = _fitting(claim, board, color, loose=False)
    if _enough(claim, strict, board, color):
        shown = strict if len(strict) <= 2 or claim.squares else strict[:4]
        return holds("; ".join(_reason(trait, board, color, *shown) for trait in claim.traits))
    loose = _fitting(claim, board, color, loose=True)
    if loose and _enough(claim, loose, board, color):
        listed = " and ".join(map(chess.square_name, loose))
        return undecided(f"{name} {listed}: {claim.traits[0]} only in a wide sense ({_rule(claim.traits[0])})")
    return fails(_why_not(claim, board, color))


def _fitting(claim: PawnClaim, board: chess.Board, color: chess.Color, loose: bool) -> tuple[chess.Square, ...]:
    """Pawns with every trait on the squares or files named."""
    found = set(pawns.pawns(board, color))
    for trait in claim.traits:
        found &= {*_having(trait, board, color), *(_having_loosely(trait, board, color) if loose else ())}
    if claim.squares:
        found &= set(claim.squares)
    if claim.files:
        found = {square for square in found if chess.square_file(square) in claim.files}
    return tuple(sorted(found))


def _enough(claim: PawnClaim, found: tuple[chess.Square, ...], board: chess.Board, color: chess.Color) -> bool:
    """Whether the pawns found bear the claim out: on every square or file named, at least one."""
    if claim.squares:
        own = [square for square in claim.squares if square in pawns.pawns(board, color)]
        return bool(own) and set(own) <= set(found) and (len(own) == len(claim.squares) or bool(found))
    if claim.files:
        return {chess.square_file(square) for square in found} >= set(claim.files)
    return bool(found)


def _reason(trait: Trait, board: chess.Board, color: chess.Color, *squares: chess.Square) -> str:
    """Why these pawns have the trait, at a glance."""
    name, names = color_name(color), " and ".join(map(chess.square_name, squares))
    if trait is Trait.ISOLATED:
        beside = sorted(
            {f for s in squares for f in (chess.square_file(s) - 1, chess.square_file(s) + 1) if 0 <= f < 8}
        )
        beside = [f for f in beside if not pawns.on_file(board, color, f)]
        return f"no {name} pawn on {_letters(beside)}: {names} {_is(squares)} isolated"
    if trait in (Trait.DOUBLED, Trait.TRIPLED):
        return f"{name} pawns {names}: {trait}"
    if trait in (Trait.PASSED, Trait.PROTECTED):
        other = color_name(not color)
        kept = " and a pawn protects it" if trait is Trait.PROTECTED else ""
        return f"no {other} pawn in front of {names} on its own or a neighbouring file{kept}"
    return f"{name} {names}: {_rule(trait)}"


def _rule(trait: Trait) -> str:
    return {
        Trait.BACKWARD: "its neighbours have gone ahead and an enemy pawn guards the square in front",
        Trait.HANGING: "c and d pawns abreast on the fourth rank, none beside them, both files half-open",
    }.get(trait, trait)


def _why_not(claim: PawnClaim, board: chess.Board, color: chess.Color) -> str:
    """What stands in the way of the first trait that fails."""
    name = color_name(color)
    for trait in claim.traits:
        having = _having(trait, board, color)
        at = [s for s in pawns.pawns(board, color) if s in claim.squares or chess.square_file(s) in claim.files]
        missing = [s for s in at if s not in having]
        if missing and trait is Trait.ISOLATED:
            square = missing[0]
            beside = [
                s for s in pawns.pawns(board, color) if abs(chess.square_file(s) - chess.square_file(square)) == 1
            ]
            others = " and ".join(map(chess.square_name, beside))
            return f"{name} {chess.square_name(square)} has {others} beside it; {_listed(trait, name, having)}"
        if missing and trait in (Trait.PASSED, Trait.PROTECTED):
            square = missing[0]
            return f"{name} {chess.square_name(square)} is not {trait}; {_listed(trait, name, having)}"
        if missing or not having or (claim.files and not at):
            return _listed(trait, name, having)
    return f"{name} has no pawn that is {' and '.join(claim.traits)}"


def _listed(trait: Trait, name: str, having: tuple[chess.Square, ...]) -> str:
    squares = " ".join(map(chess.square_name, having))
    return f"{name}'s {trait} pawns: {squares}" if squares else f"{name} has no {trait} pawn"


def _letters(files: list[int]) -> str:
    return " or ".join("abcdefgh"[file] for file in files) + (" file" if len(files) == 1 else "")


def _is(squares: tuple[chess.Square, ...]) -> str:
    return "is" if len(squares) == 1 else "are"


PAWNS = ClaimKind(Kind.STRUCTURE, find, decide)
