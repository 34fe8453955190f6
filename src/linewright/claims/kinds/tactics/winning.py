"""Claims that something wins or loses material, or is threatened: by exchange where that decides, else by an engine."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

import chess

from linewright.board.material import balance
from linewright.board.tactics.threats import Aim, threats
from linewright.claims.claim_kind import ClaimKind, Facts, Found
from linewright.claims.kinds.events import mood_of
from linewright.claims.model import Kind
from linewright.claims.rulings import Ruling, color_name, fails, holds, undecided
from linewright.claims.sentence.men import Man, color_of, listing, man, named
from linewright.claims.sentence.mood import Mood
from linewright.claims.sentence.named_moves import Mention, mentions
from linewright.claims.sentence.scene import Scene
from linewright.claims.sentence.words import Sentence
from linewright.engine.verdict_evidence import cite_verdict
from linewright.language.patterns import apart, listed

#: What is won -> points that a score must show beyond the material on the board: somewhat less than the usual
#: values, for the loser gets something for it. Our choice.
ENOUGH: Final = {"pawn": 0.6, "exchange": 1.2, "piece": 2.0, "rook": 3.0, "queen": 4.0, "material": 0.6}
#: The same in the usual points, for captures that win it by exchange.
POINTS: Final = {"pawn": 1, "exchange": 2, "piece": 3, "rook": 5, "queen": 6, "material": 1}
#: A score that shows less than this of what is said to be won makes the words false …
SHORT: Final = 0.4
#: … unless it is only about a pawn, for which a position may well give nothing: then only a score on the wrong side.
PAWN_SHORT: Final = -0.5

_UNIT = (
    rf"(?:an? |the |his |her |their |our |my |your |at least |some |whole |full |clear |good |clean |minor |"
    rf"black's |white's )*(?P<unit>pawn|piece|exchange|rook|queen|knight|bishop|material)"
    rf"(?! (?:ending|endgame|structure|race|up|down|on|side|islands?|back|to|in|into|off|out|"
    rf"from))(?! {listed('move moves chain majority')})\b"
)
_SUBJECT = listed("white black we he they i you that this it which who there what everything")
_ADVERB = r"(?:(?:simply|just|now|also|actually|immediately|already|always|at least|is|are|then) )*"
_WINS = listed("wins winning win nets collects pockets")
_LOSES = listed("loses losing lose drops dropping costs sheds forfeits")
_PATTERNS: Final = (
    ("cost", re.compile(
        rf"\b{man('m')} (?:can only|only) (?:ever )?(?:gets? out|gets? away|escapes?|be saved|survives?|comes? out) "
        rf"(?:at the (?:cost|price|expense) of|by (?:giving up|losing|shedding|sacrificing)|for|"
        rf"with the loss of) {_UNIT}")),
    ("threat", re.compile(
        rf"\b(?:(?P<who>{_SUBJECT}) )?(?:is |are )?(?:threatens?|threatening|threat is|threat of|threatens again) "
        rf"(?:to (?:win|take|capture|grab|snap off|eat) |(?:of )?(?:taking|winning|capturing) )?(?:on |back )?"
        rf"(?:(?P<square>[a-h][1-8])(?!\w)|{man('m')})(?! to\b)")),
    ("wins", re.compile(rf"\b(?:(?P<who>{_SUBJECT}) )?{_ADVERB}(?:{_WINS}) {_UNIT}")),
    ("loses", re.compile(rf"\b(?:(?P<who>{_SUBJECT}) )?{_ADVERB}(?:{_LOSES}) (?:(?:him|us|white|black) )?{_UNIT}")),
)  # fmt: skip
#: Words of what has happened: the material count decides those.
_DONE = re.compile(r"\b(?:has|have|had|'s|'ve|\w+'ve|\w+'s|after|just|by|of|for|without)(?: now| already| just)? $")


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
    sorts = {pattern: sort for sort, pattern in _PATTERNS}

    def made(match: re.Match[str]) -> Found[WinClaim] | None:
        sort = sorts[match.re]
        if sort in ("wins", "loses") and _DONE.search(sentence.text[: match.start()]):
            return None
        trigger = sentence.token_range(match.start(), match.end())
        clause = scene.clause(sentence, trigger)
        step = scene.step_at(sentence.tokens[trigger[0]].first)
        said_as = mood_of(scene, sentence, clause, trigger, step)
        if said_as.negated:
            # "Doesn't lose a piece": what doesn't happen can't be seen on the board.
            said_as = Mood(unreal=True)
        about = _about(sort, match, scene, sentence, trigger, step)
        return Found(about, *clause, step, said_as) if about else None

    yield from apart((pattern for _, pattern in _PATTERNS), sentence.text, made)


def _about(
    sort: str, match: re.Match[str], scene: Scene, sentence: Sentence, trigger: tuple[int, int], step: int
) -> WinClaim | None:
    groups = match.groupdict()
    subject = color_of(groups.get("who") or "", trigger[0], scene, sentence)
    unit = {"knight": "piece", "bishop": "piece"}.get(groups.get("unit") or "", groups.get("unit") or "")
    if sort == "threat":
        mention = next(iter(mentions(sentence.tokens, trigger[0], min(len(sentence.tokens), trigger[1] + 2))), None)
        square = chess.parse_square(groups["square"]) if groups["square"] else None
        meant = named(match, "m", scene, sentence) if groups["mman"] else None
        if meant is not None and meant.kind == chess.KING:
            return None
        return WinClaim("", subject, True, meant, square, mention)
    if sort == "cost":
        meant = named(match, "m", scene, sentence)
        return WinClaim(unit, None if meant.color is None else not meant.color, False, meant)
    mover = scene.last_move(step) is not None
    if subject is None and (groups.get("who") not in ("that", "this", "it", "which", None) or not mover):
        return None
    if subject is None:
        # "Which wins a piece": said of the move just made.
        subject = not scene.board(step).turn
    return WinClaim(unit, subject if sort == "wins" else not subject)


def decide(claim: WinClaim, facts: Facts) -> Ruling:
    """A capture that wins enough by exchange, for the side to move or threatened after a pass, holds; otherwise the
    engine's score, compared with the material on the board; without either it stays undecided."""
    if claim.threat:
        return _threat(claim, facts.board)
    color = claim.color if claim.color is not None else _hunter(claim, facts.board)
    if color is None:
        return undecided("the words don't say which side is meant")
    chances = threats(facts.board, color) if facts.board.turn == color else ()
    for chance in chances:
        if chance.aim is Aim.MATE or (chance.aim is Aim.WIN and chance.points >= POINTS[claim.unit]):
            return holds(_told(facts.board, chance.san, chance.targets, chance.aim))
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
        return undecided("nothing won by exchange at once, and no engine verdict")
    told = cite_verdict(verdict, facts.after)
    sign = 1 if color else -1
    if best.score.mate is not None:
        return holds(told) if best.score.mate * sign > 0 else undecided(told)
    won = sign * (best.score.pawns or 0.0) - balance(facts.board, color).points
    if won >= ENOUGH[unit]:
        return holds(f"{told}, with the material on the board at {balance(facts.board, chess.WHITE).points:+d}")
    short = PAWN_SHORT if ENOUGH[unit] < POINTS["exchange"] / 2 else SHORT
    return fails(told) if won < short else undecided(told)


