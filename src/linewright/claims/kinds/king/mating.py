"""Claims of check, mate and threats of mate, decided by the Laws and by exact search of few moves."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

import chess

from linewright.board.tactics.mates import QUIET_MOVES, cannot_stop_mate, mate_in, mates_at_once
from linewright.board.tactics.motifs import as_if_to_move
from linewright.board.tactics.threats import Aim, threats
from linewright.claims.claim_kind import ClaimKind, Facts, Found
from linewright.claims.kinds.events import mood_of
from linewright.claims.model import Kind
from linewright.claims.rulings import Ruling, color_name, fails, holds, negated, ruled, undecided
from linewright.claims.sentence.men import color_of, listing
from linewright.claims.sentence.scene import Scene
from linewright.claims.sentence.words import Sentence
from linewright.engine.signs import CLEAR, WINNING
from linewright.engine.verdict_evidence import cite_verdict
from linewright.language.numbers import number
from linewright.language.patterns import apart, listed

#: Deepest mate looked for without an engine.
DEEPEST: Final = 3
#: A side that an engine gives less than this, in pawns, threatens no mate that has to be dealt with.
SAFE: Final = -CLEAR

_MATE = r"(?:check ?)?mate"
_IT_IS = r"(?:it's|that's|this is|that is|it is|which is|and it's|here it's)"
_WHO = listed("white black we i he they you")
_PATTERNS: Final = (
    ("unstoppable", re.compile(
        rf"\b(?:no way (?:to stop|of stopping|to prevent|to avoid)|(?:can't|cannot|can no longer|can never) (?:stop|"
        rf"prevent|"
        rf"avoid|parry)|no defen[cs]e (?:to|against)|nothing (?:stops|prevents|can stop)|no stopping|"
        rf"there's no stopping)"
        rf" (?:the |this |that )?{_MATE}\b|\b{_MATE} (?:can't|cannot) be (?:stopped|prevented|avoided|parried)"
        rf"|\b(?:unstoppable|unavoidable) {_MATE}\b|\b{_MATE} is (?:unavoidable|unstoppable|inevitable|forced)")),
    ("threat", re.compile(
        rf"\b(?:(?P<who>{_WHO}) )?(?:threatens?|threatening|threat of|threat is|threatened with|is threatening|"
        rf"threatens? to) (?:a |an )?(?:immediate )?{_MATE}(?: (?:on|at) (?P<on>[a-h][1-8]))?(?: in (?P<in1>one|1))?"
        rf"|\b{_MATE} (?:on (?P<on2>[a-h][1-8]) )?is (?:threatened|the threat|"
        rf"in the air)(?: on (?P<on3>[a-h][1-8]))?")),
    ("in", re.compile(
        rf"\b(?:(?:{_IT_IS}|there's|there is|has|have|with) (?:a )?(?:forced )?{_MATE} in"
        rf"|(?P<who>white|black|we|he|they) (?:mates?|forces mate) in) "
        rf"(?P<moves>one|two|three|four|five|\d)(?: moves?)?\b")),
    ("mate", re.compile(rf"\b{_IT_IS} (?:already |simply |just |a )*(?:{_MATE}d?|check and mate)(?! (?:in|threat|if|"
                        rf"soon|attack))\b"
                        rf"|\b(?P<mated>{_WHO}) (?:is|are|was) (?:simply |just |already )*(?:check ?)?mated\b")),
    ("check", re.compile(
        rf"\b{_IT_IS} (?:a |also |just |only )*check(?! ?mate| and mate|ing|ed)\b|\b(?P<checked>the king|"
        rf"the black king|"
        rf"the white king|his king|her king|our king|my king|their king|your king|{_WHO}) (?:is|are|stands?) "
        rf"(?P<denied>not |no longer )?(?:still |now |already )*in check\b")),
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class MateClaim:
    """Something of check or mate.

    :param sort: ``check``, ``mate``, ``in`` (a number of moves), ``threat``, ``unstoppable``.
    :param moves: the number of moves, where one is said.
    :param on: the square that mate is threatened on.
    :param color: who gives it, when known.
    """

    sort: str
    moves: int = 0
    on: chess.Square | None = None
    color: chess.Color | None = None
    denied: bool = False


def find(sentence: Sentence, scene: Scene) -> Iterator[Found[MateClaim]]:
    """The claims of a sentence of check and mate."""
    sorts = {pattern: sort for sort, pattern in _PATTERNS}

    def made(match: re.Match[str]) -> Found[MateClaim]:
        trigger = sentence.token_range(match.start(), match.end())
        clause = scene.clause(sentence, trigger)
        step = scene.step_at(sentence.tokens[trigger[0]].first)
        said_as = mood_of(scene, sentence, clause, trigger, step)
        groups = match.groupdict()
        on = groups.get("on") or groups.get("on2") or groups.get("on3")
        about = MateClaim(
            sorts[match.re],
            number(groups["moves"]) or 0 if groups.get("moves") else 0,
            chess.parse_square(on) if on else None,
            _giver(groups, trigger[0], scene, sentence),
            said_as.negated != bool(groups.get("denied")),
        )
        return Found(about, *clause, step, said_as)

    yield from apart((pattern for _, pattern in _PATTERNS), sentence.text, made)


def _giver(groups: dict[str, str | None], at: int, scene: Scene, sentence: Sentence) -> chess.Color | None:
    """Who gives check or mate: the one named, or the other side of the one that suffers it."""
    if groups.get("who"):
        return color_of(groups["who"] or "", at, scene, sentence)
    suffers = groups.get("mated") or groups.get("checked") or ""
    words = [word for word in suffers.split() if word not in ("the", "king")]
    color = color_of(words[0], at, scene, sentence) if words else None
    return None if color is None else not color


def decide(claim: MateClaim, facts: Facts) -> Ruling:
    """By the Laws for check and mate (FIDE 3.9, 5.1.1); mates ahead by search, then by the engine's verdict."""
    ruling = _RULES[claim.sort](claim, facts)
    if not claim.denied:
        return ruling
    return negated(ruling) if claim.sort in ("check", "mate") else undecided(ruling.evidence)


