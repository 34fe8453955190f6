"""Claims that a position has come before: repetition, and reaching it by another road (transposition)."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from linewright.claims.model import Kind
from linewright.claims.mood import Mood, mood
from linewright.claims.registry import About, ClaimKind, Facts, Found
from linewright.claims.ruling import Ruling, negated, ruled, undecided
from linewright.claims.scene import Scene
from linewright.claims.words import Sentence

#: FIDE Laws 9.2: a draw may be claimed at the third occurrence.
DRAW_TIMES = 3


@dataclass(frozen=True, slots=True)
class Repetition:
    """That the position stands on the board at least so many times now."""

    times: int
    denied: bool = False


@dataclass(frozen=True, slots=True)
class Transposition:
    """That the position is one known by another road.

    :param earlier: "as before": one that the lesson has shown; else one of a named opening.
    :param name: the words that name the opening, "" for "as before".
    """

    earlier: bool
    name: str = ""
    denied: bool = False


_REPETITION = re.compile(
    r"\b(?P<draw>(?:draw|drawn) (?:by|through|due to) (?:a |threefold |the |move )*repetition|threefold(?: repetition)?|repetition of (?:the )?(?:moves|position)|"
    r"(?:three|3) times repetition)\b"
    r"|\b(?:for (?:the|a) )?(?P<nth>second|third|fourth|2nd|3rd) (?:time|occurrence)(?= (?:now|here|this|the|that|we|on|in this|of)|$)"
    r"|\bposition (?:has |have |'s )?(?:now )?(?:been )?(?:occurred|arisen|appeared|repeated|come up|on the board|stood|happened)(?: on the board)?(?: now)? (?P<count>twice|two times|three times|thrice|a second time|a third time|for the second time|for the third time)\b"
)
_ASSERTING = re.compile(
    r"(?:\b(?:is|it's|that's|this is|have|has|we've|he's|got|claim|claims|really|now|already|then|was|for|by)\b)"
)
_NTH = {
    "second": 2,
    "2nd": 2,
    "twice": 2,
    "two times": 2,
    "a second time": 2,
    "for the second time": 2,
    "third": 3,
    "3rd": 3,
    "fourth": 4,
}
_POSITION_CONTEXT = re.compile(r"\b(?:position|repeat|repeats|repeated|repetition|occur|board|same)\b")

_EARLIER = (
    r"(?:before|earlier|a (?:second|moment|minute|while) ago|just now|a few minutes ago|already|previously|the other (?:line|branch|variation|order|way)|"
    r"above|last time|in the main line|in the first line|the first (?:line|branch|variation)|the previous (?:line|branch|variation)|just had|had|seen|looked at)"
)
_SAME = re.compile(
    rf"\b(?:exactly |precisely |just |the very |really )*(?:the |a )?(?:same|identical) (?:position|thing|place|diagram|board|setup|set up)(?: (?:\w+ ){{0,5}}?{_EARLIER})?\b"
    rf"|\bback (?:in|into|at|to) (?:what|where|the position|something|the line|the same|familiar|the main line|our main line|known)(?: \w+){{0,4}}?(?: {_EARLIER}| territory| waters| paths)?\b"
    r"|\b(?:we|he|white|black|it|this|that)(?:'ve|'s| have| has)? (?:just |now |simply )?(?:transposed?|transposes|transposing) (?:back )?(?:in)?to (?:what|the (?:main line|previous|first line|other|same|line|position)|our|something|a position|where)\b"
)
_NAMED = re.compile(
    r"\b(?:transposed|transposes|transposing|transposition|slid|slipped|slides?|switched|moved|wandered|strayed|drifted|turned|turns|landed|gone|merged|steered|ended up)"
    r" (?:back |over |straight |right |simply |directly )?(?:into|to|in)(?: (?:a|an|the|some kind of|a sort of|lines of|something like(?: a| the)?|what is really(?: a| the)?))* (?P<name>[\w' ]+)"
    r"|\b(?P<name2>[\w' ]+) by (?:another|a different|a roundabout|an unusual|an odd|other) (?:route|road|order|move order|path|door|way)\b"
    r"|\b(?:by transposition|with a different move order)\b"
)
_HEADLESS = re.compile(
    r"^(?:this is|it's|that's|nothing but|is|a|an|the|now|really|just|simply|only|and|we're in|we've got|we have|but) "
)


def find_repetition(sentence: Sentence, scene: Scene) -> Iterator[Found[Repetition]]:
    """Claims that the position stands there for the second or third time."""
    for match in _REPETITION.finditer(sentence.text):
        trigger = sentence.token_range(match.start(), match.end())
        clause = scene.clause(sentence, trigger)
        said_as = mood(scene, sentence, clause, trigger)
        before = " ".join(token.text for token in sentence.tokens[clause[0] : trigger[0]])
        own = " ".join(token.text for token in sentence.tokens[clause[0] : clause[1]])
        if match["nth"] and not _POSITION_CONTEXT.search(own):
            continue
        if not match["count"] and not _ASSERTING.search(before):
            continue
        if re.search(
            r"\b(?:take|takes|offer|offered|agreed|accept|force|forces|allow|allows|avoid|play for)\b", before
        ):
            continue
        times = DRAW_TIMES if match["draw"] else _NTH.get(match["nth"] or match["count"], DRAW_TIMES)
        yield _found(Repetition(times, said_as.negated), sentence, scene, clause, trigger, said_as)


def find_transposition(sentence: Sentence, scene: Scene) -> Iterator[Found[Transposition]]:
    """Claims that the position is the same as one before, or belongs to another opening."""
    done: list[tuple[int, int]] = []
    for pattern in (_SAME, _NAMED):
        for match in pattern.finditer(sentence.text):
            trigger = sentence.token_range(match.start(), match.end())
            clause = scene.clause(sentence, trigger)
            if any(clause[0] < last and clause[1] > first for first, last in done):
                continue
            said_as = mood(scene, sentence, clause, trigger)
            about = _transposition(match, said_as, sentence, scene, clause, trigger)
            if about is None:
                continue
            done.append(clause)
            yield _found(about, sentence, scene, clause, trigger, said_as)


def _transposition(
    match: re.Match[str],
    said_as: Mood,
    sentence: Sentence,
    scene: Scene,
    clause: tuple[int, int],
    trigger: tuple[int, int],
) -> Transposition | None:
    before = " ".join(token.text for token in sentence.tokens[clause[0] : trigger[0]])
    if match.re is _SAME:
        if _returning(scene, sentence, clause):
            return None
        asserted = re.search(
            r"(?:\b(?:is|it's|that's|this is|we're|we are|we have|we've got|we've|exactly|he's|reach|reached|get|gets|got|have|has|gives|look|again|and|now)\b|^$)",
            before,
        )
        back = match[0].startswith("back")
        if back and not re.search(
            r"\b(?:we're|we are|i'm|it's|he's|that's|this is|are|is|us|back)\b", before
        ):
            return None
        return Transposition(True, "", said_as.negated) if asserted else None
    name = (match["name"] or match["name2"] or "").strip()
    while name != (name := _HEADLESS.sub("", name + " ").strip()):
        pass
    if not name or re.fullmatch(
        r"(?:[a-h][1-8]|it|him|us|trouble|place|position|a pin|the .*|action|play|him|his .*|.*attack on .*)",
        name,
    ):
        return None
    if (
        not re.search(
            r"transpos|\bby (?:another|a different)|slid|slipped|strayed|drifted|wandered", match[0]
        )
        and len(name) < 4
    ):
        return None
    if re.search(
        r"\b(?:turn|turned|turns|moved|gone|landed|ended up|switched|steered|merged)\b", match[0]
    ) and not _OPENING.search(name):
        return None
    return Transposition(False, name, said_as.negated)


#: Words that show an opening is named.
_OPENING = re.compile(
    r"\b(?:defence|defense|gambit|attack|game|opening|variation|system|sicilian|french|caro|slav|indian|knights|english|benoni|grunfeld|catalan|dutch|"
    r"petroff|scotch|spanish|ruy|italian|vienna|london|reti|pirc|scheveningen|najdorf|dragon|queen's gambit|tarrasch|panov|nimzo|exchange|stonewall|hedgehog)\b"
)


def _returning(scene: Scene, sentence: Sentence, clause: tuple[int, int]) -> bool:
    """Whether the words belong to a return of the walk ("same position, white knight on d4"): no claim."""
    low, high = sentence.tokens[clause[0]].first, sentence.tokens[clause[1] - 1].last
    return any(
        step.said.first < high and step.said.last > low and hasattr(step, "to") for step in scene.walk.steps
    )


def _found(
    about: About,
    sentence: Sentence,
    scene: Scene,
    clause: tuple[int, int],
    trigger: tuple[int, int],
    said_as: Mood,
) -> Found[About]:
    return Found(about, *clause, scene.step_at(sentence.tokens[trigger[1] - 1].last), said_as)


def decide_repetition(claim: Repetition, facts: Facts) -> Ruling:
    """Count the occurrences along the line (FIDE Laws 9.2)."""
    ordinal = {1: "first", 2: "second", 3: "third"}.get(facts.times, f"{facts.times}th")
    need = (
        f"; a draw needs {DRAW_TIMES} (FIDE Laws 9.2)"
        if claim.times == DRAW_TIMES and facts.times < claim.times
        else ""
    )
    ruling = ruled(
        facts.times >= claim.times, f"this position stands on the board for the {ordinal} time{need}"
    )
    return negated(ruling) if claim.denied else ruling


def decide_transposition(claim: Transposition, facts: Facts) -> Ruling:
    """Look for the same position among those the lesson has shown."""
    if claim.earlier:
        if facts.elsewhere:
            ruling = ruled(True, f"the same position as after {facts.elsewhere[0]}")
            return negated(ruling) if claim.denied else ruling
        if facts.times > 1:
            return ruled(not claim.denied, "the same position stood there before in this line")
        return undecided("no position of the lesson before this one is the same; it may be meant loosely")
    return undecided(f"whether this is the position of “{claim.name}” isn't decided yet: compare the moves")


REPETITION = ClaimKind(Kind.REPETITION, find_repetition, decide_repetition)
TRANSPOSITION = ClaimKind(Kind.TRANSPOSITION, find_transposition, decide_transposition)
