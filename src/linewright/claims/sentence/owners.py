"""Whose: which side the words around a claim speak of."""

from __future__ import annotations

from enum import Enum
from functools import cache
from typing import Final

import chess

from linewright.claims.rulings import ANY, BOTH, UNCLEAR, Side
from linewright.claims.sentence.talk_scene import Scene
from linewright.claims.sentence.words import Sentence
from linewright.language.tables import load
from linewright.language.wordings import word_set, wording


class Party(Enum):
    US = "us"
    THEM = "them"
    WHITE = "white"
    BLACK = "black"
    BOTH = "both"


_FILE: Final = "claims/sentence/owners"

#: Adjectives may stand between the article and the claim's own words ("a very weak isolated pawn"): at most this many.
_ADJECTIVES = 3
#: A mention of the lesson's own side by colour this many tokens before "he" makes "he" doubtful.
_RECENT = 12


def party(word: str, code: str) -> Party | None:
    """The party that a single word of a language names."""
    return _parties(code).get(word)


@cache
def _parties(code: str) -> dict[str, Party]:
    sides = load(code).table("sides")
    return {word: who for who in Party for word in sides.words(who.value) | word_set(_FILE, who.value, code)}


def owning_words(code: str) -> frozenset[str]:
    """Words between an owner, or a "not", and what is owned or denied ("black is left with an …")."""
    return word_set(_FILE, "owning", code)


def named_at(texts: list[str], i: int, code: str) -> Party | None:
    """The party named at a token, given its neighbours: "both sides", "each of us", but not "both c pawns"."""
    who = party(texts[i], code)
    if who is not Party.BOTH:
        return who
    after = texts[i + 1] if i + 1 < len(texts) else ""
    before = texts[i - 1] if i else ""
    named = after in word_set(_FILE, "after_both", code) or before in word_set(_FILE, "before_both", code)
    return who if named else None


def side_of(scene: Scene, sentence: Sentence, clause: tuple[int, int], trigger: tuple[int, int]) -> Side:
    """Whose the thing named by the trigger is.

    What follows counts first ("half-open for our rook", "an isolated pawn of his own"), then the last owner named
    before it in its clause, when only owning words stand between. Another mention ("white's knight attacks the
    isolated pawn") tells nothing of the owner.
    """
    texts = [token.text for token in sentence.tokens]
    tail = " ".join(texts[trigger[1] : clause[1]])
    heard = wording(_FILE, scene.language).hint("owner_after", tail)
    if heard is not None and (who := party(heard.value("owner"), scene.language)):
        return resolved(scene, sentence, trigger[1], who)
    return owner_before(scene, sentence, clause, trigger)


def owner_before(scene: Scene, sentence: Sentence, clause: tuple[int, int], trigger: tuple[int, int]) -> Side:
    """The last owner named before a thing in its clause, when only owning words stand between; any side for none.

    The strategy of ownership of languages that name the owner first; ``docs/languages.md`` lists it.
    """
    texts, owning = [token.text for token in sentence.tokens], owning_words(scene.language)

    def leads(word: str) -> bool:
        return word in owning or party(word, scene.language) is not None

    start = trigger[0]
    while start > clause[0] and trigger[0] - start < _ADJECTIVES and not leads(texts[start - 1]):
        start -= 1
    if start > clause[0] and not leads(texts[start - 1]):
        start = trigger[0]
    for i in range(start - 1, clause[0] - 1, -1):
        named = named_at(texts, i, scene.language)
        if named:
            return resolved(scene, sentence, i, named)
        if texts[i] not in owning:
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
    before = [*scene.words_before(sentence), *sentence.tokens[:at]]
    for token in reversed(before[-_RECENT:]):
        who = party(token.text, scene.language)
        if who is Party.US:
            return False
        if who is not None and who is not Party.THEM:
            return who is name
    return False
