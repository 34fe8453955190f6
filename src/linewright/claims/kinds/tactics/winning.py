"""Claims that something wins or loses material, or is threatened: by exchange where that decides, else by an engine."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from typing import Final

import chess

from linewright.board.material import balance
from linewright.board.tactics.threats import Aim, threats
from linewright.claims.claim_kind import ClaimKind, Facts, Found
from linewright.claims.evidence_values import color_term
from linewright.claims.kinds.tactic_finder import tactic_finder
from linewright.claims.occurrences import Occurrence
from linewright.claims.rulings import Ruling, fails, holds, undecided
from linewright.claims.sentence.men import Man, men_on
from linewright.claims.sentence.mood import Mood
from linewright.claims.sentence.named_moves import Mention, mentions
from linewright.claims.sentence.talk_scene import Scene
from linewright.claims.sentence.words import Sentence
from linewright.engine.verdict_evidence import cite_verdict
from linewright.language.evidence import Evidence, Number, why
from linewright.lesson.finding import Kind

#: What is won -> points that a score must show beyond the material on the board: somewhat less than the usual
#: values, for the loser gets something for it. Our choice.
ENOUGH: Final = {"pawn": 0.6, "exchange": 1.2, "piece": 2.0, "rook": 3.0, "queen": 4.0, "material": 0.6}
#: The same in the usual points, for captures that win it by exchange.
POINTS: Final = {"pawn": 1, "exchange": 2, "piece": 3, "rook": 5, "queen": 6, "material": 1}
#: A score that shows less than this of what is said to be won makes the words false …
SHORT: Final = 0.4
#: … unless it is only about a pawn, for which a position may well give nothing: then only a score on the wrong side.
PAWN_SHORT: Final = -0.5

#: How many words after those of a threat may still name the move ("threatens to take on g2 *with the queen*").
AFTER_THREAT: Final = 3


@dataclass(frozen=True, slots=True)
class WinClaim:
    """That a side wins, or threatens to win, something.

    :param unit: a name of :data:`POINTS`; empty when only the man threatened is named.
    :param color: the winner, when known; None with ``mover`` for "which wins a piece".
    :param threat: it is said to be threatened, not to be won at once.
    :param man: the man threatened, or the one that gets out at a cost.
    :param square: the square threatened.
    :param mention: the move that threatens, when one is named.
    """

    unit: str = ""
    color: chess.Color | None = None
    threat: bool = False
    man: Man | None = None
    square: chess.Square | None = None
    mention: Mention | None = None


def find(sentence: Sentence, scene: Scene) -> Iterator[Found[WinClaim]]:
    """The claims of a sentence that something is won, lost or threatened."""
    for found in _find(sentence, scene):
        # "Doesn't lose a piece": what doesn't happen can't be seen on the board.
        yield replace(found, mood=Mood(unreal=True)) if found.mood.negated else found


def _build(said: Occurrence, _: bool) -> WinClaim | None:
    return _BUILD[said.form.name](said)


def _threatened(said: Occurrence) -> WinClaim | None:
    tokens, (first, last) = said.sentence.tokens, said.trigger
    named = mentions(tokens, first, min(len(tokens), last + AFTER_THREAT), said.scene.language)
    man = said.man("m_") if said.value("m_man") else None
    if man is not None and man.kind == chess.KING:
        return None
    return WinClaim("", said.color("subject"), True, man, said.square("square"), next(iter(named), None))


def _at_a_cost(said: Occurrence) -> WinClaim:
    man = said.man("m_")
    return WinClaim(said.value("unit"), None if man.color is None else not man.color, False, man)


def _won(said: Occurrence) -> WinClaim | None:
    if said.hint("done", said.sentence.text[: said.heard.start].rstrip()):
        return None
    subject, step = said.color("subject"), said.step
    if subject is None:
        if said.value("subject") or said.scene.last_move(step) is None:
            return None
        subject = not said.scene.board(step).turn  # "Which wins a piece": said of the move just made.
    return WinClaim(said.value("unit"), subject if said.form.name == "wins" else not subject)


_BUILD: Final = {"threat": _threatened, "cost": _at_a_cost, "wins": _won, "loses": _won}
_find = tactic_finder("winning", _build, apart=True)


def decide(claim: WinClaim, facts: Facts) -> Ruling:
    """A capture that wins enough by exchange, for the side to move or threatened after a pass, holds; otherwise the
    engine's score, compared with the material on the board; without either it stays undecided."""
    if claim.threat:
        return _threat(claim, facts.board)
    color = claim.color if claim.color is not None else _hunter(claim, facts.board)
    if color is None:
        return undecided(why("winning.which_side"))
    chances = threats(facts.board, color) if facts.board.turn == color else ()
    for chance in chances:
        if chance.aim is Aim.MATE or (chance.aim is Aim.WIN and chance.points >= POINTS[claim.unit]):
            return holds(what_a_move_does(facts.board, chance.san, chance.aim, chance.targets))
    return _by_score(claim.unit, color, facts)


