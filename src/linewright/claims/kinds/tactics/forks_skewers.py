"""Claims of forks, double attacks, skewers and discovered attacks, decided by the rules of ``board/tactics.py``."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import chess

from linewright.board.tactics.attacks import skewers
from linewright.board.tactics.motifs import discoveries, forks
from linewright.board.tactics.threats import Aim, threats
from linewright.claims.claim_kind import ClaimKind, Facts
from linewright.claims.kinds.tactic_finder import square_just_moved_to, tactic_finder
from linewright.claims.occurrences import Occurrence
from linewright.claims.rulings import Ruling, fails, holds, undecided
from linewright.claims.sentence.men import Man, man_on, men_on
from linewright.language.evidence import Row, why
from linewright.lesson.finding import Kind, Verdict


@dataclass(frozen=True, slots=True)
class DoubleClaim:
    """A double attack of some sort.

    :param sort: ``fork``, ``attack`` (both are attacked, no more), ``ahead`` (a fork is threatened), ``skewer``,
        ``discovered``.
    :param targets: the men named, none or two.
    :param on: the square a threatened fork comes to.
    :param color: the side that gives it, when known.
    :param by: the square of the man that has just moved.
    """

    sort: str
    targets: tuple[Man, ...] = ()
    on: chess.Square | None = None
    color: chess.Color | None = None
    by: chess.Square | None = None
    denied: bool = False


def _build(said: Occurrence, denied: bool) -> DoubleClaim:
    targets = tuple(said.man(prefix) for prefix in ("a_", "b_") if said.value(f"{prefix}man"))
    by = square_just_moved_to(said.scene, said.step)
    return DoubleClaim(said.form.data["sort"], targets, said.square("on"), said.color("by"), by, denied)


def decide(claim: DoubleClaim, facts: Facts) -> Ruling:
    """Look for the pattern. What the rules don't see may still be there, two moves deep, so only a double attack on
    two men of which no enemy attacks even one fails."""
    board = facts.board
    seen = _RULES[claim.sort](claim, board)
    if claim.denied:
        return undecided(seen.evidence)
    return seen


def _ahead(claim: DoubleClaim, board: chess.Board) -> Ruling:
    colors = chess.COLORS if claim.color is None else (claim.color,)
    for color in sorted(colors, key=lambda c: c == board.turn):
        for threat in threats(board, color):
            if threat.aim is Aim.FORK and claim.on in (None, threat.move.to_square):
                return holds(why("forks_skewers.would_fork", move=threat.san, men=men_on(board, threat.targets)))
    if claim.on is None:
        return undecided(why("forks_skewers.no_fork_ahead"))
    return undecided(why("forks_skewers.no_fork_ahead_on", square=chess.square_name(claim.on)))


def _fork(claim: DoubleClaim, board: chess.Board) -> Ruling:
    for color in chess.COLORS:
        for fork in forks(board, color):
            if _meant(claim, board, fork.targets):
                men = men_on(board, fork.targets)
                return holds(why("forks_skewers.forks", man=man_on(board, fork.by), men=men))
    ruling = _attack(claim, board)
    if claim.targets and ruling.verdict is Verdict.HOLDS:
        return undecided(why("forks_skewers.wins_one", evidence=ruling.evidence))
    return ruling


def _attack(claim: DoubleClaim, board: chess.Board) -> Ruling:
    """Whether one man attacks both, or each is attacked by some man."""
    if not claim.targets:
        return undecided(why("forks_skewers.no_fork"))
    places = [target.squares(board) for target in claim.targets]
    if not all(places):
        return undecided(why("forks_skewers.absent"))
    for square in chess.scan_forward(board.occupied):
        enemy = board.occupied_co[not board.color_at(square)]
        hit = board.attacks(square) & enemy
        if _meant(claim, board, tuple(hit)):
            targets = [s for s in hit if any(s in group for group in places)]
            return holds(why("forks_skewers.attacks", man=man_on(board, square), men=men_on(board, targets)))
    named = [s for group in places for s in group]
    attacked = [s for s in named if board.attackers(not board.color_at(s), s)]
    men = Row(tuple(man_on(board, s) for s in named), ", ")
    if not attacked:
        return fails(why("forks_skewers.unattacked", men=men))
    return undecided(why("forks_skewers.attacked", men=men, attacked=men_on(board, attacked)))


def _meant(claim: DoubleClaim, board: chess.Board, hit: tuple[chess.Square, ...]) -> bool:
    """Whether the men named are among those hit, each another one; any two when none are named."""
    if not claim.targets:
        return len(hit) >= 2
    groups = [set(target.squares(board)) & set(hit) for target in claim.targets]
    return all(groups) and len(set().union(*groups)) >= len(groups)


def _skewer(claim: DoubleClaim, board: chess.Board) -> Ruling:
    for color in chess.COLORS:
        for line in skewers(board, color):
            if not claim.targets or line.front in claim.targets[0].squares(board):
                return holds(
                    why(
                        "forks_skewers.skewers",
                        man=man_on(board, line.attacker),
                        front=man_on(board, line.front),
                        behind=man_on(board, line.behind),
                    )
                )
    return undecided(why("forks_skewers.no_skewer"))


def _discovered(claim: DoubleClaim, board: chess.Board) -> Ruling:
    checkers = board.checkers()
    if checkers and claim.by is not None and claim.by not in checkers:
        by = man_on(board, claim.by)
        return holds(why("forks_skewers.discovered", checkers=men_on(board, checkers), man=by))
    for color in chess.COLORS:
        for found in discoveries(board, color):
            return holds(
                why(
                    "forks_skewers.discovers",
                    man=man_on(board, found.front),
                    slider=man_on(board, found.slider),
                    target=man_on(board, found.target),
                )
            )
    return undecided(why("forks_skewers.no_discovery"))


_RULES: Final = {"ahead": _ahead, "fork": _fork, "attack": _attack, "skewer": _skewer, "discovered": _discovered}

DOUBLE = ClaimKind(Kind.TACTIC, tactic_finder("forks_skewers", _build, apart=True), decide)
