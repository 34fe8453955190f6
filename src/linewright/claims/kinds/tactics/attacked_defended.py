"""Claims that a man is attacked, hangs, is undefended or protected, decided by attacks and by exchange."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

import chess

from linewright.board.tactics.exchange import loss
from linewright.claims.claim_kind import ClaimKind, Facts, Found
from linewright.claims.kinds.events import just_moved, mood_of
from linewright.claims.model import Kind, Verdict
from linewright.claims.rulings import Ruling, fails, holds, negated, undecided
from linewright.claims.sentence.men import KINDS, Man, color_of, listing, man, named, told
from linewright.claims.sentence.scene import Scene
from linewright.claims.sentence.whose import Party, party
from linewright.claims.sentence.words import Sentence
from linewright.language.patterns import listed

_STATES: Final = {
    "hangs": r"hanging|hangs|en prise|on prise|up for grabs|for free|there for the taking",
    "loose": r"undefended|unprotected|unguarded|loose|not (?:defended|protected|guarded)",
    "safe": r"(?:well |firmly |solidly |twice |amply )?(?:defended|protected|guarded)",
    "attacked": r"attacked(?: twice)?|under attack|under fire|being attacked",
}
_STATE = re.compile(
    rf"\b{man('m')} ?(?:is |are |was |stays |remains |would be )?(?P<denied>not |no longer |never |isn't )?"
    rf"(?:{listed('now still also already just simply always left really')} )*"
    rf"(?:{'|'.join(f'(?P<{name}>{words})' for name, words in _STATES.items())})"
    r"(?! (?:in there|in the air|on to|around|pawns?|passed|structure|file|out|position|opening|squares?)\b)\b"
)
_ACTS = listed("attack attacks attacking hit hits hitting")
_ATTACK = re.compile(
    rf"\b(?:(?P<who>white|black|we|i|he|they|you|we're|i'm|he's|they're|you're|white's|black's) "
    rf"(?:is |are |now |also |already |simply |immediately )*)?(?:{_ACTS}|(?:with|gains?|gaining|wins?|winning|"
    rf"gain of) "
    rf"(?:a |gain of |an? extra |important )*(?:tempo|time) (?:on|against|by (?:attacking|hitting)|attacking|hitting)) "
    rf"(?:at )?(?!.{{0,12}}\bside\b){man('m')}(?! side|(?: and| or) (?:the |his |her |our |my |"
    rf"their )?(?:[a-h] )?(?:king|queen|rook|bishop|knight|pawn)\b)"
)
_UNGUARDED = re.compile(
    rf"\b(?:nothing|nobody) (?:defends|protects|guards|is (?:defending|protecting|guarding)) {man('m')}"
    rf"|\b{man('n')} (?:has|has got|is without|with) (?:no|any|a single) (?:defender|protection|protector|support)s?\b"
)
_BOTH = re.compile(
    rf"\b(?P<both>both|two|the|his|our|my|her|their|white's|black's) (?:of )?(?:(?:the|his|our|white's|black's) )?"
    rf"(?P<men>{listed('pawns knights bishops rooks pieces')}) are (?P<denied>not |no longer )?(?:now |both |still |"
    rf"also |"
    rf"simply |suddenly )*(?:{'|'.join(f'(?P<{name}>{words})' for name, words in _STATES.items())})(?! (?:pawns?|"
    rf"passed|in the air|around))\b"
)


@dataclass(frozen=True, slots=True)
class LooseClaim:
    """Something about the safety of a man.

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


def find(sentence: Sentence, scene: Scene) -> Iterator[Found[LooseClaim]]:
    """The claims of a sentence about the safety of a man."""
    for pattern in (_STATE, _ATTACK, _UNGUARDED, _BOTH):
        for match in pattern.finditer(sentence.text):
            trigger = sentence.token_range(match.start(), match.end())
            clause = scene.clause(sentence, trigger)
            step = scene.step_at(sentence.tokens[trigger[0]].first)
            said_as = mood_of(scene, sentence, clause, trigger, step)
            about = _about(match, scene, sentence, trigger[0], step, said_as.negated)
            if about is not None:
                yield Found(about, *clause, step, said_as)


