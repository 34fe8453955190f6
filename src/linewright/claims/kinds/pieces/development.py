"""Claims that count developed pieces."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

import chess

from linewright.board.development import MINORS, pieces_out
from linewright.claims.claim_kind import ClaimKind, Facts, Found
from linewright.claims.model import Kind
from linewright.claims.rulings import BOTH, UNCLEAR, Reach, Ruling, Side, color_name, fails, holds, undecided
from linewright.claims.sentence.mood import mood
from linewright.claims.sentence.scene import Scene
from linewright.claims.sentence.whose import named_at, party, resolved
from linewright.claims.sentence.words import Sentence
from linewright.language.numbers import number
from linewright.language.patterns import either, listed


@dataclass(frozen=True, slots=True)
class Count:
    """One side's (or each side's) number of pieces out."""

    side: Side
    count: int


@dataclass(frozen=True, slots=True)
class OutClaim:
    """That the sides have so many pieces developed; all counts must hold by one and the same way of counting.

    :param minors: only knights and bishops are counted, as said.
    :param only: only men of this kind are.
    """

    counts: tuple[Count, ...]
    minors: bool = False
    only: chess.PieceType | None = None


_NUMBER = f"(?:{listed('no none zero one two three four five six seven')}|a single|[0-7])"
_KIND = "(?:minor pieces?|pieces?|minors|men|units|knights?|bishops?)"
_PLACE = either(
    "(?:already |fully )?(?:out|outside|developed)",
    "in play",
    "in the game",
    "off (?:the back rank|their first squares|their home squares)",
)
_OUT = re.compile(
    rf"\b(?P<count1>{_NUMBER}) (?:\w+ )?(?P<kind1>{_KIND}) {_PLACE}\b"
    rf"|\bdeveloped (?:only |just |already |all of )?(?P<count2>{_NUMBER}) (?P<kind2>{_KIND})\b"
    r"|\b(?:hasn't|haven't|has not|have not|yet to) (?:even )?(?:developed|moved|develop|brought out|got) (?:even )?"
    rf"(?:a single|one|any) (?P<kind3>{_KIND})(?: out)?\b"
)
_AGAINST = re.compile(
    rf"^(?:(?:{listed('and but while against to versus whereas')}|compared (?:to|with)) )+"
    rf"(?:(?P<who>white|black|he|we|i|his|our|my|they|black's|white's|the other side|opponent)"
    rf"(?: (?:has|have|only|just|got|with|a|had))* )?(?P<count>{_NUMBER})\b"
)


def find(sentence: Sentence, scene: Scene) -> Iterator[Found[OutClaim]]:
    """The counts of developed pieces in a sentence."""
    used = -1
    for match in _OUT.finditer(sentence.text):
        trigger = sentence.token_range(match.start(), match.end())
        if trigger[0] < used:
            continue
        clause = scene.clause(sentence, trigger)
        said_as = mood(scene, sentence, clause, trigger)
        groups = {re.sub(r"\d$", "", key): value for key, value in match.groupdict().items() if value}
        count = number(groups.get("count", "no").removeprefix("a ").replace("single", "one"))
        side, at = owner(scene, sentence, clause, trigger)
        if count is None or side is None:
            continue
        counts = [Count(side, count)]
        end = clause[1]
        tail = " ".join(token.text for token in sentence.tokens[trigger[1] :])
        if against := _AGAINST.match(tail):
            counts.append(_other(scene, sentence, trigger[1], against, side))
            end = max(end, trigger[1] + against[0].count(" ") + 1)
        used = end
        step = scene.step_at(sentence.tokens[trigger[0]].first)
        yield Found(
            OutClaim(tuple(counts), "minor" in groups["kind"], _only(groups["kind"])),
            min(clause[0], at),
            end,
            step,
            said_as,
        )


def _only(kind: str) -> chess.PieceType | None:
    """The kind of man that is counted alone: "two knights out"."""
    return chess.KNIGHT if "knight" in kind else chess.BISHOP if "bishop" in kind else None


def owner(
    scene: Scene, sentence: Sentence, clause: tuple[int, int], trigger: tuple[int, int]
) -> tuple[Side | None, int]:
    """The side whose pieces are counted, and where it is named; "we've each" and "each side" mean both."""
    named: Side | None = None
    at = clause[0]
    texts = [token.text for token in sentence.tokens]
    if trigger[1] < len(texts) and re.match(r"each$|apiece$", texts[trigger[1]]):
        return BOTH, at
    if re.match(r"for each side|on (?:each|both|either) sides?|for both", " ".join(texts[trigger[1] : trigger[1] + 3])):
        return BOTH, at
    for i in range(trigger[0] - 1, clause[0] - 1, -1):
        who = named_at(texts, i)
        if who is None:
            continue
        side = resolved(scene, sentence, i, who)
        if named is None or side.reach is Reach.BOTH:
            named, at = side, i
    return named, at


def _other(scene: Scene, sentence: Sentence, at: int, match: re.Match[str], side: Side) -> Count:
    """The second count of a comparison; the other side's where none is named."""
    count = number(match["count"]) or 0
    who = party(match["who"]) if match["who"] else None
    if who is not None:
        return Count(resolved(scene, sentence, at, who), count)
    return Count(Side.of(not side.color) if side.color is not None else UNCLEAR, count)


#: The ways of counting that trainers use: knights and bishops; the queen too; rooks off the corners too (castled).
WAYS: tuple[tuple[str, tuple[chess.PieceType, ...]], ...] = (
    ("knights and bishops", MINORS),
    ("with the queen", (*MINORS, chess.QUEEN)),
    ("with queen and rooks", (*MINORS, chess.QUEEN, chess.ROOK)),
)


def decide(claim: OutClaim, facts: Facts) -> Ruling:
    """Count the pieces off their first squares; the claim holds when one way of counting bears all of it out."""
    if any(count.side.reach is Reach.UNCLEAR for count in claim.counts):
        return undecided(f"{told(facts.board)}; the words don't say which side is meant")
    ways = WAYS[:1] if claim.minors else WAYS
    if claim.only is not None:
        ways = ((f"{chess.piece_name(claim.only)}s alone", (claim.only,)),)
    for name, kinds in ways:
        if all(_true(count, facts.board, kinds) for count in claim.counts):
            return holds(told(facts.board) if kinds == MINORS else f"{told(facts.board)}; counted {name}")
    return fails(told(facts.board))


def _true(count: Count, board: chess.Board, kinds: tuple[chess.PieceType, ...]) -> bool:
    return all(len(pieces_out(board, color, kinds)) == count.count for color in count.side.colors)


def told(board: chess.Board) -> str:
    """E.g. "out: white 3 (c3 f3 e2), black 2 (f6 g7)"."""
    parts = []
    for color in (chess.WHITE, chess.BLACK):
        squares = pieces_out(board, color)
        listed = f" ({' '.join(map(chess.square_name, squares))})" if squares else ""
        queen = ", queen out too" if pieces_out(board, color, (chess.QUEEN,)) else ""
        parts.append(f"{color_name(color)} {len(squares)}{listed}{queen}")
    return f"knights and bishops out: {', '.join(parts)}"


DEVELOPMENT = ClaimKind(Kind.DEVELOPMENT, find, decide)
