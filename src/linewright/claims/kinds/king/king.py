"""Claims about the right to castle."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

import chess

from linewright.board.castling import Castling, looks_castled, may_still_castle
from linewright.claims.claim_kind import ClaimKind, Facts, Found
from linewright.claims.model import Kind
from linewright.claims.rulings import BOTH, Ruling, Side, color_name, fails, for_side, holds, undecided
from linewright.claims.sentence.mood import mood
from linewright.claims.sentence.scene import Scene
from linewright.claims.sentence.whose import named_at, resolved, side_of
from linewright.claims.sentence.words import Sentence
from linewright.language.patterns import either, listed, overlaps


@dataclass(frozen=True, slots=True)
class RightClaim:
    """That a side has lost, or still has, the right to castle.

    :param lost: it is said to be lost.
    :param which: on which wing, where said.
    :param passing: "can't castle now", which may mean only that it is not possible on the next move.
    """

    side: Side
    lost: bool
    which: Castling = Castling.EITHER
    passing: bool = False


_WING = r"(?: (?:on the |to the )?(?P<wing{n}>kingside|queenside|short|long))?"
_LOSING = either(
    listed("lost loses losing forfeited forfeits lacks without gone denied"), "gave up", "given up", "gives up",
    "deprived of", "robbed of", "no longer has", "(?:has|have) no", "(?:doesn't|don't|haven't|hasn't) (?:got |have )?",
)  # fmt: skip
_RIGHT = either("rights? to castle", "castling rights?", "chance to castle", "castling")
_LOST = re.compile(
    r"\b(?:"
    rf"{_LOSING}(?: of)?(?: {listed('the his her our my any all their')})* ?{_RIGHT}{_WING.format(n='1')}"
    rf"|(?:can|will|may|could) never (?:\w+ )?castle{_WING.format(n='2')}"
    r"|(?:never|not) (?:going to|gonna|able to|allowed to) (?:be able to |get to )?castle"
    rf"{_WING.format(n='3')}"
    r"|(?P<passing>can't|won't|will not|(?:isn't|aren't) (?:able|allowed) to|unable to|no longer|"
    r"neither (?:side|player|king|of them|of us) (?:can|may|could)(?: still)?) "
    rf"(?:(?:be able to|be allowed to|be|now|ever|even|any longer|longer) )*castl(?:e|ing){_WING.format(n='4')}"
    rf"|{_RIGHT} (?:is|are) "
    rf"{either(*'gone lost over impossible'.split(), 'out of the question', 'no longer possible', 'off the table')}"
    r")\b"
)
#: "Hasn't lost the right to castle": the right is kept.
_LOSES = re.compile(r"(?:lost|los(?:es|ing|e)|forfeit|g[ai]ve[sn]? up|deprived|robbed|denied)")
_NEGATIVE = re.compile(r"(?:\b(?:not|never)|n't)(?: yet| even| actually| really)?$")
_KEEPS = "(?:has|have|keeps?|got|retains?)"
_KEPT = re.compile(
    rf"\b(?:(?:can|may|could) still castle|(?:still )?{_KEEPS} (?:the |his |her |our |my "
    rf")?{either('right to castle', 'castling rights?')}"
    r"|(?:can|may|could) still go (?=(?:long|short|kingside|queenside)\b)"
    rf"|(?:is|are) still (?:able|allowed) to castle){_WING.format(n='1')}\b"
)


def find(sentence: Sentence, scene: Scene) -> Iterator[Found[RightClaim]]:
    """The castling claims of a sentence."""
    done: list[tuple[int, int]] = []
    for pattern, lost in ((_LOST, True), (_KEPT, False)):
        for match in pattern.finditer(sentence.text):
            if overlaps(match, done):
                continue
            trigger = sentence.token_range(match.start(), match.end())
            clause = scene.clause(sentence, trigger)
            before = " ".join(token.text for token in sentence.tokens[clause[0] : trigger[0]])
            if _unreal(scene, sentence, clause, trigger, before):
                continue
            done.append(match.span())
            groups = {re.sub(r"\d$", "", k): v for k, v in match.groupdict().items() if v}
            step = scene.step_at(sentence.tokens[trigger[0]].first)
            side = _owner(scene, sentence, clause, trigger)
            denied = bool(_NEGATIVE.search(before)) and bool(_LOSES.match(match[0]))
            about = RightClaim(
                side, lost != denied, _wing(groups), bool(groups.get("passing")) and not _for_good(sentence, trigger)
            )
            yield Found(about, *clause, step)


def _unreal(scene: Scene, sentence: Sentence, clause: tuple[int, int], trigger: tuple[int, int], before: str) -> bool:
    """A plan or condition; words such as "can" and "never" inside the claim itself are its own affair."""
    said_as = mood(scene, sentence, clause, trigger)
    harmless = re.sub(r"\b(?:he'll|we'll|i'll|they'll|black'll|white'll|will|can)$", "", before)
    if said_as.unreal and not re.search(r"\b(?:will|can|he'll|we'll)$", before):
        return True
    return bool(re.search(r"\b(?:if|would|might|could|so that|threat|wants|hope|when|to)\b", harmless))


def _for_good(sentence: Sentence, trigger: tuple[int, int]) -> bool:
    """ "any more", "ever again": the right is meant, not the next move."""
    own = " ".join(token.text for token in sentence.tokens[trigger[0] : trigger[1] + 2])
    return bool(re.search(r"\b(?:anymore|ever|never|again|no longer|any longer|allowed)\b", own))


def _owner(scene: Scene, sentence: Sentence, clause: tuple[int, int], trigger: tuple[int, int]) -> Side:
    """The last side named before the claim's words: "his king can never castle now"."""
    texts = [token.text for token in sentence.tokens]
    if texts[trigger[0]] == "neither":
        return BOTH
    for i in range(trigger[0] - 1, clause[0] - 1, -1):
        if (who := named_at(texts, i)) and texts[i] not in ("you", "i"):
            return resolved(scene, sentence, i, who)
    return side_of(scene, sentence, clause, trigger)


def _wing(groups: dict[str, str]) -> Castling:
    named = groups.get("wing", "")
    if named in ("kingside", "short"):
        return Castling.KINGSIDE
    return Castling.QUEENSIDE if named else Castling.EITHER


def decide(claim: RightClaim, facts: Facts) -> Ruling:
    """Look at the rights of the position (FIDE Laws 3.8.2.1)."""
    return for_side(claim.side, lambda color: _decide_color(claim, facts.board, color))


def _decide_color(claim: RightClaim, board: chess.Board, color: chess.Color) -> Ruling:
    name = color_name(color)
    king = board.king(color)
    where = f"king on {chess.square_name(king)}" if king is not None else "no king"
    right = may_still_castle(board, color, claim.which)
    wing = "" if claim.which is Castling.EITHER else f" {claim.which}"
    if not right and looks_castled(board, color):
        told = f"{name} {where}: it looks castled, no right left"
        return undecided(told) if claim.lost else fails(told)
    if not right:
        told = f"{name} {where}: the right to castle{wing} is lost"
        return holds(told) if claim.lost else fails(told)
    kept = [side for side in ("kingside", "queenside") if may_still_castle(board, color, Castling(side))]
    told = f"{name} {where}: keeps the right to castle {' and '.join(kept)}"
    if not claim.lost:
        return holds(told)
    if claim.passing:
        return undecided(f"{told}; whether it is possible on the next move is another question")
    return fails(told)


KING = ClaimKind(Kind.KING, find, decide)
