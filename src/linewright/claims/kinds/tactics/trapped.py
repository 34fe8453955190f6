"""Claims that a piece is trapped or has no squares, or that a man is overloaded."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

import chess

from linewright.board.tactics.exchange import exchange
from linewright.board.tactics.motifs import as_if_to_move, overloads, trapped
from linewright.claims.claim_kind import ClaimKind, Facts, Found
from linewright.claims.kinds.events import mood_of
from linewright.claims.model import Kind, Verdict
from linewright.claims.rulings import Ruling, fails, holds, negated, undecided
from linewright.claims.sentence.men import Man, listing, man, named, told
from linewright.claims.sentence.scene import Scene
from linewright.claims.sentence.words import Sentence
from linewright.language.evidence import together
from linewright.language.patterns import listed

#: With so many safe moves a piece is not trapped, whatever the tactics; with fewer a net may be hidden from the rule.
ROOMY: Final = 3

_PIECE = listed("knight bishop rook queen piece")
_HAS = r"(?: (?:is|has|has got|'s got|was|now|just|simply|completely|really|here|already|actually))*"
_TRAPPED = re.compile(
    rf"\b{man('m', _PIECE)}{_HAS} (?P<denied>not |never |isn't |no longer )?(?:(?:completely|already|just|now) )*"
    rf"(?:trapped(?! in the (?:centre|middle))|no (?:safe )?squares?(?: left| to go(?: to)?| at all)?(?=$| )|"
    rf"nowhere to (?:go|run|hide)|no way (?:out|back)|no escape|caught(?! up))"
)
_CANT_MOVE = re.compile(
    rf"\b{man('m', _PIECE)} (?P<denied>)(?:can't|cannot|can no longer) (?:get (?:out|away)|escape|run away)\b"
)
_OVERLOADED = re.compile(rf"\b{man('m')}{_HAS} (?P<denied>not )?(?:overloaded|overworked|overburdened)\b")


@dataclass(frozen=True, slots=True)
class TrappedClaim:
    """That a piece is trapped, or a man overloaded.

    :param man: who it is said of.
    :param overloaded: it is said to have too many duties, not to be trapped.
    """

    man: Man
    overloaded: bool = False
    denied: bool = False


def find(sentence: Sentence, scene: Scene) -> Iterator[Found[TrappedClaim]]:
    """The claims of a sentence that a piece is trapped or a man overloaded."""
    for pattern in (_TRAPPED, _CANT_MOVE, _OVERLOADED):
        for match in pattern.finditer(sentence.text):
            trigger = sentence.token_range(match.start(), match.end())
            clause = scene.clause(sentence, trigger)
            step = scene.step_at(sentence.tokens[trigger[0]].first)
            said_as = mood_of(scene, sentence, clause, trigger, step)
            denied = said_as.negated != bool(match["denied"])
            about = TrappedClaim(named(match, "m", scene, sentence), pattern is _OVERLOADED, denied)
            yield Found(about, *clause, step, said_as)


def decide(claim: TrappedClaim, facts: Facts) -> Ruling:
    """Rule for each man that may be meant; it holds when it is so of one, and fails when it is so of none for sure."""
    board = facts.board
    meant = claim.man.squares(board)
    if not meant:
        return undecided(f"no such {claim.man} on the board at this moment")
    rule = _overloaded if claim.overloaded else _trapped
    rulings = [rule(board, square) for square in meant]
    holding = [ruling.evidence for ruling in rulings if ruling.verdict is Verdict.HOLDS]
    if holding:
        ruling = holds(together(holding))
    else:
        sure = all(ruling.verdict is Verdict.FAILS for ruling in rulings)
        ruling = Ruling(Verdict.FAILS if sure else Verdict.UNDECIDED, together(ruling.evidence for ruling in rulings))
    return negated(ruling) if claim.denied else ruling


def _trapped(board: chess.Board, square: chess.Square) -> Ruling:
    color = bool(board.color_at(square))
    moves = as_if_to_move(board, color)
    if moves is None or moves.is_check():
        return undecided(f"{told(board, square)}: a check has to be answered first")
    safe = [move for move in moves.generate_legal_moves(chess.BB_SQUARES[square]) if exchange(moves, move) >= 0]
    squares = ", ".join(chess.square_name(move.to_square) for move in safe)
    if not safe and any(found.square == square for found in trapped(board, color)):
        attackers = board.attackers(not color, square)
        evidence = f"{told(board, square)}: no square where it isn't lost"
        return holds(f"{evidence}, attacked by {listing(board, attackers)}" if attackers else evidence)
    if len(safe) >= ROOMY:
        return fails(f"{told(board, square)}: safe on {squares}")
    return undecided(
        f"{told(board, square)}: {f'safe on {squares}' if safe else 'no safe square, but not lost either'}"
    )


def _overloaded(board: chess.Board, square: chess.Square) -> Ruling:
    color = bool(board.color_at(square))
    for found in overloads(board, color):
        if found.defender == square:
            return holds(f"only the {told(board, square)} keeps {listing(board, found.duties)}")
    guarded = [s for s in board.attacks(square) & board.occupied_co[color] if board.attackers(not color, s)]
    if not guarded:
        return fails(f"the {told(board, square)} defends nothing that is attacked")
    return undecided(f"the {told(board, square)} defends {listing(board, guarded)}; no overload seen")


TRAPPED = ClaimKind(Kind.TACTIC, find, decide)
