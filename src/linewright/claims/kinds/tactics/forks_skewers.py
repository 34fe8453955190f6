"""Claims of forks, double attacks, skewers and discovered attacks, decided by the rules of ``board/tactics.py``."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

import chess

from linewright.board.tactics.attacks import skewers
from linewright.board.tactics.motifs import discoveries, forks
from linewright.board.tactics.threats import Aim, threats
from linewright.claims.claim_kind import ClaimKind, Facts, Found
from linewright.claims.kinds.events import just_moved, mood_of
from linewright.claims.model import Kind
from linewright.claims.rulings import Ruling, fails, holds, undecided
from linewright.claims.sentence.men import Man, color_of, listing, man, named, told
from linewright.claims.sentence.scene import Scene
from linewright.claims.sentence.words import Sentence
from linewright.language.patterns import apart

_FORK = (
    r"(?:(?:a|the|that|this|an?other) )?(?:(?:nasty|nice|royal|family|deadly|little|horrible|ugly|knight|pawn) )*"
    r"fork"
)
_DOUBLE = r"(?:a )?double (?:attack|threat)"
_PAIR = rf"(?:both )?{man('a')} and {man('b')}"


def _on(n: int) -> str:
    return rf"(?: on (?P<on{n}>[a-h][1-8]))?"


_PATTERNS: Final = (
    # "There's a nasty fork threatened on c7", "threatening a fork", "the threat of a fork on c7"
    ("ahead", re.compile(
        rf"\b(?:(?P<who>white|black|we|i|he|they) )?(?:threatens?|threatening|threat of|threat is|threatening with|"
        rf"with) (?:the |a )?(?:idea of |threat of )?{_FORK}{_on(1)}|\b{_FORK} (?:is |being )?(?:threatened|"
        rf"coming|looming|in the air|waiting){_on(3)}|\b{_FORK} on (?P<on2>[a-h][1-8]) (?:is |being )?"
        rf"(?:threatened|coming|looming|in the air|the threat)")),
    ("fork", re.compile(
        rf"\b(?:(?:it's|that's|this is|that is|with) (?:{_FORK}|{_DOUBLE}))(?: (?:of|on|against))? {_PAIR}")),
    ("fork", re.compile(rf"\b(?:forks|forking|forked) {_PAIR}")),
    ("attack", re.compile(
        rf"\b(?:attacks?|attacking|hits?|hitting|double attack (?:on|against)) {_PAIR}")),
    ("fork", re.compile(rf"\b(?:it's|that's|this is|that is) (?:{_FORK}|{_DOUBLE})\b|\b(?:forks|forking) (?!in)")),
    ("skewer", re.compile(rf"\b(?:skewers|skewering|skewered)(?: {man('a')})?|\b(?:it's|that's|this is) a skewer")),
    ("discovered", re.compile(
        r"\b(?:it's|that's|this is|that is|with|there's|there is|threatens|threatening|gives) (?:a |the )?"
        r"discovered (?P<what>check|attack)")),
)  # fmt: skip


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


def find(sentence: Sentence, scene: Scene) -> Iterator[Found[DoubleClaim]]:
    """The claims of a sentence of double attacks."""
    sorts = {pattern: sort for sort, pattern in _PATTERNS}

    def made(match: re.Match[str]) -> Found[DoubleClaim]:
        trigger = sentence.token_range(match.start(), match.end())
        clause = scene.clause(sentence, trigger)
        step = scene.step_at(sentence.tokens[trigger[0]].first)
        said_as = mood_of(scene, sentence, clause, trigger, step)
        groups = match.groupdict()
        targets = tuple(named(match, name, scene, sentence) for name in "ab" if groups.get(f"{name}man"))
        on = groups.get("on1") or groups.get("on2") or groups.get("on3")
        about = DoubleClaim(
            sorts[match.re],
            targets,
            chess.parse_square(on) if on else None,
            color_of(groups.get("who") or "", trigger[0], scene, sentence),
            just_moved(scene, step),
            said_as.negated,
        )
        return Found(about, *clause, step, said_as)

    yield from apart((pattern for _, pattern in _PATTERNS), sentence.text, made)


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
                return holds(f"{threat.san} would fork {listing(board, threat.targets)}")
    where = f" on {chess.square_name(claim.on)}" if claim.on is not None else ""
    return undecided(f"no fork within one move seen{where}")


def _fork(claim: DoubleClaim, board: chess.Board) -> Ruling:
    for color in chess.COLORS:
        for fork in forks(board, color):
            if _meant(claim, board, fork.targets):
                return holds(f"the {told(board, fork.by)} forks {listing(board, fork.targets)}")
    ruling = _attack(claim, board)
    return (
        undecided(f"{ruling.evidence}; whether it wins one is not seen")
        if claim.targets and _all_hit(claim, board)
        else ruling
    )


def _all_hit(claim: DoubleClaim, board: chess.Board) -> bool:
    return _attack(claim, board).verdict.value == "holds"


def _attack(claim: DoubleClaim, board: chess.Board) -> Ruling:
    """Whether one man attacks both, or each is attacked by some man."""
    if not claim.targets:
        return undecided("no fork seen on the board at this moment")
    places = [target.squares(board) for target in claim.targets]
    if not all(places):
        return undecided("not both of them are on the board at this moment")
    for square in chess.scan_forward(board.occupied):
        enemy = board.occupied_co[not board.color_at(square)]
        hit = board.attacks(square) & enemy
        if _meant(claim, board, tuple(hit)):
            targets = [s for s in hit if any(s in group for group in places)]
            return holds(f"the {told(board, square)} attacks {listing(board, targets)}")
    attacked = [[s for s in group if board.attackers(not board.color_at(s), s)] for group in places]
    named = ", ".join(told(board, s) for group in places for s in group)
    if not any(attacked):
        return fails(f"{named}: nothing attacks them")
    return undecided(f"of {named}, attacked: {listing(board, [s for group in attacked for s in group])}")


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
                    f"the {told(board, line.attacker)} attacks the {told(board, line.front)} and, behind it, "
                    f"the {told(board, line.behind)}"
                )
    return undecided("no skewer seen on the board at this moment")


def _discovered(claim: DoubleClaim, board: chess.Board) -> Ruling:
    checkers = board.checkers()
    if checkers and claim.by is not None and claim.by not in checkers:
        return holds(f"check by {listing(board, checkers)}, discovered by the {told(board, claim.by)}")
    for color in chess.COLORS:
        for found in discoveries(board, color):
            return holds(
                f"when the {told(board, found.front)} moves, the {told(board, found.slider)} attacks "
                f"the {told(board, found.target)}"
            )
    return undecided("no discovered attack seen on the board at this moment")


_RULES: Final = {"ahead": _ahead, "fork": _fork, "attack": _attack, "skewer": _skewer, "discovered": _discovered}

DOUBLE = ClaimKind(Kind.TACTIC, find, decide)
