"""Mood: whether words claim a thing as it is now, deny it, or only speak of what may come or might have been."""

from __future__ import annotations

import re
from dataclasses import dataclass

from linewright.claims.scene import Scene
from linewright.claims.words import Sentence

#: How many tokens back an "if" or "after" still governs a claim, where no move is told in between.
CONDITION_REACH = 14
#: How many tokens back in its clause a "not" still denies the claim.
NOT_REACH = 7


@dataclass(frozen=True, slots=True)
class Mood:
    """How a claim is said.

    :param unreal: of the future, a plan, a condition, a question or another day: nothing is claimed of the board.
    :param negated: denied ("no longer isolated").
    :param vague: so hedged that it can't fail ("almost symmetrical", "not necessarily weak", "was").
    """

    unreal: bool = False
    negated: bool = False
    vague: bool = False


_UNREAL = re.compile(
    r"\b(?:might|may|could|would|should|ought|will|shall|won't|wouldn't|couldn't|shouldn't|must|can|[a-z]+'ll|"
    r"[a-z]+'d (?:be|have|get|love|like|want|rather)|"
    r"going to|gonna|about to|want|wants|wanting|hope|hopes|hoping|threat|threatens|threatening|plan|plans|idea|try|tries|trying|"
    r"avoid|avoids|avoiding|prevent|prevents|fear|fears|afraid|frightened|worry|imagine|suppose|let's say|dream|dreams|"
    r"if|unless|whether|when|whenever|until|as soon as|once|before|next|tomorrow|later|one day|some day|someday|eventually|soon|"
    r"sooner or later|potential|potentially|possible|possibly|used to|usually|typically|often|sometimes|in general|generally|always|"
    r"instead of|rather than|without having|to get|to have|to win|to give|to create|to make|to obtain|to open|to play|to become|to be|"
    r"thinks|thought|hopefully|ready to|wrong to|say|says|said|need|needs)\b"
)
#: Phrases that look conditional or planned but only point at the board.
_POINTING = re.compile(
    r"\b(?:(?:as )?(?:you|we) (?:can|may|will|might|should|could) (?:also |all |clearly |easily |already )?"
    r"(?:see|notice|remember|count|check|imagine|tell)|"
    r"you'll (?:see|notice|remember|find)|(?:if|when) (?:you|we) (?:look|count|think|compare)(?: closely)?|i'd (?:say|call)|"
    r"i (?:must|should|would|have to|need to) (?:say|add|stress|mention)|let me say|let's say|once (?:more|again)|as before|"
    r"of course|needless to say|that is to say|if you (?:like|will|want|ask me|don't mind)|don't forget|(?:always )?remember(?: that)?|"
    r"what (?:we|you|i) call|so to say|you know)\b"
)
#: "can" words inside a claim's own pattern are the finder's affair; these start a question when they lead a clause.
_ASKING = re.compile(
    r"^(?:and |so |but |now |well )*(?:is|are|isn't|aren't|does|do|did|doesn't|has|have|hasn't|why|who|whose|which (?:side|way|pawn|pawns|piece|move|of|one|file)|how|where|can)\b"
)
_CONDITION = re.compile(
    r"\b(?:if|unless|when|whenever|once|after|as soon as|suppose|supposing|imagine|say|until|before|in case|provided|without)\b"
)
_NOT = re.compile(
    r"\b(?:not|no|never|neither|nor|without|nobody|no longer|hardly|[a-z]+n't|lost|loses|lacks|stopped|stops|rid|hasn't any)\b"
)
_NOT_DENYING = re.compile(
    r"\b(?:no doubt|no question|no wonder|not only|not just|not that|not because|no matter|no problem|not a problem|not bad|"
    r"don't worry|don't mind|doesn't matter|don't care|doesn't mind|don't forget|why not|not to mention|no hurry|never mind|"
    r"not the only|don't you see|isn't it|don't panic|no less than|nothing but|not yet another|no fewer than)\b"
)
_VAGUE = re.compile(
    r"\b(?:almost|nearly|practically|virtually|not quite|not exactly|not really|not necessarily|not so much|as good as|"
    r"more or less|semi|sort of|kind of|maybe|perhaps|probably|arguably|in a sense|in a way|apparently|"
    r"some would say|some say|so called|had|was|were)\b"
)


def mood(scene: Scene, sentence: Sentence, clause: tuple[int, int], trigger: tuple[int, int]) -> Mood:
    """The mood of the claim whose own words are the tokens of ``trigger``, inside its clause."""
    texts = [token.text for token in sentence.tokens]
    before = _POINTING.sub(" ", " ".join(texts[clause[0] : trigger[0]]))
    own = _POINTING.sub(" ", " ".join(texts[clause[0] : clause[1]])).strip()
    after = " ".join(texts[trigger[1] : clause[1]])
    unreal = (
        bool(_UNREAL.search(before)) or _asked(sentence, clause, own) or _conditional(scene, sentence, clause)
    )
    unreal = unreal or bool(
        re.search(r"\b(?:one day|next week|next time|later|soon|eventually|if|unless|yet to)\b", after)
    )
    near = " ".join(texts[max(clause[0], trigger[0] - NOT_REACH) : trigger[0]])
    stripped = _NOT_DENYING.sub(" ", near)
    return Mood(unreal, bool(_NOT.search(stripped)), bool(_VAGUE.search(before)))


def _asked(sentence: Sentence, clause: tuple[int, int], own: str) -> bool:
    if sentence.asked and clause[1] == len(sentence.tokens):
        return True
    return bool(_ASKING.match(own))


def _conditional(scene: Scene, sentence: Sentence, clause: tuple[int, int]) -> bool:
    """Whether an "if" or "after" before the clause governs it: one whose moves were not played on the board."""
    low = max(0, clause[0] - CONDITION_REACH)
    before = " ".join(token.text for token in sentence.tokens[low : clause[0]])
    masked = _POINTING.sub(lambda match: "_" * len(match[0]), before)
    found = [match.start() for match in _CONDITION.finditer(masked)]
    if not found:
        return False
    at = sentence.tokens[low + before[: found[-1]].count(" ")].first
    return not scene.moves_between(at, sentence.tokens[clause[0]].first)
