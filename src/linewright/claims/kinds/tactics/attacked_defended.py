"""Claims that a man is attacked, hangs, is undefended or protected, decided by attacks and by exchange."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import chess

from linewright.board.tactics.exchange import loss
from linewright.claims.claim_kind import ClaimKind, Facts
from linewright.claims.kinds.tactic_finder import square_just_moved_to, tactic_finder
from linewright.claims.occurrences import Occurrence
from linewright.claims.rulings import Ruling, fails, holds, negated, undecided
from linewright.claims.sentence.men import KINDS, Man, man_on, men_on
from linewright.claims.sentence.owners import Party, party
from linewright.language.evidence import Count, Evidence, Value, together, why
from linewright.lesson.finding import Kind, Verdict


@dataclass(frozen=True, slots=True)
class LooseClaim:
    """A claim about the safety of a man.

    :param man: who it is said of.
    :param state: ``hangs``, ``loose`` (undefended), ``safe`` (protected) or ``attacked``.
    :param by: the square of the man that has just moved, when an attack is claimed for it.
    :param denied: it is said not to be so.
    :param both: of two such men at least, as in "both knights hang".
    """

    man: Man
    state: str
    by: chess.Square | None = None
    denied: bool = False
    both: bool = False


def _build(said: Occurrence, denied: bool) -> LooseClaim:
    return _BUILD[said.form.name](said, denied)


def _state(said: Occurrence, denied: bool) -> LooseClaim:
    return LooseClaim(said.man(), said.value("state"), None, denied != bool(said.value("denied")))


def _attack(said: Occurrence, denied: bool) -> LooseClaim:
    meant, attacker = said.man(), said.value("attacker")
    subject = said.color("attacker")
    # "He" may be a piece as well as a player, so only a colour or "we" tells whose man is hit.
    if subject is not None and meant.color is None and party(attacker, said.scene.language) is not Party.THEM:
        meant = Man(meant.kind, meant.square, meant.file, not subject)
    return LooseClaim(meant, "attacked", square_just_moved_to(said.scene, said.step), denied)


def _unguarded(said: Occurrence, denied: bool) -> LooseClaim:
    return LooseClaim(said.man(), "loose")


def _both(said: Occurrence, denied: bool) -> LooseClaim:
    meant = Man(KINDS.get(said.value("men")), color=said.color("both"))
    return LooseClaim(meant, said.value("state"), None, denied != bool(said.value("denied")), True)


_BUILD: Final = {"state": _state, "attack": _attack, "unguarded": _unguarded, "both": _both}


def decide(claim: LooseClaim, facts: Facts) -> Ruling:
    """Rule for each man that may be meant: holds when it is so of one (the trainer means that one), fails when it is
    so of none; without such a man on the board the words mean another moment."""
    board = facts.board
    meant = claim.man.squares(board)
    if not meant:
        return undecided(why("attacked_defended.absent", man=claim.man.term()))
    rulings = [_RULES[claim.state](board, square) for square in meant]
    holding = [ruling for ruling in rulings if ruling.verdict is Verdict.HOLDS]
    if claim.both:
        # Both of one side's, unless it has more of them; a pair that isn't plain from the board stays undecided.
        certain = len(rulings) == len(holding) == 2 and not claim.denied
        return Ruling(Verdict.HOLDS if certain else Verdict.UNDECIDED, together(r.evidence for r in rulings))
    if holding and claim.denied and len(rulings) > 1:
        return undecided(together(ruling.evidence for ruling in rulings))
    if holding:
        ruling = holds(together(ruling.evidence for ruling in holding))
    else:
        sure = all(ruling.verdict is Verdict.FAILS for ruling in rulings)
        # Several men of that name, and the words don't say which: they may look a move ahead.
        sure = sure and (len(rulings) == 1 or claim.man.square is not None)
        verdict = Verdict.FAILS if sure else Verdict.UNDECIDED
        ruling = Ruling(verdict, together(ruling.evidence for ruling in rulings))
    return negated(ruling) if claim.denied else ruling


def _hangs(board: chess.Board, square: chess.Square) -> Ruling:
    """It fails only when nothing attacks the man; enough defenders may be pinned or busy, so that stays undecided."""
    points = loss(board, square)
    if points:
        return holds(why("attacked_defended.wins", balance=_balance(board, square), what=Count(points, "point")))
    if not _attackers(board, square):
        return fails(why("attacked_defended.unattacked", man=man_on(board, square)))
    return undecided(why("attacked_defended.wins_nothing", balance=_balance(board, square)))


def _loose(board: chess.Board, square: chess.Square) -> Ruling:
    return negated(_safe(board, square))


def _safe(board: chess.Board, square: chess.Square) -> Ruling:
    """Defended as in FIDE Laws 3.1.2 turned round; by a pinned man only, it is undecided."""
    color = bool(board.color_at(square))
    guards = board.attackers(color, square)
    if not guards:
        return fails(why("attacked_defended.undefended", man=man_on(board, square)))
    values: dict[str, Value] = {"man": man_on(board, square), "guards": men_on(board, guards)}
    if all(board.is_pinned(color, guard) for guard in guards):
        return undecided(why("attacked_defended.defended_pinned", **values))
    # "Protected" with one man against three attackers is loosely said; "undefended" of it would be wrong, too.
    return (
        undecided(_balance(board, square))
        if loss(board, square)
        else holds(why("attacked_defended.defended", **values))
    )


def _attacked(board: chess.Board, square: chess.Square) -> Ruling:
    attackers, man = _attackers(board, square), man_on(board, square)
    if attackers:
        return holds(why("attacked_defended.attacked", man=man, attackers=men_on(board, attackers)))
    return fails(why("attacked_defended.unattacked", man=man))


def _attackers(board: chess.Board, square: chess.Square) -> chess.SquareSet:
    return board.attackers(not board.color_at(square), square)


def _balance(board: chess.Board, square: chess.Square) -> Evidence:
    attackers, guards = _attackers(board, square), board.attackers(bool(board.color_at(square)), square)
    return why(
        "attacked_defended.balance",
        man=man_on(board, square),
        attackers=men_on(board, attackers),
        guards=men_on(board, guards),
    )


_RULES: Final = {"hangs": _hangs, "loose": _loose, "safe": _safe, "attacked": _attacked}

LOOSE = ClaimKind(Kind.TACTIC, tactic_finder("attacked_defended", _build), decide)
