"""Mood: whether words claim a thing as it is now, deny it, or only speak of what may come or might have been."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from linewright.claims.sentence.owners import owning_words
from linewright.claims.sentence.talk_scene import Scene
from linewright.claims.sentence.words import Sentence
from linewright.language.wordings import Wording, word_set, wording

#: How many tokens back an "if" or "after" still governs a claim, where no move is said in between.
CONDITION_REACH = 14
#: How many tokens back in its clause a "not" still denies the claim.
NOT_REACH = 7
#: How many tokens behind its clause a reserve still belongs to the claim ("…, or so I wrote").
TAIL = 5
#: How many words that own nothing may stand between a "not" and the claim ("no *weak* isolated pawn").
STRANGERS = 1


@dataclass(frozen=True, slots=True)
class Mood:
    """How a claim is said.

    :param unreal: of the future, a plan, a condition, a question or another day: nothing is claimed of the board.
    :param negated: denied ("no longer isolated").
    :param vague: so hedged that it can't fail ("almost symmetrical", "not necessarily weak", "was").
    :param recalled: from memory or guessed ("or so I wrote"): an engine's tenth of a pawn can't bear it out either.
    """

    unreal: bool = False
    negated: bool = False
    vague: bool = False
    recalled: bool = False


_FILE: Final = "claims/sentence/mood"


def mood(scene: Scene, sentence: Sentence, clause: tuple[int, int], trigger: tuple[int, int]) -> Mood:
    """The mood of the claim whose own words are the tokens of ``trigger``, inside its clause."""
    said = wording(_FILE, scene.language)
    texts = [token.text for token in sentence.tokens]
    before, after = " ".join(texts[clause[0] : trigger[0]]), " ".join(texts[trigger[1] : clause[1]])
    plain, own = said.without("pointing", before), said.without("pointing", " ".join(texts[slice(*clause)])).strip()
    tail = " ".join(texts[clause[1] : clause[1] + TAIL])
    unreal = said.says("unreal", plain) or said.says("later", after)
    unreal = unreal or _asks(sentence, clause) or said.says("asking", own) or _conditional(scene, sentence, clause)
    vague = said.says("vague", before) or said.says("vague_within", " ".join(texts[slice(*trigger)]))
    vague = vague or said.says("vague_after", after) or said.says("vague_tail", tail)
    vague = vague or _elsewhere(said, texts[: clause[0]], plain, after)
    recalled = any(said.says("recalled", text) for text in (before, after, tail))
    return Mood(unreal, denied_before(scene, sentence, clause, trigger), vague or recalled, recalled)


def denied_before(scene: Scene, sentence: Sentence, clause: tuple[int, int], trigger: tuple[int, int]) -> bool:
    """Whether a "not" before the claim reaches it: nothing but owning words and at most one other between them
    ("doesn't have any weak isolated pawn", but not "look not at the pieces, the structure is symmetrical").

    The strategy of negation of languages that deny before what they deny; ``docs/languages.md`` lists it.
    """
    said, owning = wording(_FILE, scene.language), owning_words(scene.language)
    answers, bare_no = (word_set(_FILE, name, scene.language) for name in ("answer", "bare_no"))
    texts = [token.text for token in sentence.tokens]
    strangers = 0
    for i in range(trigger[0] - 1, max(clause[0], trigger[0] - NOT_REACH) - 1, -1):
        following = texts[i + 1]
        if texts[i] in answers and sentence.tokens[i].after.strength:
            return False  # "No, it's a fork": an answer, not a denial.
        if texts[i] in bare_no and said.says("answered", following):
            return False
        if said.is_all("not", texts[i]) or said.is_all("not", f"{texts[i]} {following}"):
            return not said.says("not_denying", " ".join(texts[i - 1 if i else 0 : i + 4]))
        strangers += texts[i] not in owning
        if strangers > STRANGERS:
            return False
    return False


def _elsewhere(said: Wording, led_in: list[str], before: str, after: str) -> bool:
    """Whether the claim is said of another position: by words around it, or just before its clause ("In the other
    line, black is a pawn down")."""
    leading = " ".join(led_in[-NOT_REACH:])
    near = any(heard.end == len(leading) for heard in said.hints_in("elsewhere", leading))
    return near or said.says("elsewhere", before) or said.says("elsewhere", after) or said.says("then", before)


def _asks(sentence: Sentence, clause: tuple[int, int]) -> bool:
    """Whether the clause ends with the sentence's question mark."""
    return sentence.asked and clause[1] == len(sentence.tokens)


def _conditional(scene: Scene, sentence: Sentence, clause: tuple[int, int]) -> bool:
    """Whether an "if" or "after" before the clause governs it: one whose moves were not played on the board."""
    said = wording(_FILE, scene.language)
    low = max(0, clause[0] - CONDITION_REACH)
    before = " ".join(token.text for token in sentence.tokens[low : clause[0]])
    found = [heard.start for heard in said.hints_in("condition", said.without("pointing", before, "_"))]
    if not found:
        return False
    at = sentence.tokens[low + before[: found[-1]].count(" ")].first
    return not scene.moves_between(at, sentence.tokens[clause[0]].first)
