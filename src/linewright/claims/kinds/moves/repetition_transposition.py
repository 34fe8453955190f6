"""Claims that a position has come before: repetition, and reaching it by another road (transposition)."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass

import chess
from ocn import fen_key

from linewright.claims.claim_kind import About, ClaimKind, Facts, Found
from linewright.claims.model import Kind
from linewright.claims.rulings import Ruling, negated, ruled, undecided
from linewright.claims.sentence.mood import Mood, mood
from linewright.claims.sentence.scene import Scene
from linewright.claims.sentence.words import Sentence
from linewright.language.numbers import nth
from linewright.language.patterns import either, listed, phrase
from linewright.lesson.opening import catalogue

#: FIDE Laws 9.2: a draw may be claimed at the third occurrence.
DRAW_TIMES = 3
#: Tokens past the clause in which "the second time" must be said to be of a position.
CONTEXT = 5


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


_TWICE = "(?:twice|two times|three times|thrice|(?:for )?(?:a|the) (?:second|third) time)"
_REPETITION = re.compile(
    "|".join(
        (
            r"\b(?P<draw>(?:draw|drawn) (?:by|through|due to) (?:a |threefold |the |move )*repetition|threefold(?: "
            r"repetition)?"
            r"|repetition of (?:the )?(?:moves|position)|(?:three|3) times repetition)\b",
            r"\b(?:for (?:the|a) )?(?P<nth>second|third|fourth|2nd|3rd) (?:time|occurrence)"
            r"(?= (?:now|here|this|the|that|we|on|in this|of)|$)",
            r"\bposition (?:(?:has|have|'s|now|been) )*"
            + listed("occurred arisen appeared repeated stood happened come")
            + rf"(?: up)?(?: on the board)?(?: now)? (?P<count>{_TWICE})\b",
            rf"\bsame position(?: here| now)? (?P<count2>{_TWICE})\b",
        )
    )
)
_ASSERTING = phrase(listed("is it's that's have has we've he's got claim claims really now already then was for by"))
_NTH = {"second": 2, "2nd": 2, "third": 3, "3rd": 3, "fourth": 4, "twice": 2, "two": 2}
_POSITION_CONTEXT = phrase(listed("position repeat repeats repeated repetition occur board same"))
#: A repetition that is offered, feared or sought isn't there yet.
_SOUGHT = phrase(listed("take takes offer offered agreed accept force forces allow allows avoid"), "play for")

_EARLIER = either(
    listed("before earlier already previously above had seen"), "a (?:second|moment|minute|while) ago", "just (?:now"
        "|had)",
    "a few minutes ago", "last time", "looked at", "(?:in )?the (?:main|first|previous|other) (?:line|branch"
                                                   "|variation|order|way)",
)  # fmt: skip
_SAME = re.compile(
    "|".join(
        (
            rf"\b(?:(?:exactly|precisely|just|the very|really) )*(?:the |a )?(?:same|identical) "
            rf"(?:position|thing|place|diagram|board|setup|set up)(?: (?:\w+ ){{0,5}}?{_EARLIER})?(?![\w'])"
            rf"(?! (?:now )?{_TWICE}| as in (?!the (?:main|first|previous|other)))",
            r"\bback (?:in|into|at|to) (?:what|where|the position|something|the line|the same|familiar|(?:the|our) "
            r"main line|known)"
            rf"(?: \w+){{0,4}}?(?: {_EARLIER}| territory| waters| paths)?(?![\w'])",
            r"\b(?:we|he|white|black|it|this|that)(?:'ve|'s| have| has)? (?:just |now |simply )?transpos(?:e|ed|es"
            r"|ing) "
            r"(?:back )?(?:in)?to (?:what|our|something|a position|where|the (?:main line|previous|first line|other"
            r"|same|line|position))\b",
        )
    )
)
_ARTICLE = (
    r"(?: (?:an?|the|some kind of|a sort of|lines of|something like(?: an?| the)?|what is really(?: an?| the)?))*"
)
_NAMED = re.compile(
    r"\b"
    + listed("transposed transposes transposing transposition slid slipped slide slides switched moved wandered "
             "strayed drifted "
             "turned turns landed gone merged steered ended")
    + rf"(?: up)? (?:(?:back|over|straight|right|simply|directly) )*(?:into|to|in){_ARTICLE} (?P<name>[\w']+(?: "
      rf"[\w']+){{0,5}})"
    r"|\b(?P<name2>[\w']+(?: [\w']+){0,5}) by (?:an? )?(?:another|different|roundabout|unusual|odd|other) "
    r"(?:route|road|order|move order|path|door|way)\b"
    r"|\b(?:can|could|may|might|often|also|usually|just as well)(?: also| often| equally| just as well|"
    r" easily)* (?:come about|come|comes|"
    r"arise|arises|be reached|reached)(?: about)? (?:from|via|through|out of)(?: an?|"
    r" the)? (?P<name3>[\w']+(?: [\w']+){0,5})"
    r"|\b(?:sitting|find ourselves|finds himself|found himself|found ourselves|back|suddenly|simply|really) in "
    r"(?:an?|the) (?P<name4>[\w']+(?: [\w']+){0,5})"
)  # fmt: skip
#: What is no part of an opening's name, at its start and after it.
_HEADLESS = re.compile(
    r"^(?:this is|it's|that's|nothing but|is|an?|the|now|really|just|simply|only|and|we're in|we've got|we have|but) "
)
_TAIL = re.compile(
    r" (?:and|but|so|we|he|which|with|put|now|by|here|where|that|if|because|on|bishop|knight|queen|rook|king|takes"
    r"|castles|[a-h][1-8])\b.*"
)
_NO_NAME = re.compile(
    r"(?:[a-h][1-8]|it|him|us|trouble|place|position|a pin|action|play|(?:the|his|our|my) .*|.*attack on .*)"
)
#: "Turned", "gone", "landed" speak of openings only when one is named.
_LOOSE = phrase(listed("turn turned turns moved gone landed ended switched steered merged slide slides"))


def find_repetition(sentence: Sentence, scene: Scene) -> Iterator[Found[Repetition]]:
    """Claims that the position stands there for the second or third time."""
    for match in _REPETITION.finditer(sentence.text):
        trigger = sentence.token_range(match.start(), match.end())
        clause = scene.clause(sentence, trigger)
        said_as = mood(scene, sentence, clause, trigger)
        before = " ".join(token.text for token in sentence.tokens[clause[0] : trigger[0]])
        around = sentence.tokens[clause[0] : clause[1] + CONTEXT]
        if match["nth"] and not _POSITION_CONTEXT.search(" ".join(token.text for token in around)):
            continue
        count = match["count"] or match["count2"]
        if not count and not _ASSERTING.search(before):
            continue
        if _SOUGHT.search(before):
            continue
        times = DRAW_TIMES if match["draw"] else _nth(match["nth"] or count)
        yield _found(Repetition(times, said_as.negated), sentence, scene, clause, trigger, said_as)


def _nth(words: str) -> int:
    """2 for "second", "twice", "a second time"; 3 for "third", "three times", "thrice"."""
    return next((_NTH[word] for word in words.split() if word in _NTH), DRAW_TIMES)


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
        back = match[0].startswith("back")
        if back and not re.search(r"\b(?:we're|we are|i'm|it's|he's|that's|this is|are|is|us)\b", before):
            return None
        asserted = not before or _SAYING.search(before)
        return Transposition(True, "", said_as.negated) if back or asserted or "transpos" in match[0] else None
    name, bare = "", (match["name"] or match["name2"] or match["name3"] or match["name4"]).strip()
    while name != bare:
        name, bare = bare, _HEADLESS.sub("", f"{bare} ").strip()
    name = _TAIL.sub("", name)
    if len(name) < 3 or _NO_NAME.fullmatch(name):
        return None
    if (match["name3"] or match["name4"] or _LOOSE.search(match[0])) and not _OPENING.search(name):
        return None
    return Transposition(False, name, said_as.negated)


_SAYING = phrase(
    listed("is it's that's exactly he's reach reached get gets got have has gives look again and now we're we've"),
    "we are",
)
#: Words that show an opening is named.
_OPENING = phrase(
    listed(
        "defence defense gambit attack game opening variation system sicilian french caro slav indian knights english "
        "benoni"
    ),
    listed(
        "grunfeld catalan dutch petroff scotch spanish ruy italian vienna london reti pirc scheveningen najdorf dragon"
    ),
    listed("tarrasch panov nimzo exchange stonewall hedgehog scandinavian philidor alekhine"),
)


def _returning(scene: Scene, sentence: Sentence, clause: tuple[int, int]) -> bool:
    """Whether the words belong to a return of the walk ("same position, white knight on d4"): no claim."""
    low, high = sentence.tokens[clause[0]].first, sentence.tokens[clause[1] - 1].last
    return any(step.said.first < high and step.said.last > low and hasattr(step, "to") for step in scene.walk.steps)


def _found(
    about: About,
    sentence: Sentence,
    scene: Scene,
    clause: tuple[int, int],
    trigger: tuple[int, int],
    said_as: Mood,
) -> Found[About]:
    return Found(about, *clause, scene.step_at(sentence.tokens[trigger[0]].first), said_as)


def decide_repetition(claim: Repetition, facts: Facts) -> Ruling:
    """Count the occurrences along the line (FIDE Laws 9.2)."""
    need = (
        f"; a draw needs {DRAW_TIMES} (FIDE Laws 9.2)"
        if claim.times == DRAW_TIMES and facts.times < claim.times
        else ""
    )
    ruling = ruled(
        facts.times >= claim.times, f"this position stands on the board for the {nth(facts.times)} time{need}"
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
    names = catalogued(facts.board)
    if any(_means(claim.name, name) for name in names):
        return ruled(not claim.denied, f"the catalogue calls this position {names[0]}")
    known = f"the catalogue calls this position {names[0]}" if names else "the catalogue has no name for this position"
    return undecided(f"{known}; whether “{claim.name}” reaches it depends on the moves that follow")


#: Words of opening names that tell nothing apart.
_COMMON_WORDS = frozenset(
    "the a an of defence defense game opening attack variation system line lines structure type".split()
)


def catalogued(board: chess.Board) -> tuple[str, ...]:
    """The catalogue's names for exactly this position, however it was reached."""
    return tuple(row.canonical_name for row in catalogue().by_fen_key(fen_key(board.fen())))


def _means(told: str, name: str) -> bool:
    """Whether every telling word of the name said is in the catalogue's name."""
    wanted = _plain_words(told) - _COMMON_WORDS
    return bool(wanted) and wanted <= _plain_words(name)


def _plain_words(text: str) -> set[str]:
    """The words in lower case without accents."""
    bare = "".join(c for c in unicodedata.normalize("NFKD", text) if not unicodedata.combining(c))
    return set(re.findall(r"\w+", bare.lower()))


REPETITION = ClaimKind(Kind.REPETITION, find_repetition, decide_repetition)
TRANSPOSITION = ClaimKind(Kind.TRANSPOSITION, find_transposition, decide_transposition)
