"""Claims about pawns: isolated, doubled, passed, backward and hanging pawns."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from enum import StrEnum
from functools import cache
from typing import Final

import chess

from linewright.board.structure import pawns
from linewright.claims.claim_kind import ClaimKind, Facts
from linewright.claims.evidence_values import color_term, square_row
from linewright.claims.occurrences import Occurrence, finder
from linewright.claims.rulings import BOTH, Reach, Ruling, Side, fails, for_side, holds, negated, undecided
from linewright.claims.sentence.owners import side_of
from linewright.language.evidence import Evidence, Row, Term, Value, together, why
from linewright.language.wordings import table
from linewright.lesson.finding import Kind, Verdict

NAME: Final = "pawn_traits"
Squares = tuple[chess.Square, ...]


class Trait(StrEnum):
    ISOLATED = "isolated"
    DOUBLED = "doubled"
    TRIPLED = "tripled"
    PASSED = "passed"
    PROTECTED = "protected passed"
    BACKWARD = "backward"
    HANGING = "hanging"

    @property
    def term(self) -> Term:
        return Term(self.value)


@dataclass(frozen=True, slots=True)
class PawnClaim:
    """That a side has pawns with the traits.

    :param traits: all claimed of the same pawns.
    :param side: whose pawns.
    :param squares: the squares named, if any.
    :param either: one of the squares is meant ("on c3 or e3"); else each of them.
    :param files: the files named (0 = a), if any.
    :param denied: the claim is that there are none such.
    :param mentioned: the pawns are only taken for granted ("against his isolated d pawn").
    :param rhyming: squares that a recogniser may have mistaken for one named.
    """

    traits: tuple[Trait, ...]
    side: Side
    squares: Squares = ()
    files: tuple[int, ...] = ()
    denied: bool = False
    mentioned: bool = False
    either: bool = False
    rhyming: Squares = ()


def _claim(said: Occurrence) -> PawnClaim | None:
    """What an occurrence claims; None where the words are a plan, or speak of such pawns in general."""
    code = said.scene.language
    squares, files = _places(said, code)
    if said.value("iqp") and not squares:
        files = (chess.FILE_NAMES.index("d"),)
    about = PawnClaim(
        _traits(said, code),
        said.side,
        squares,
        files,
        either=bool(said.value("either")),
        rhyming=_rhyming(squares, code),
    )
    return _BUILD[said.form.name](said, about)


def _sentence(said: Occurrence, about: PawnClaim) -> PawnClaim | None:
    return None if said.value("open") else replace(about, denied=bool(said.value("denied")))


def _deed(said: Occurrence, about: PawnClaim) -> PawnClaim | None:
    if said.hint("not_done", said.before):
        return None
    behind_owner = (said.trigger[0] + 2, said.trigger[0] + 3)
    side = side_of(said.scene, said.sentence, said.trigger, behind_owner)
    return replace(about, side=side, denied=said.mood.negated)


def _noun(said: Occurrence, about: PawnClaim) -> PawnClaim | None:
    definite = said.hint("definite", said.before) is not None
    mentioned = definite or not said.hint("asserts", said.before)
    if mentioned and about.squares and (not said.before or said.hint("bare", said.before)):
        mentioned = False  # "We've ruined his pawns: doubled pawns on c6 and c7."
    # A mere mention takes such a pawn for granted only when it is definite and says where it stands or whose it is.
    placed = about.squares or about.files or about.side.reach is Reach.ONE
    if mentioned and not (definite and placed):
        return None
    # "He can't get rid of the isolated pawn": it is there.
    return replace(about, denied=said.mood.negated and not definite, mentioned=mentioned)


_BUILD: Final = {"sentence": _sentence, "deed": _deed, "noun": _noun}


def _traits(said: Occurrence, code: str) -> tuple[Trait, ...]:
    words = f"{said.value('traits')} {said.value('iqp')}".split()
    traits = list(dict.fromkeys(_trait_words(code)[word] for word in words if word in _trait_words(code)))
    if Trait.PROTECTED in traits and Trait.PASSED in traits:
        traits.remove(Trait.PASSED)
    return tuple(traits)


@cache
def _trait_words(code: str) -> dict[str, Trait]:
    """Each word that says a trait."""
    listed = table(f"claims/{NAME}", code)["traits"].items()
    return {word: Trait[name.upper()] for name, words in listed for word in words.split()}


def _places(said: Occurrence, code: str) -> tuple[Squares, tuple[int, ...]]:
    """Squares and files named before and after the pawn; the files count only where no square is named."""
    words = f"{said.value('files')} {said.value('place')}".split()
    squares = tuple(dict.fromkeys(chess.parse_square(word) for word in words if word in chess.SQUARE_NAMES))
    files = tuple(dict.fromkeys(_file_words(code)[word] for word in words if word in _file_words(code)))
    return squares, () if squares else files


@cache
def _file_words(code: str) -> dict[str, int]:
    """Each word that names a file."""
    names = {name: index for index, name in enumerate(chess.FILE_NAMES)}
    listed = table(f"claims/{NAME}", code)["files"].items()
    return names | {word: names[file] for file, words in listed for word in words.split()}


def _rhyming(squares: Squares, code: str) -> Squares:
    """The squares whose letters rhyme with those of the squares named."""
    groups = table(f"claims/{NAME}", code)["misheard"]["rhymes"].split()
    return tuple(
        chess.parse_square(letter + name[1])
        for name in map(chess.square_name, squares)
        for group in groups
        if name[0] in group
        for letter in group
        if letter in chess.FILE_NAMES and letter != name[0]
    )


def decide(claim: PawnClaim, facts: Facts) -> Ruling:
    """Whether such pawns stand there, on each of the squares named."""
    side = _owner(claim, facts.board)
    if side is None:
        ruling = _decide_no_pawn(claim, facts)
        return undecided(ruling.evidence) if claim.denied else ruling
    ruling = for_side(side, lambda color: _decide_color(claim, facts.board, color))
    ruling = negated(ruling) if claim.denied else ruling
    missing = (
        () if claim.either else tuple(square for square in claim.squares if not _stands(claim, facts.board, square))
    )
    return _decide_missing(claim, ruling, missing, facts) if missing else ruling


def _stands(claim: PawnClaim, board: chess.Board, square: chess.Square) -> bool:
    """Whether a pawn of the side stands on a square."""
    return board.piece_type_at(square) == chess.PAWN and board.color_at(square) in claim.side.colors


def _owner(claim: PawnClaim, board: chess.Board) -> Side | None:
    """Whose pawns are meant, given what stands on the squares named; None when no fitting pawn stands there."""
    if not claim.squares:
        return claim.side
    standing = {board.color_at(square) for square in claim.squares if _stands(claim, board, square)}
    if not standing:
        return None
    if claim.side.reach is Reach.BOTH:
        return claim.side
    if len(standing) == 1:
        return Side.of(bool(standing.pop()))
    # "The pawns on d4 and d5 are isolated": each side's own.
    return BOTH if claim.side.reach is Reach.ANY else claim.side


def _decide_missing(claim: PawnClaim, ruling: Ruling, missing: Squares, facts: Facts) -> Ruling:
    """Pawns stand on some of the squares named, with this ruling, and on the others none: then the claim can't hold."""
    evidence = together([_describe_missing(claim, missing), ruling.evidence])
    if facts.timed:
        return undecided(why("pawn_traits.maybe_misheard", missing=evidence))
    return undecided(evidence) if claim.denied and ruling.verdict is not Verdict.FAILS else fails(evidence)