def _threat(claim: WinClaim, board: chess.Board) -> Ruling:
    """Among what a side could do after a pass, or at once when it is to move. What isn't found stays undecided: a
    threat may lie two moves deep."""
    colors = chess.COLORS if claim.color is None else (claim.color,)
    for color in sorted(colors, key=lambda c: c == board.turn):
        for threat in threats(board, color):
            if _is_meant(claim, board, threat.move, threat.targets, color):
                verb = "threatens" if color != board.turn else "can play"
                return holds(f"{color_name(color)} {verb} {_told(board, threat.san, threat.targets, threat.aim)}")
    return undecided("no such threat seen within one move")


def _is_meant(
    claim: WinClaim, board: chess.Board, move: chess.Move, targets: tuple[chess.Square, ...], color: chess.Color
) -> bool:
    if claim.man is not None and set(claim.man.squares(board)) & set(targets):
        return True
    if claim.square is None or move.to_square != claim.square:
        return False
    kind = claim.mention.piece if claim.mention is not None else None
    return kind in (None, chess.PAWN) or board.piece_type_at(move.from_square) == kind


def _told(board: chess.Board, san: str, targets: tuple[chess.Square, ...], aim: Aim) -> str:
    if aim is Aim.MATE:
        return f"{san}, mate"
    return f"{san}, which {'forks' if aim is Aim.FORK else 'wins'} {listing(board, targets)}"


WINNING = ClaimKind(Kind.TACTIC, find, decide, asks_engine=True)
