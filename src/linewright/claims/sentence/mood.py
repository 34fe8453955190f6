"""Mood: whether words claim a thing as it is now, deny it, or only speak of what may come or might have been."""

from __future__ import annotations

import re
from dataclasses import dataclass

from linewright.claims.sentence.owning import OWNING
from linewright.claims.sentence.scene import Scene
from linewright.claims.sentence.words import Sentence
from linewright.language.patterns import either, listed, phrase

#: How many tokens back an "if" or "after" still governs a claim, where no move is said in between.
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


_FRESH = r"(?= (?:we|he|you|they|i|white|black|the|it|this|that)\b)"
_UNREAL = phrase(
    listed("might may could would should ought will shall won't wouldn't couldn't shouldn't must can want wants "
           "wanting"),
    listed("hope hopes hoping hopefully threat threatens threatening plan plans idea try tries trying avoid avoids "
           "avoiding"),
    listed("prevent prevents fear fears afraid frightened worry imagine dream dreams if unless whether when "
           "whenever"),
    listed("until before next tomorrow later someday eventually soon potential potentially possible possibly usually"),
    listed("typically often sometimes generally always thinks thought need needs gonna"),
    r"[a-z]+'ll", r"[a-z]+'d (?:be|have|get|love|like|want|rather)", f"once{_FRESH}",
    "going to", "about to", "ready to", "wrong to", "used to", "as soon as", "one day", "some day", "sooner or later",
    "(?<!i )suppose", "in general", "instead of", "rather than", "without having", "let's say",
    f"to {listed('get have win give create make obtain open play become be')}",
)  # fmt: skip
#: Phrases that look conditional or planned but only point at the board.
_POINTING = phrase(
    r"(?:as )?(?:you|we) (?:can|may|will|might|should|could) (?:also |all |clearly |easily |already )?"
    + listed("see notice remember count check imagine tell"),
    f"you'll {listed('see notice remember find')}",
    f"(?:if|when) (?:you|we) {listed('look count think compare')}(?: closely)?",
    "i'd (?:say|call)", f"i (?:must|should|would|have to|need to) {listed('say add stress mention')}",
    "let me say", "once (?:more|again)", "as before", "of course", "needless to say", "that is to say",
    "if you (?:like|will|want|ask me|don't mind)", "don't forget", "(?:always )?remember(?: that)?", "so to say",
    "what (?:we|you|i) call", "i (?:always|often|usually|still) (?:say|tell|told)(?: (?:them|you|people|my pupils))?",
    "after (?:this|that|these|those|all that|all this)(?: (?:move|exchange|trade|capture|operation|swap|business))?",
    "you know", "(?:is|it's) (?:often|sometimes|always|generally) said(?: that)?",
)  # fmt: skip
#: A clause that begins so asks. ("What we have is …" doesn't, nor does "which gives him …".)
_ASKING = re.compile(
    r"^(?:(?:and|so|but|now|well) )*"
    + either(
        listed("is are isn't aren't does do did doesn't has have hasn't why who whose how where can"),
        f"which {listed('side way pawn pawns piece move of one file')}",
    )
    + r"\b"
)
_CONDITION = phrase(
    listed("if unless when whenever after suppose supposing imagine until before provided without"),
    f"once{_FRESH}", "as soon as", "in case", "should (?:white|black|he|she|we|you|they)",
)  # fmt: skip
_LATER = phrase("one day", "next week", "next time", listed("later soon eventually if unless"), "yet to")
_NOT = phrase(
    listed("not no never neither nor without nobody hardly lost loses lacks stopped stops rid"),
    "[a-z]+n't",
    "no longer",
)
_NOT_DENYING = phrase(
    f"no {listed('doubt question wonder matter problem hurry')}",
    "not (?:only|just|that|because|bad|a problem|to mention)",
    "[a-z]+n't (?:just|only|merely|simply)", "not (?:merely|simply|the only|yet another)",
    f"don't {listed('worry mind care forget panic')}", "doesn't (?:matter|mind)",
    "why not", "never mind", "don't you see", "isn't it", "no (?:less|fewer) than",
)  # fmt: skip
_VAGUE = phrase(
    listed("almost nearly practically virtually semi maybe perhaps probably arguably apparently had was were"),
    f"not {listed('quite exactly really necessarily')}", "not so much", "as good as", "more or less", "(?:sort|kind) "
        "of",
    "in a (?:sense|way)", "some (?:would )?say", "so called", "let's say",
    "i (?:suppose|guess|think|believe|reckon|fear|hope)",
    "as (?:it|he|she|they) (?:was|were)", "looks? (?:as if|like)", "you could (?:say|argue)", "if i'm not mistaken",
    f"{listed('seems seem seemingly supposedly allegedly roughly about')}", "no longer (?:so|as)",
)  # fmt: skip