def _decide_no_pawn(claim: PawnClaim, facts: Facts) -> Ruling:
    """The squares named hold no pawn of the side: a slip of the trainer's, or of the recogniser's."""
    missing = _describe_missing(claim, claim.squares)
    if facts.timed:
        near = _describe_rhyming(claim, facts.board)
        if near:
            return holds(why("pawn_traits.misheard", missing=missing, near=near))
        return undecided(why("pawn_traits.maybe_misheard", missing=missing))
    having = [square for color in claim.side.colors for square in _having(claim.traits[0], facts.board, color)]
    trait = claim.traits[0].term
    return fails(why("pawn_traits.elsewhere", missing=missing, trait=trait, squares=square_row(having)))


def _describe_missing(claim: PawnClaim, squares: Squares) -> Evidence:
    """That no pawn of the side stands on the squares."""
    row = square_row(squares, word="or")
    if claim.side.color is None:
        return why("pawn_traits.no_pawn", squares=row)
    return why("pawn_traits.no_pawn_of", side=color_term(claim.side.color), squares=row)


def _describe_rhyming(claim: PawnClaim, board: chess.Board) -> Evidence | None:
    """The only square of a rhyming file where a pawn with the traits stands; None when there is none or several."""
    fitting = [
        (square, color)
        for square in claim.rhyming
        for color in claim.side.colors
        if all(square in _having(trait, board, color) for trait in claim.traits)
    ]
    if len(fitting) != 1:
        return None
    square, color = fitting[0]
    reason = _describe_trait(claim.traits[0], board, color, (square,))
    return why("pawn_traits.near", square=chess.square_name(square), reason=reason)


