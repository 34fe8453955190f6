"""Claims about the pawns as a whole: symmetry, majorities and islands."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

import chess

from linewright.board.structure import pawns
from linewright.board.structure.pawns import Wing
from linewright.claims.claim_kind import ClaimKind, Facts, Found
from linewright.claims.model import Kind
from linewright.claims.rulings import Ruling, Side, color_name, for_side, negated, ruled, undecided
from linewright.claims.sentence.mood import mood
from linewright.claims.sentence.scene import Scene
from linewright.claims.sentence.whose import side_of
from linewright.claims.sentence.words import Sentence
from linewright.language.numbers import SMALL, number
from linewright.language.patterns import either, listed, phrase


@dataclass(frozen=True, slots=True)
class Symmetry:
    """That the pawns of the two sides mirror each other."""

    denied: bool = False


@dataclass(frozen=True, slots=True)
class Majority:
    """That a side has more pawns on a wing, or, with ``counts``, so many against so many."""

    side: Side
    wing: Wing
    counts: tuple[int, int] | None = None
    denied: bool = False


@dataclass(frozen=True, slots=True)
class Islands:
    """That a side's pawns form so many islands (and the other side's so many)."""

    side: Side
    count: int
    other: int | None = None
    denied: bool = False


Shape = Symmetry | Majority | Islands

_PAWNS = either("pawns?", "structures?", "skeletons?", "(?:pawn )?formations?", "chains?")
_SYMMETRY = phrase(
    rf"{_PAWNS}(?: [\w']+){{0,4}} symmetrical",
    "symmetrical (?:pawn )?(?:pawns|structure|skeleton|formation|position)",
    rf"{_PAWNS}(?: [\w']+){{0,4}} (?:mirror each other|a mirror image|identical|the same for both)",
    "(?:position|game|setup) is (?:now |still |completely |perfectly |totally |fully |absolutely )*symmetrical(?! in)",
    "symmetry in the pawn(?:s| structure)",
    "both(?: sides| players)? (?:have|has|got) (?:exactly )?the (?:same|identical) (?:pawns|(?:pawn )?(?:structure"
    "|formation))",
)
_WING = r"(?:on (?:the |his |our |her |my )?)?(?P<wing{n}>queenside|kingside)"
_WHOSE = either("his", "our", "the", "only", "black's", "white's")
_COUNT = (
    rf"(?P<own{{n}}>{SMALL}) (?:pawns? )?(?:against|versus|vs|v|to|on|over) (?:{_WHOSE} "
    rf")?(?P<other{{n}}>{SMALL})(?: pawns?)?"
)
_MAJORITY = re.compile(
    rf"\b(?:{_COUNT.format(n='1')} )?(?:pawn )?majority {_WING.format(n='1')}\b"
    rf"|\b(?P<wing2>queenside|kingside) (?:pawn )?majority\b(?: of {_COUNT.format(n='2')}\b)?"
    rf"|\b{_COUNT.format(n='3')} (?:\w+ )?{_WING.format(n='3')}\b"
    rf"|\b(?:an? )?(?:extra|more) pawns? {_WING.format(n='4')}\b"
    rf"|\b{_WING.format(n='5')} (?:[\w']+ ){{1,5}}?{_COUNT.format(n='5')}\b"
)
_ISLANDS = re.compile(
    rf"\b(?P<own>{SMALL}) (?:pawn )?islands?\b(?! (?:more|less|fewer|extra))"
    rf"(?: (?:against|versus|vs|to) (?:{_WHOSE} )?(?:only )?(?P<other>{SMALL})\b)?"
)
_HAVING = phrase(
    listed(
        "has have had having got get gets keep keeps with leaves left gives gave enjoy enjoys owns possesses there's "
        "that's"
    ),
    listed(
        "is are we've i've they've you've he's white's black's his our her their my your obtains creates makes it's"
    ),
)


def find(sentence: Sentence, scene: Scene) -> Iterator[Found[Shape]]:
    """The claims of a sentence about symmetry, majorities and islands."""
    for pattern, make in ((_SYMMETRY, _symmetry), (_MAJORITY, _majority), (_ISLANDS, _islands)):
        for match in pattern.finditer(sentence.text):
            trigger = sentence.token_range(match.start(), match.end())
            clause = scene.clause(sentence, trigger)
            said_as = mood(scene, sentence, clause, trigger)
            own = " ".join(token.text for token in sentence.tokens[trigger[0] : trigger[1]])
            denied = said_as.negated or bool(re.search(r"\bnot\b|n't\b|no longer", own))
            side = side_of(scene, sentence, clause, trigger)
            before = " ".join(token.text for token in sentence.tokens[clause[0] : trigger[0]])
            about = make(match, side, denied, before)
            if about is None:
                continue
            step = scene.step_at(sentence.tokens[trigger[0]].first)
            yield Found(about, *clause, step, said_as)


def _symmetry(match: re.Match[str], side: Side, denied: bool, before: str) -> Shape | None:
    if re.search(r"\b(?:almost|nearly|quite|practically|more or less)\b", match[0]) and "quite" not in match[0]:
        return None
    return Symmetry(denied)


def _majority(match: re.Match[str], side: Side, denied: bool, before: str) -> Shape | None:
    groups = {re.sub(r"\d$", "", key): value for key, value in match.groupdict().items() if value}
    if not _HAVING.search(f"{before} {match[0]}"):
        return None
    own, other = number(groups.get("own", "")), number(groups.get("other", ""))
    counts = (own, other) if own is not None and other is not None else None
    return Majority(side, Wing(groups["wing"]), counts, denied)


def _islands(match: re.Match[str], side: Side, denied: bool, before: str) -> Shape | None:
    own = number(match["own"])
    if own is None or not _HAVING.search(before):
        return None
    return Islands(side, own, number(match["other"]) if match["other"] else None, denied and own != 0)


def decide(claim: Shape, facts: Facts) -> Ruling:
    """Count the pawns."""
    board = facts.board
    if isinstance(claim, Symmetry):
        ruling = _decide_symmetry(board)
    elif isinstance(claim, Majority):
        ruling = for_side(claim.side, lambda color: _decide_majority(claim, board, color))
    else:
        ruling = for_side(claim.side, lambda color: _decide_islands(claim, board, color))
    return negated(ruling) if claim.denied else ruling


def _decide_symmetry(board: chess.Board) -> Ruling:
    white, black = (_names(pawns.pawns(board, color)) for color in (True, False))
    return ruled(pawns.symmetric(board), f"white {white}, black {black}")


def _decide_majority(claim: Majority, board: chess.Board, color: chess.Color) -> Ruling:
    counts = pawns.wing_counts(board, claim.wing)
    told = " or ".join(
        f"{'abcdefgh'[c.files[0]]}-{'abcdefgh'[c.files[-1]]}: {c.of(color)} against {c.of(not color)}" for c in counts
    )
    evidence = f"{color_name(color)}'s pawns on the {claim.wing}, {told}"
    lead = [c.of(color) - c.of(not color) for c in counts]
    if claim.counts is not None:
        return ruled(any((c.of(color), c.of(not color)) == claim.counts for c in counts), evidence)
    if max(lead) > 0 > min(lead):
        return undecided(f"{evidence}: it depends on whether the centre file counts")
    return ruled(max(lead) > 0, evidence)


def _decide_islands(claim: Islands, board: chess.Board, color: chess.Color) -> Ruling:
    own, other = (pawns.islands(board, c) for c in (color, not color))
    told = ", ".join(
        f"{color_name(c)} has {len(runs)} pawn island{'s' if len(runs) != 1 else ''}"
        for c, runs in ((color, own), (not color, other))
    )
    return ruled(len(own) == claim.count and claim.other in (None, len(other)), told)


def _names(squares: tuple[chess.Square, ...]) -> str:
    return " ".join(map(chess.square_name, squares)) or "none"


SHAPE = ClaimKind(Kind.STRUCTURE, find, decide)
