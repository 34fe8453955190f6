"""Claims about the centre: its kind, the classical pair of pawns, and who has more space."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from enum import Enum

import chess

from linewright.board.structure.centre import Centre, centre, classical_centre, holders, more_space, space
from linewright.claims.claim_kind import ClaimKind, Facts, Found
from linewright.claims.model import Kind
from linewright.claims.rulings import Ruling, Side, color_name, for_side, holds, negated, ruled, undecided
from linewright.claims.sentence.mood import mood
from linewright.claims.sentence.scene import Scene
from linewright.claims.sentence.whose import party, resolved, side_of
from linewright.claims.sentence.words import Sentence
from linewright.language.numbers import number
from linewright.language.patterns import listed, overlaps


class What(Enum):
    """What is said of the centre."""

    OPEN = "open"
    CLOSED = "closed"
    CLASSICAL = "classical"
    SPACE = "space"
    PAWN = "pawn"
    GUARDED = "guarded"


@dataclass(frozen=True, slots=True)
class CentreClaim:
    what: What
    side: Side
    denied: bool = False
    count: int = 1
    square: chess.Square | None = None


_CLOSED = listed("closed locked blocked")
_PATTERNS = (
    (What.CLASSICAL, re.compile(r"\b(?:(?:classical|classic|ideal|perfect|full|big|broad|large) (?:pawn )?centre"
                               r"|(?:two|both) (?:centre|central) pawns(?: side by side| abreast)"
                               r"|two pawns (?:side by side |abreast )?in the centre)\b")),
    (What.CLOSED, re.compile(rf"\b(?:centre (?:is|stays|remains|has become) (?:now )?(?:completely )?{_CLOSED}"
                             rf"|{_CLOSED} centre)\b")),
    (What.OPEN, re.compile(r"\b(?:centre (?:is|has become) (?:now )?(?:wide |completely )?open|open centre)\b")),
    (What.PAWN, re.compile(r"\b(?P<count>an?|one|two|no) (?:extra )?(?:centre |central )?pawns? (?:right )?(?:in|"
                           r"into) the "
                           r"(?:middle|centre)\b(?! file)")),
    (What.GUARDED, re.compile(r"\b(?P<count>one|two|both|no) (?:of )?(?:the )?"
                              r"(?P<who>my|our|his|their|white|black|white's|black's) "
                              r"pawns? (?:now |already )?(?:guard|cover|control|watch|hold|eye|attack)s? "
                              r"(?P<square>[a-h][1-8])\b")),
    (What.SPACE, re.compile(r"\b(?:(?:has|have|got|with|enjoys?) (?:a (?:clear |big |nice )?space advantage|more space)"
                            r"|(?:has|have|got) (?:an? )?advantage in space)\b")),
)  # fmt: skip


#: Only who has a pawn there is claimed; "he puts a pawn in the centre" is said by the move.
_HAS = re.compile(r"\b(?:has|have|had|got|with|keeps?|[a-z]+'ve|there's|there is|holds?|gets?) $")


def find(sentence: Sentence, scene: Scene) -> Iterator[Found[CentreClaim]]:
    """The claims of a sentence about the centre and space."""
    done: list[tuple[int, int]] = []
    for what, pattern in _PATTERNS:
        for match in pattern.finditer(sentence.text):
            if overlaps(match, done):
                continue
            done.append(match.span())
            trigger = sentence.token_range(match.start(), match.end())
            clause = scene.clause(sentence, trigger)
            said_as = mood(scene, sentence, clause, trigger)
            groups = match.groupdict()
            said = groups.get("count") or "one"
            count = 2 if said == "both" else number(said) or 0
            square = chess.parse_square(groups["square"]) if groups.get("square") else None
            denied = said_as.negated and count > 0
            who = party(groups["who"]) if groups.get("who") else None
            side = resolved(scene, sentence, trigger[0], who) if who else side_of(scene, sentence, clause, trigger)
            about = CentreClaim(what, side, denied, count, square)
            if what is What.PAWN and not _HAS.search(sentence.text[: match.start()]):
                continue
            step = scene.step_at(sentence.tokens[trigger[0]].first)
            yield Found(about, *clause, step, said_as)


def decide(claim: CentreClaim, facts: Facts) -> Ruling:
    """Look at the centre by the rules of ``centre``; where trainers use a word more widely than
    the rule does, a miss is left undecided."""
    board = facts.board
    if claim.what is What.CLASSICAL:
        ruling = for_side(claim.side, lambda color: _classical(board, color))
    elif claim.what is What.SPACE:
        ruling = for_side(claim.side, lambda color: _space(board, color))
    elif claim.what is What.PAWN:
        ruling = for_side(claim.side, lambda color: _pawns(claim.count, board, color))
    elif claim.square is not None:
        place = claim.square
        ruling = for_side(claim.side, lambda color: _guards(claim.count, place, board, color))
    else:
        ruling = _kind(claim.what, centre(board))
    return negated(ruling) if claim.denied else ruling


def _guards(count: int, square: chess.Square, board: chess.Board, color: chess.Color) -> Ruling:
    """At least so many pawns attack the square; none where none is said to."""
    pawns = sorted(board.attackers(color, square) & board.pieces(chess.PAWN, color))
    told = f"{color_name(color)} pawns that guard {chess.square_name(square)}: "
    told += ", ".join(map(chess.square_name, pawns)) or "none"
    return ruled(len(pawns) >= count if count else not pawns, told)


def _classical(board: chess.Board, color: chess.Color) -> Ruling:
    pair = ("d4", "e4") if color else ("d5", "e5")
    standing = [name for name in pair if board.piece_at(chess.parse_square(name)) == chess.Piece(chess.PAWN, color)]
    told = f"{color_name(color)} pawns on {' and '.join(standing) or 'neither ' + ' nor '.join(pair)}"
    if classical_centre(board, color):
        return holds(told)
    return ruled(False, told) if not standing else undecided(told)


def _pawns(count: int, board: chess.Board, color: chess.Color) -> Ruling:
    """Pawns on d4, e4, d5 and e5; a c pawn or one that has only moved to the third rank leaves a miss open."""
    held = holders(board, color)
    told = f"{color_name(color)} pawns in the centre: {' '.join(map(chess.square_name, held)) or 'none'}"
    if (len(held) >= count) if count else not held:
        return holds(told)
    near = any(
        chess.square_rank(s) not in (1, 6) for s in board.pieces(chess.PAWN, color) if 2 <= chess.square_file(s) < 5
    )
    return undecided(told) if near or not count else ruled(False, told)


def _space(board: chess.Board, color: chess.Color) -> Ruling:
    own, other = space(board, color), space(board, not color)
    told = f"squares held in the other half: {color_name(color)} {own}, {color_name(not color)} {other}"
    ahead = more_space(board)
    return holds(told) if ahead is color else undecided(told)


def _kind(what: What, kind: Centre) -> Ruling:
    told = f"the centre is {kind}"
    if kind.value == what.value:
        return holds(told)
    opposite = Centre.CLOSED if what is What.OPEN else Centre.OPEN
    return ruled(False, told) if kind is opposite else undecided(f"{told} by the rule of board.centre")


CENTRE = ClaimKind(Kind.CENTRE, find, decide)