_HAVING: Final[dict[Trait, Callable[[chess.Board, chess.Color], Squares]]] = {
    Trait.ISOLATED: pawns.isolated,
    Trait.DOUBLED: pawns.doubled,
    Trait.TRIPLED: pawns.tripled,
    Trait.PASSED: pawns.passed,
    Trait.PROTECTED: pawns.protected_passed,
    Trait.BACKWARD: pawns.backward,
    Trait.HANGING: pawns.hanging_pawns,
}


def _having(trait: Trait, board: chess.Board, color: chess.Color) -> Squares:
    return _HAVING[trait](board, color)


def _having_loosely(trait: Trait, board: chess.Board, color: chess.Color) -> Squares:
    """Pawns that have a trait only in the wide sense some trainers use; () where handbooks agree."""
    if trait is Trait.BACKWARD:
        return (*pawns.unsupported(board, color), *pawns.held_back(board, color))
    if trait is Trait.HANGING:
        return tuple(square for pair in pawns.pairs_alone(board, color) for square in pair)
    return ()


#: At most so many pawns are shown where none is named: two pairs of doubled pawns.
MOST_SHOWN: Final = 4


def _decide_color(claim: PawnClaim, board: chess.Board, color: chess.Color) -> Ruling:
    """Whether ``color`` has pawns with all the traits, where the claim says."""
    strict = _fitting(claim, board, color, loose=False)
    if _are_enough(claim, strict, board, color):
        shown = strict if claim.squares else strict[:MOST_SHOWN]
        return holds(together(_describe_trait(trait, board, color, shown) for trait in claim.traits))
    loose = _fitting(claim, board, color, loose=True)
    if loose and _are_enough(claim, loose, board, color):
        trait, squares = claim.traits[0], square_row(loose, word="and")
        values: dict[str, Value] = {"side": color_term(color), "squares": squares, "trait": trait.term}
        return undecided(why("pawn_traits.wide_sense", rule=_rule(trait), **values))
    return fails(_describe_why_not(claim, board, color))


def _fitting(claim: PawnClaim, board: chess.Board, color: chess.Color, loose: bool) -> Squares:
    """Pawns with every trait on the squares or files named."""
    found = set(pawns.pawns(board, color))
    for trait in claim.traits:
        found &= {*_having(trait, board, color), *(_having_loosely(trait, board, color) if loose else ())}
    if claim.squares:
        found &= set(claim.squares)
    if claim.files:
        found = {square for square in found if chess.square_file(square) in claim.files}
    return tuple(sorted(found))


