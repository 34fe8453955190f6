"""Whose: which side the words around a claim speak of."""

from __future__ import annotations

import re
from enum import Enum

import chess

from linewright.claims.rulings import ANY, BOTH, UNCLEAR, Side
from linewright.claims.sentence.owning import OWNING
from linewright.claims.sentence.scene import Scene
from linewright.claims.sentence.words import Sentence


class Party(Enum):
    US = "us"
    THEM = "them"
    WHITE = "white"
    BLACK = "black"
    BOTH = "both"


_PARTIES: tuple[tuple[Party, re.Pattern[str]], ...] = (
    (Party.US, re.compile(r"(?:we|i|our|ours|us|my|mine|me|you|your|yours|we've|we're|i've|i'm|you've|you're|we'll"
                          r"|i'd|we'd)$")),
    (Party.THEM, re.compile(
        r"(?:he|he's|his|him|they|they've|they're|their|theirs|them|she|she's|her|opponent|opponent's|he'd|he'll)$"
    )),
    (Party.WHITE, re.compile(r"whites?(?:'s)?$")),
    (Party.BLACK, re.compile(r"blacks?(?:'s)?$")),
    (Party.BOTH, re.compile(r"(?:both|each)$")),
)  # fmt: skip

#: Adjectives may stand between the article and the claim's own words ("a very weak isolated pawn"): at most so many.
_ADJECTIVES = 3
#: A mention of the lesson's own side by colour this many tokens before "he" makes "he" doubtful.
_RECENT = 12

_AFTER = re.compile(
    r"^(?:[a-h][1-8]|on|the|[a-h]|files?|pawns?|and|or|now|here|already|only|completely|\W)*\s*"
    r"(?:for|of|in|on|by) (?:the |all )?(?P<who>[\w']+)"
)


def party(word: str) -> Party | None:
    """The party that a single word names."""
    for who, pattern in _PARTIES:
        if pattern.match(word):
            return who
    return None


#: "both sides", "each of us", but not "both c pawns" or "each other".
_BOTH_AFTER = frozenset(
    "sides side players player have has get got of kings white armies camps parties colours us them".split()
)
_BOTH_BEFORE = frozenset("we they you we've they've you've have have".split())


def named_at(texts: list[str], i: int) -> Party | None:
    """The party named at a token, given its neighbours."""
    who = party(texts[i])
    if who is not Party.BOTH:
        return who
    after = texts[i + 1] if i + 1 < len(texts) else ""
    before = texts[i - 1] if i else ""
    return who if after in _BOTH_AFTER or before in _BOTH_BEFORE else None


def side_of(scene: Scene, sentence: Sentence, clause: tuple[int, int], trigger: tuple[int, int]) -> Side:
    """Whose the thing named by the trigger is.

    What follows counts first ("half-open for our rook", "an isolated pawn of his own"), then the last owner named
    before it in its clause, when only owning words stand between. Another mention ("white's knight attacks the
    isolated pawn") tells nothing of the owner.
    """
    texts = [token.text for token in sentence.tokens]
    tail = " ".join(texts[trigger[1] : clause[1]])
    if (match := _AFTER.match(tail)) and (who := party(match["who"])):
        return resolved(scene, sentence, trigger[1], who)
    start = trigger[0]
    while start > clause[0] and trigger[0] - start < _ADJECTIVES and texts[start - 1] not in OWNING:
        if party(texts[start - 1]):
            break
        start -= 1
    if start > clause[0] and texts[start - 1] not in OWNING and not party(texts[start - 1]):
        start = trigger[0]
    for i in range(start - 1, clause[0] - 1, -1):
        named = named_at(texts, i)
        if named:
            return resolved(scene, sentence, i, named)
        if texts[i] not in OWNING:
            break
    return ANY


def resolved(scene: Scene, sentence: Sentence, at: int, who: Party) -> Side:
    """The side that a party is, given the lesson's side; unclear where that isn't known or "he" is doubtful."""
    if who is Party.BOTH:
        return BOTH
    if who in (Party.WHITE, Party.BLACK):
        return Side.of(who is Party.WHITE)
    if scene.side is None:
        return UNCLEAR
    if who is Party.US:
        return Side.of(scene.side)
    return UNCLEAR if _own_side_just_named(scene, sentence, at, scene.side) else Side.of(not scene.side)


def _own_side_just_named(scene: Scene, sentence: Sentence, at: int, own: chess.Color) -> bool:
    """Whether the lesson's own side was named by its colour shortly before "he", in the sentence before too, with
    no "we" in between: "Black can't castle. His pawns are doubled." is said by someone who takes no side."""
    name = Party.WHITE if own else Party.BLACK
    before = [*scene.told_before(sentence), *sentence.tokens[:at]]
    for token in reversed(before[-_RECENT:]):
        who = party(token.text)
        if who is Party.US:
            return False
        if who is not None and who is not Party.THEM:
            return who is name
    return False