def _hunter(claim: WinClaim, board: chess.Board) -> chess.Color | None:
    """Whose enemy the man named is, when only one such man is attacked."""
    squares = claim.man.squares(board) if claim.man else ()
    hunted = {board.color_at(s) for s in squares if board.attackers(not board.color_at(s), s)}
    return not hunted.pop() if len(hunted) == 1 else None


def _by_score(unit: str, color: chess.Color, facts: Facts) -> Ruling:
    verdict = facts.assessed
    best = verdict.best if verdict is not None else None
    if verdict is None or best is None:
        return undecided(why("winning.nothing_won"))
    score, sign = cite_verdict(verdict, facts.after), 1 if color else -1
    if best.score.mate is not None:
        return holds(score) if best.score.mate * sign > 0 else undecided(score)
    won = sign * (best.score.pawns or 0.0) - balance(facts.board, color).points
    if won >= ENOUGH[unit]:
        points = Number(balance(facts.board, chess.WHITE).points, "+d")
        return holds(why("winning.beside_material", score=score, points=points))
    short = PAWN_SHORT if ENOUGH[unit] < POINTS["exchange"] / 2 else SHORT
    return fails(score) if won < short else undecided(score)


def _threat(claim: WinClaim, board: chess.Board) -> Ruling:
    """Among what a side could do after a pass, or at once when it is to move. What isn't found stays undecided: a
    threat may lie two moves deep."""
    colors = chess.COLORS if claim.color is None else (claim.color,)
    for color in sorted(colors, key=lambda c: c == board.turn):
        for threat in threats(board, color):
            if _is_meant(claim, board, threat.move, threat.targets, color):
                what = what_a_move_does(board, threat.san, threat.aim, threat.targets)
                if color == board.turn:
                    return holds(why("winning.can_play", side=color_term(color), what=what))
                return holds(why("winning.threatens", side=color_term(color), what=what))
    return undecided(why("winning.no_threat"))


def _is_meant(
    claim: WinClaim, board: chess.Board, move: chess.Move, targets: tuple[chess.Square, ...], color: chess.Color
) -> bool:
    if claim.man is not None and set(claim.man.squares(board)) & set(targets):
        return True
    if claim.square is None or move.to_square != claim.square:
        return False
    kind = claim.mention.piece if claim.mention is not None else None
    return kind in (None, chess.PAWN) or board.piece_type_at(move.from_square) == kind


def what_a_move_does(board: chess.Board, san: str, aim: Aim, targets: Iterable[chess.Square]) -> Evidence:
    """A move with what it does: ``Nxc7+, which forks the king e8 and the rook a8``.

    :param board: on which the targets stand.
    """
    if aim is Aim.MATE:
        return why("winning.mate", move=san)
    if aim is Aim.FORK:
        return why("winning.forks", move=san, men=men_on(board, targets))
    return why("winning.wins", move=san, men=men_on(board, targets))


WINNING = ClaimKind(Kind.TACTIC, find, decide, asks_engine=True)