#: Reserve inside the claim's own words.
_VAGUE_WITHIN = phrase(
    f"(?:not|[a-z]+n't) {listed('really necessarily quite exactly entirely')}",
    listed("almost nearly practically hardly virtually"),
)
_PLACE = listed(
    "line lines variation variations game games chapter lesson example examples position positions case cases"
)
#: Another position than the one on the board: such words are never called false of this one.
_ELSEWHERE = phrase(
    rf"(?:in|from|like|with) (?:the |an |that |his |all |"
    rf"his )?{listed('other previous last main first next earlier old older')}"
    rf"(?: \w+)? {_PLACE}",
    rf"(?:in|from) (?:many|most|some|other|similar|such|countless|several|a lot of|lots of) (?:\w+ )?{_PLACE}",
    r"in the (?:resulting )?(?:endgame|ending|end|long run|long term|middlegame)", r"in the (?:final|resulting|"
    r"end) position",
    "at the end(?: of (?:it|the line|the day))?", f"last {listed('time week month year')}", "otherwise", "or else",
    "in (?:which|that) case", "provided(?: that)?", "a few moves later", "(?:one|two|three|some) moves (?:later|ago|"
        r"earlier)",
    "earlier", "a moment ago", "back then", "compared (?:to|"
           r"with)", f"one {listed('slip mistake inaccuracy')}", "elsewhere",
)  # fmt: skip
#: "Then" may go on telling, or say what would come; at the head of a claim it can't be called false.
_THEN = re.compile(r"^(?:(?:and|but|so) )?then\b(?! again| we| now)")


def _elsewhere(texts: list[str], clause: tuple[int, int], before: str, after: str) -> bool:
    """Whether the claim is said of another position: by words around it, or just before its clause ("In the other
    line, black is a pawn down")."""
    leading = " ".join(texts[max(0, clause[0] - NOT_REACH) : clause[0]])
    near = any(match.end() == len(leading) for match in _ELSEWHERE.finditer(leading))
    return near or bool(_ELSEWHERE.search(before) or _ELSEWHERE.search(after) or _THEN.match(before))


#: A "no" before one of these answers, and denies nothing of what follows.
_ANSWERED = re.compile(
    r"(?:the|his|her|our|my|their|its|your|it|that|he|we|they|i|you|this|there|white|black)(?:'\w+)?$"
)
#: Reserve that is added behind.
_VAGUE_AFTER = phrase(
    "i (?:think|guess|suppose|believe|reckon)", "more or less", "if i'm not mistaken", "if i remember", "or so",
    "in a (?:sense|way)", "sort of", "i'm not sure", "probably", "perhaps", "maybe", "arguably", "nearly", "almost",
    "at (?:first|one point|that (?:time|moment|point))", f"than {listed('before usual in last')}", "than (?:a|"
        "the) moment ago",
)  # fmt: skip


def mood(scene: Scene, sentence: Sentence, clause: tuple[int, int], trigger: tuple[int, int]) -> Mood:
    """The mood of the claim whose own words are the tokens of ``trigger``, inside its clause."""
    texts = [token.text for token in sentence.tokens]
    before = _POINTING.sub(" ", " ".join(texts[clause[0] : trigger[0]]))
    own = _POINTING.sub(" ", " ".join(texts[clause[0] : clause[1]])).strip()
    after = " ".join(texts[trigger[1] : clause[1]])
    unreal = bool(_UNREAL.search(before)) or _asked(sentence, clause, own) or _conditional(scene, sentence, clause)
    unreal = unreal or bool(
        re.search(r"\b(?:one day|next week|next time|later|soon|eventually|if|unless|yet to)\b", after)
    )
    vague = _elsewhere(texts, clause, before, after) or bool(_VAGUE_WITHIN.search(" ".join(texts[slice(*trigger)])))
    vague = vague or bool(_VAGUE.search(" ".join(texts[clause[0] : trigger[0]])) or _VAGUE_AFTER.search(after))
    return Mood(unreal, _denied(sentence, texts, clause, trigger), vague)


def _denied(sentence: Sentence, texts: list[str], clause: tuple[int, int], trigger: tuple[int, int]) -> bool:
    """Whether a "not" before the claim reaches it: nothing but owning words and at most one other between them
    ("doesn't have any weak isolated pawn", but not "look not at the pieces, the structure is symmetrical")."""
    strangers = 0
    for i in range(trigger[0] - 1, max(clause[0], trigger[0] - NOT_REACH) - 1, -1):
        if texts[i] in ("no", "not", "never") and sentence.tokens[i].after.strength:
            return False  # "No, it's a fork": an answer, not a denial.
        if texts[i] == "no" and i + 1 < len(texts) and _ANSWERED.match(texts[i + 1]):
            return False
        if _NOT.fullmatch(texts[i]) or (i + 1 < len(texts) and _NOT.fullmatch(f"{texts[i]} {texts[i + 1]}")):
            return not _NOT_DENYING.search(" ".join(texts[i - 1 if i else 0 : i + 4]))
        strangers += texts[i] not in OWNING
        if strangers > 1:
            return False
    return False


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