def _check(claim: MateClaim, facts: Facts) -> Ruling:
    board = facts.board
    if not board.is_check():
        return fails(f"{color_name(board.turn)}, to move, is not in check")
    if claim.color is board.turn:
        return fails(f"{color_name(board.turn)} is in check, not {color_name(not board.turn)}")
    return holds(f"check by {listing(board, board.checkers())}")


def _mate(claim: MateClaim, facts: Facts) -> Ruling:
    board = facts.board
    if board.is_checkmate():
        return ruled(claim.color in (None, not board.turn), f"{color_name(board.turn)} is checkmated")
    # "Queen f2, it's mate": said just before the move, too; and of a mate that can't be stopped.
    return _soon(claim, facts, DEEPEST)


def _in(claim: MateClaim, facts: Facts) -> Ruling:
    return _soon(claim, facts, claim.moves)


def _soon(claim: MateClaim, facts: Facts, most: int) -> Ruling:
    """Whether a side mates in so many moves: exact for few, else the engine's word, else open."""
    board = facts.board
    colors = chess.COLORS if claim.color is None else (claim.color,)
    whole = most <= QUIET_MOVES
    for color in sorted(colors, key=lambda c: c != board.turn):
        moves = as_if_to_move(board, color)
        if moves is None:
            whole = False
            continue
        search = mate_in(moves, min(most, DEEPEST))
        if search.mate is not None:
            line = moves.variation_san(list(search.mate.line))
            if board.turn == color or cannot_stop_mate(board):
                return holds(f"{color_name(color)} mates: {line}")
            return undecided(f"{color_name(color)} would mate, were it to move: {line}")
        whole = whole and search.whole
    if (mate := _engine_mate(facts)) is not None and (mate > 0) in colors:
        told = cite_verdict(facts.assessed, facts.after) if facts.assessed else ""
        return holds(told) if abs(mate) <= most or claim.sort != "in" else undecided(told)
    if whole:
        return fails(f"no mate in {most} in this position")
    return undecided("no mate seen within few moves")


def _engine_mate(facts: Facts) -> int | None:
    best = facts.assessed.best if facts.assessed is not None else None
    return best.score.mate if best is not None else None


def _threat(claim: MateClaim, facts: Facts) -> Ruling:
    """A mate at once after a pass; deeper threats are left undecided."""
    board = facts.board
    colors = chess.COLORS if claim.color is None else (claim.color,)
    for color in sorted(colors, key=lambda c: c == board.turn):
        for threat in threats(board, color):
            if threat.aim is Aim.MATE and claim.on in (None, threat.move.to_square):
                return holds(f"{color_name(color)} threatens {threat.san}")
    if claim.on is not None and not any(board.attackers_mask(color, claim.on) for color in colors):
        return fails(f"{chess.square_name(claim.on)}: nothing of theirs attacks it")
    best = facts.assessed.best if facts.assessed is not None else None
    if facts.assessed is not None and best is not None and len(colors) == 1:
        score = best.score.pawns
        if score is not None and (score if claim.color else -score) < SAFE:
            return fails(f"no mate at once, and {cite_verdict(facts.assessed, facts.after)}")
    return undecided("no mate at once seen")


def _unstoppable(claim: MateClaim, facts: Facts) -> Ruling:
    board = facts.board
    if board.is_checkmate():
        return holds(f"{color_name(board.turn)} is checkmated")
    if claim.color in (None, not board.turn) and cannot_stop_mate(board):
        mating = [board.san(move) for move in board.legal_moves][:1]
        return holds(f"whatever {color_name(board.turn)} plays ({', '.join(mating)} …), mate follows at once")
    if claim.color in (None, board.turn) and mates_at_once(board):
        return holds(f"{color_name(board.turn)} mates at once: {board.san(mates_at_once(board)[0])}")
    if (mate := _engine_mate(facts)) is not None and claim.color in (None, mate > 0):
        return holds(cite_verdict(facts.assessed, facts.after) if facts.assessed else "")
    best = facts.assessed.best if facts.assessed is not None else None
    if facts.assessed is not None and best is not None and abs(best.score.pawns or 0.0) < WINNING:
        return fails(cite_verdict(facts.assessed, facts.after))
    return undecided("no forced mate seen within a move; a deeper one may be there")


_RULES: Final = {"check": _check, "mate": _mate, "in": _in, "threat": _threat, "unstoppable": _unstoppable}

MATING = ClaimKind(Kind.TACTIC, find, decide, asks_engine=True)