def _about(
    match: re.Match[str], scene: Scene, sentence: Sentence, at: int, step: int, denied: bool
) -> LooseClaim | None:
    groups = match.groupdict()
    if match.re is _BOTH:
        state = next(name for name in _STATES if groups[name])
        color = color_of(groups["both"] if groups["both"] != "both" else "", at, scene, sentence)
        kind = KINDS.get(groups["men"].removesuffix("s"))
        return LooseClaim(Man(kind, color=color), state, None, denied != bool(groups["denied"]), True)
    if match.re is _UNGUARDED:
        return LooseClaim(named(match, "m" if groups["mman"] else "n", scene, sentence), "loose")
    meant = named(match, "m", scene, sentence)
    if match.re is _STATE:
        state = next(name for name in _STATES if groups[name])
        return LooseClaim(meant, state, None, denied != bool(groups["denied"]))
    subject = color_of(groups["who"] or "", at, scene, sentence)
    # "He" may be a piece as well as a player, so only a colour or "we" tells whose man is hit.
    if subject is not None and meant.color is None and party(groups["who"].split("'")[0]) is not Party.THEM:
        meant = Man(meant.kind, meant.square, meant.file, not subject)
    return LooseClaim(meant, "attacked", just_moved(scene, step), denied)


def decide(claim: LooseClaim, facts: Facts) -> Ruling:
    """Rule for each man that may be meant: holds when it is so of one (the trainer means that one), fails when it is
    so of none; without such a man on the board the words mean another moment."""
    board = facts.board
    meant = claim.man.squares(board)
    if not meant:
        return undecided(f"no such {claim.man} on the board at this moment")
    rulings = [_RULES[claim.state](board, square) for square in meant]
    holding = [ruling for ruling in rulings if ruling.verdict is Verdict.HOLDS]
    if claim.both:
        # Both of one side's, unless it has more of them; a pair that isn't plain from the board stays undecided.
        plain = len(rulings) == len(holding) == 2
        evidence = "; ".join(ruling.evidence for ruling in rulings)
        return holds(evidence) if plain and not claim.denied else undecided(evidence)
    if holding:
        if claim.denied and len(rulings) > 1:
            return undecided("; ".join(ruling.evidence for ruling in rulings))
        ruling = Ruling(Verdict.HOLDS, "; ".join(ruling.evidence for ruling in holding))
    else:
        sure = all(ruling.verdict is Verdict.FAILS for ruling in rulings)
        # Several men of that name, and the words don't say which: they may look a move ahead.
        sure = sure and (len(rulings) == 1 or claim.man.square is not None)
        ruling = Ruling(Verdict.FAILS if sure else Verdict.UNDECIDED, "; ".join(ruling.evidence for ruling in rulings))
    return negated(ruling) if claim.denied else ruling


def _hangs(board: chess.Board, square: chess.Square) -> Ruling:
    """It fails only when nothing attacks the man; enough defenders may be pinned or busy, so that stays undecided."""
    points = loss(board, square)
    evidence = _attacks_and_defends(board, square)
    if points:
        return holds(f"{evidence}: taking it wins {_worth(points)}")
    if not _attackers(board, square):
        return fails(f"{told(board, square)}: nothing attacks it")
    return undecided(f"{evidence}: taking it wins nothing by exchange")


def _loose(board: chess.Board, square: chess.Square) -> Ruling:
    ruling = _safe(board, square)
    return negated(ruling)


def _safe(board: chess.Board, square: chess.Square) -> Ruling:
    """Defended as in FIDE Laws 3.1.2 turned round; by a pinned man only, it is undecided."""
    color = bool(board.color_at(square))
    guards = board.attackers(color, square)
    if not guards:
        return fails(f"{told(board, square)}: defended by nothing")
    evidence = f"{told(board, square)}: defended by {listing(board, guards)}"
    if all(board.is_pinned(color, guard) for guard in guards):
        return undecided(f"{evidence}, pinned")
    # "Protected" with one man against three attackers is loosely said; "undefended" of it would be wrong, too.
    return undecided(f"{_attacks_and_defends(board, square)}") if loss(board, square) else holds(evidence)


def _attacked(board: chess.Board, square: chess.Square) -> Ruling:
    attackers = _attackers(board, square)
    if attackers:
        return holds(f"{told(board, square)}: attacked by {listing(board, attackers)}")
    return fails(f"{told(board, square)}: nothing attacks it")


def _attackers(board: chess.Board, square: chess.Square) -> chess.SquareSet:
    return board.attackers(not board.color_at(square), square)


def _attacks_and_defends(board: chess.Board, square: chess.Square) -> str:
    attackers, guards = _attackers(board, square), board.attackers(bool(board.color_at(square)), square)
    return f"{told(board, square)}: attacked by {listing(board, attackers)}, defended by {listing(board, guards)}"


def _worth(points: int) -> str:
    return "a pawn" if points == 1 else f"{points} points"


_RULES: Final = {"hangs": _hangs, "loose": _loose, "safe": _safe, "attacked": _attacked}

LOOSE = ClaimKind(Kind.TACTIC, find, decide)