def _are_enough(claim: PawnClaim, found: Squares, board: chess.Board, color: chess.Color) -> bool:
    """Whether the pawns found bear the claim out: those on the squares named, or one on each file named."""
    if claim.squares:
        own = set(claim.squares) & set(pawns.pawns(board, color))
        return bool(own & set(found)) and (claim.either or own <= set(found))
    if claim.files:
        return {chess.square_file(square) for square in found} >= set(claim.files)
    return bool(found)


def _describe_trait(trait: Trait, board: chess.Board, color: chess.Color, squares: Squares) -> Evidence:
    """Why these pawns have the trait, at a glance."""
    side, other, row = color_term(color), color_term(not color), square_row(squares, word="and")
    match trait:
        case Trait.ISOLATED:
            files = _free_beside(board, color, squares)
            if len(squares) == 1:
                return why("pawn_traits.isolated", side=side, files=files, squares=row)
            return why("pawn_traits.isolated_several", side=side, files=files, squares=row)
        case Trait.DOUBLED | Trait.TRIPLED:
            return why("pawn_traits.doubled", side=side, squares=row, trait=trait.term)
        case Trait.PASSED:
            return why("pawn_traits.passed", other=other, squares=row)
        case Trait.PROTECTED:
            return why("pawn_traits.protected", other=other, squares=row)
    return why("pawn_traits.rule", side=side, squares=row, rule=_rule(trait))


def _free_beside(board: chess.Board, color: chess.Color, squares: Squares) -> Value:
    """The files beside the squares on which the side has no pawn."""
    beside = sorted({chess.square_file(square) + step for square in squares for step in (-1, 1)} & set(range(8)))
    files = [chess.FILE_NAMES[file] for file in beside if not pawns.on_file(board, color, file)]
    return why("pawn_traits.file", file=files[0]) if len(files) == 1 else Row(tuple(files), word="or")


def _rule(trait: Trait) -> Value:
    """The rule of a trait that handbooks define in several ways; else the trait itself."""
    if trait is Trait.BACKWARD:
        return why("pawn_traits.rule_backward")
    return why("pawn_traits.rule_hanging") if trait is Trait.HANGING else trait.term


def _describe_why_not(claim: PawnClaim, board: chess.Board, color: chess.Color) -> Evidence:
    """What stands in the way of the first trait that fails."""
    side, own = color_term(color), pawns.pawns(board, color)
    at = [square for square in own if square in claim.squares or chess.square_file(square) in claim.files]
    for trait in claim.traits:
        having = _having(trait, board, color)
        missing = [chess.square_name(square) for square in at if square not in having]
        all_such = _describe_having(trait, color, having)
        if missing and trait is Trait.ISOLATED:
            row = square_row(_neighbours(own, chess.parse_square(missing[0])), word="and")
            return why("pawn_traits.beside", side=side, square=missing[0], neighbours=row, having=all_such)
        if missing and trait in (Trait.PASSED, Trait.PROTECTED):
            return why("pawn_traits.not_so", side=side, square=missing[0], trait=trait.term, having=all_such)
        if missing or not having or (claim.files and not at):
            return all_such
    traits = Row(tuple(trait.term for trait in claim.traits), word="and")
    return why("pawn_traits.none_with_all", side=side, traits=traits)


def _neighbours(own: Squares, square: chess.Square) -> Iterator[chess.Square]:
    """The pawns on the files beside a square."""
    return (pawn for pawn in own if abs(chess.square_file(pawn) - chess.square_file(square)) == 1)


def _describe_having(trait: Trait, color: chess.Color, having: Squares) -> Evidence:
    side = color_term(color)
    if not having:
        return why("pawn_traits.having_none", side=side, trait=trait.term)
    return why("pawn_traits.having", side=side, trait=trait.term, squares=square_row(having))


PAWNS = ClaimKind(Kind.STRUCTURE, finder(NAME, _claim, apart=True), decide)
