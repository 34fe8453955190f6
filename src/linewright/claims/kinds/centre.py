"""Claims about the centre: its kind, the classical pair of pawns, and who has more space."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from enum import Enum

import chess

from linewright.board.centre import Centre, centre, classical_centre, more_space, space
from linewright.claims.model import Kind
from linewright.claims.mood import mood
from linewright.claims.patterns import listed, overlaps
from linewright.claims.registry import ClaimKind, Facts, Found
from linewright.claims.ruling import Ruling, Side, color_name, for_side, holds, negated, ruled, undecided
from linewright.claims.scene import Scene
from linewright.claims.whose import side_of
from linewright.claims.words import Sentence


class What(Enum):
    """What is said of the centre."""

    OPEN = "open"
    CLOSED = "closed"
    CLASSICAL = "classical"
    SPACE = "space"


@dataclass(frozen=True, slots=True)
class CentreClaim:
    what: What
    side: Side
    denied: bool = False


_CLOSED = listed("closed locked blocked")
_PATTERNS = (
    (What.CLASSICAL, re.compile(r"\b(?:(?:classical|classic|ideal|perfect) (?:pawn )?centre"
                               r"|(?:two|both) (?:centre|central) pawns(?: side by side| abreast)"
                               r"|two pawns (?:side by side |abreast )?in the centre)\b")),
    (What.CLOSED, re.compile(rf"\b(?:centre (?:is|stays|remains|has become) (?:now )?(?:completely )?{_CLOSED}"
                             rf"|{_CLOSED} centre)\b")),
    (What.OPEN, re.compile(r"\b(?:centre (?:is|has become) (?:now )?(?:wide |completely )?open|open centre)\b")),
    (What.SPACE, re.compile(r"\b(?:(?:has|have|got|with|enjoys?) (?:a (?:clear |big |nice )?space advantage|more space)"
                            r"|(?:has|have|got) (?:an? )?advantage in space)\b")),
)  # fmt: skip


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
            about = CentreClaim(what, side_of(scene, sentence, clause, trigger), said_as.negated)
            step = scene.step_at(sentence.tokens[trigger[0]].first)
            yield Found(about, *clause, step, said_as)


def decide(claim: CentreClaim, facts: Facts) -> Ruling:
    """Look at the centre by the rules of :mod:`linewright.board.centre`; where trainers use a word more widely than
    the rule does, a miss is left open."""
    board = facts.board
    if claim.what is What.CLASSICAL:
        ruling = for_side(claim.side, lambda color: _classical(board, color))
    elif claim.what is What.SPACE:
        ruling = for_side(claim.side, lambda color: _space(board, color))
    else:
        ruling = _kind(claim.what, centre(board))
    return negated(ruling) if claim.denied else ruling


def _classical(board: chess.Board, color: chess.Color) -> Ruling:
    pair = ("d4", "e4") if color else ("d5", "e5")
    standing = [name for name in pair if board.piece_at(chess.parse_square(name)) == chess.Piece(chess.PAWN, color)]
    told = f"{color_name(color)} pawns on {' and '.join(standing) or 'neither ' + ' nor '.join(pair)}"
    if classical_centre(board, color):
        return holds(told)
    return ruled(False, told) if not standing else undecided(told)


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
