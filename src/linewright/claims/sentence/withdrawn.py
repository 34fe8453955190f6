"""Withdrawn: whether a claim was taken back, corrected or meant as a joke in the same breath."""

from __future__ import annotations

from typing import Final

from linewright.claims.sentence.talk_scene import Scene
from linewright.claims.sentence.words import Sentence
from linewright.language.wordings import wording

#: So many tokens after a claim it can still be taken back ("the bishop pair, no, wait"): a breath. Common practice.
BREATH = 6
_FILE: Final = "claims/sentence/withdrawn"


def is_withdrawn(scene: Scene, sentence: Sentence, first: int, last: int) -> bool:
    """Whether the claim in the tokens from ``first`` to ``last`` is taken back at its end or right after it, in the
    next sentence too. What stands before it takes back something else ("no, wait, he has the bishop pair")."""
    tokens = [token.text for token in sentence.tokens]
    after = tokens[last : last + BREATH]
    if len(after) < BREATH:
        after += [token.text for token in scene.words_after(sentence)[: BREATH - len(after)]]
    text = " ".join((*tokens[first:last], *after))
    return any(heard.start > 0 for heard in wording(_FILE, scene.language).hints_in("taken back", text))
