"""Claims about how often a move is played, decided by the games base."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from linewright.claims.claim_kind import ClaimKind, Facts, Found
from linewright.claims.kinds.frequency.frequency_words import ENDS_IN_MOVE, How, Measure, decide_share, measures
from linewright.claims.kinds.frequency.which_move import PLAYING, Refers, steps_told, text_of, told_in, which_move
from linewright.claims.model import Kind
from linewright.claims.rulings import Ruling, undecided
from linewright.claims.sentence.mood import Mood
from linewright.claims.sentence.named_moves import Mention, mentions
from linewright.claims.sentence.scene import LONGEST_SIDE, Scene
from linewright.claims.sentence.words import INTERJECTION, Sentence
from linewright.language.patterns import listed, phrase

#: Tokens before a claim's first word whose wishes and doubts still reach it, and after its last one whose
#: restrictions ("at club level") do.
CORE_SIDE = 6
#: Tokens before the measure in which a "not" denies it, and in which an "after" or "if" governs it.
NOT_REACH, CONDITION_REACH = 4, 10
#: Tokens that may stand between alternatives ("a6, or perhaps rook e8").
MOST_BETWEEN = 3
#: "Nearly always, here, he drops …": how many clause parts further the verb may stand.
MAX_WIDENING = 3


@dataclass(frozen=True, slots=True)
class FrequencyClaim:
    """That a move is played so often.

    :param measure: how often, as the words say it.
    :param moves: UCI of the legal moves that the words can mean; several for "takes" or "a6 or rook e8".
    :param every: the moves are named as alternatives, so their shares add up; else one of them is meant.
    :param refers: how the words name the move.
    :param denied: the claim is that it is not so.
    """

    measure: Measure
    moves: tuple[str, ...]
    every: bool
    refers: Refers
    denied: bool = False
    soft: str = ""


#: An audience, a circle or one's own games are not the base's games.
_PRIVATE = phrase(
    "(?:of|among) (?:you|us|my|our|your)",
    "(?:my|our|your) (?:pupils|students|opponents|games|kids|club|team|level|friends|club mates)",
    "you lot", "(?:on the internet|online|against me)", "in (?:blitz|bullet|rapid)", "at (?:club|our|my|your|this) "
        "level",
    listed("amateurs beginners children kids juniors computers engines"), "club players?", "most of them",
)  # fmt: skip
#: Words that speak of a part of the games only; the base counts all of them, so such a claim can't fail here.
_TIMES = phrase(
    "these days", "nowadays", "today", "recently", "lately", "(?:at|among) (?:the )?(?:top|top level|highest level)",
    "grandmasters", "in the old days", "back then", "at master level", "in correspondence(?: chess)?",
)  # fmt: skip


def find(sentence: Sentence, scene: Scene) -> Iterator[Found[FrequencyClaim]]:
    """The frequency claims of a sentence, in order."""
    done: list[tuple[int, int]] = []
    for measure, start, end in measures(sentence.text):
        trigger = sentence.token_range(start, end)
        clause = _clause(sentence, scene, trigger)
        if any(clause[0] < last and clause[1] > first for first, last in done):
            continue
        found = _claim(sentence, scene, measure, clause, trigger)
        if found is not None:
            done.append((found.first, found.last))
            yield found


def _clause(sentence: Sentence, scene: Scene, trigger: tuple[int, int]) -> tuple[int, int]:
    """The clause of a frequency claim. Moves said in it belong to it ("nearly everybody goes [knight f6]"), moves
    said before it by words of their own don't; a bare "nearly always, here," goes on until somebody plays."""
    parts = sentence.parts
    touched = [n for n, (a, b) in enumerate(parts) if a < trigger[1] and b > trigger[0]]
    low, high = touched[0], touched[-1]
    while low and parts[low][0] - parts[low - 1][0] <= INTERJECTION and not told_in(sentence, scene, parts[low - 1]):
        low -= 1
    while high + 1 < len(parts) and not _says_all(sentence, (parts[low][0], parts[high][1])):
        high += 1
        if high - touched[-1] == MAX_WIDENING:
            break
    first, last = parts[low][0], parts[high][1]
    if mentions(sentence.tokens, trigger[1], last):
        first = max(first, _after_moves(sentence, scene, first, trigger[0]))
    return max(first, trigger[0] - LONGEST_SIDE), min(last, trigger[1] + LONGEST_SIDE)


def _says_all(sentence: Sentence, tokens: tuple[int, int]) -> bool:
    """Whether the words hold a verb of playing or a move, so that the claim need not go on in the next part."""
    return bool(PLAYING.search(text_of(sentence, tokens)) or mentions(sentence.tokens, *tokens))


def _after_moves(sentence: Sentence, scene: Scene, first: int, until: int) -> int:
    """The first token past the moves said between two tokens."""
    ends = [
        scene.walk.steps[i].said.last
        for i in steps_told(scene, (sentence.tokens[first].first, sentence.tokens[until].first))
    ]
    passed = [n for n in range(first, until) if ends and sentence.tokens[n].first < max(ends)]
    return passed[-1] + 1 if passed else first


def _claim(
    sentence: Sentence, scene: Scene, measure: Measure, clause: tuple[int, int], trigger: tuple[int, int]
) -> Found[FrequencyClaim] | None:
    denied = _is_denied(sentence, clause, trigger)
    named = _alternatives(mentions(sentence.tokens, *clause), sentence, trigger, denied)
    if _governed(sentence, scene, trigger):
        return None
    if text_of(sentence, (trigger[1], clause[1])).split(" ")[0] in ("that", "this", "it", "so"):
        named = ()
    core = _core(clause, trigger, named)
    own = text_of(sentence, (core[0], min(core[1] + CORE_SIDE, clause[1])))
    if _PRIVATE.search(own) or _is_of_something_else(sentence, measure, core, trigger):
        return None
    if _is_unreal(text_of(sentence, core), sentence, clause):
        return None
    soft = match[0] if (match := _TIMES.search(own)) else ""
    target = which_move(sentence, scene, measure, clause, trigger, named)
    if target is None:
        return None
    step, moves, every, refers = target
    about = FrequencyClaim(measure, moves, every, refers, denied, soft)
    return Found(about, clause[0], clause[1], step, Mood())


def _core(clause: tuple[int, int], trigger: tuple[int, int], named: tuple[Mention, ...]) -> tuple[int, int]:
    """The part of a clause that the claim itself takes: from shortly before its first word to its last one."""
    starts = [trigger[0], *(mention.first for mention in named)]
    ends = [trigger[1], *(mention.last for mention in named)]
    return max(clause[0], min(starts) - CORE_SIDE), min(clause[1], max(ends))


#: What may follow "common" or "rare" when a move is meant; a noun there ("a rare book") takes it away.
_MAY_FOLLOW = phrase(
    listed(
        "here in at for among and too as on indeed nowadays now these also with by is but or because though since today"
    ),
)
_THINKING = phrase(
    listed(
        "think thinks believe believes consider considers know knows feel feels assume agree agrees forget forgets "
        "hate fear"
    ),
    "(?:are|is) called",
)
_JUDGING = phrase(
    "(?:is|are|looks|look|feels) (?:a |an |the |very |quite |clearly |simply |just |more |really )*"
    + listed("bad good better best strong weak dangerous mistake winning losing wrong right enough fine idea shame "
             "problem"),
)  # fmt: skip


def _is_of_something_else(
    sentence: Sentence, measure: Measure, clause: tuple[int, int], trigger: tuple[int, int]
) -> bool:
    """Whether the measure belongs to no move: "a rare book", "most people think", "usually a good idea"."""
    own = text_of(sentence, clause)
    if _THINKING.search(own) or (not measure.names_move and _JUDGING.search(own)):
        return True
    if measure.how not in (How.COMMON, How.RARE):
        return False
    if text_of(sentence, (trigger[1], trigger[1] + 1)) == "than":
        return True  # one move against another: kinds/compared.py
    words, following = text_of(sentence, trigger), text_of(sentence, (trigger[1], min(trigger[1] + 1, clause[1])))
    if not following or ENDS_IN_MOVE.search(words) or _MAY_FOLLOW.match(following):
        return False
    return not words.endswith(("rarely", "seldom", "people", "players"))


_UNREAL = phrase(
    listed("might could would should ought want wants hope hopes threatens if unless must learn recommend instead "
           "later eventually"), "used to", "one day", "next week",
    "(?:my|our|his|her|their) favourite", "(?:my|our) main",
    "(?:i|we|i've|we've|he himself) (?:nearly |almost |have |had )?(?:always|usually|normally|often|mostly)",
)  # fmt: skip
_NOT_DENYING = phrase("not (?:only|just|to mention)", "why not", "no doubt", "don't forget")
_CONDITION = phrase("after", "if", "when", "once", "unless")
_EXCEPT = phrase("apart from", "besides", "except", "other than", "instead of", "aside from", "rather than")
_NOT = re.compile(r"\b(?:not|no longer|isn't|aren't|doesn't|don't|hardly|far from|never been|wasn't)\b")


def _is_unreal(own: str, sentence: Sentence, clause: tuple[int, int]) -> bool:
    """Whether the words are a wish, a plan, one's own habit or a question."""
    asked = sentence.asked and clause[1] == len(sentence.tokens)
    leads = re.match(r"^(?:is|are|does|do|did|why|what do|how often|who|can)\b", own)
    return bool(asked or leads or _UNREAL.search(own))


def _is_denied(sentence: Sentence, clause: tuple[int, int], trigger: tuple[int, int]) -> bool:
    """Whether a "not" stands shortly before the measure."""
    near = text_of(sentence, (max(clause[0], trigger[0] - NOT_REACH), trigger[0]))
    return bool(_NOT.search(_NOT_DENYING.sub(" ", near)))


def _governed(sentence: Sentence, scene: Scene, trigger: tuple[int, int]) -> bool:
    """Whether "after bishop b5", "if he takes" or "apart from a6" governs the measure: then it speaks of another
    position, or of the other moves. Not so when those words' move is played on the board, as they are said or before.
    """
    low = max(0, trigger[0] - CONDITION_REACH)
    found = [n for n in range(low, trigger[0]) if _CONDITION.fullmatch(sentence.tokens[n].text)]
    if _EXCEPT.search(text_of(sentence, (low, trigger[0]))):
        return True
    if not found or scene.moves_between(sentence.tokens[found[-1]].first, sentence.tokens[trigger[0]].first):
        return False
    last = scene.last_move(scene.step_at(sentence.tokens[trigger[0]].first))
    if last is None:
        return True
    step = scene.walk.steps[last]
    named = mentions(sentence.tokens, found[-1], trigger[0])
    board = scene.board(last)
    return not any(move.uci() == getattr(step, "uci", "") for mention in named for move in mention.fits(board))


#: What may stand between a move and the measure said of it.
_IS = re.compile(r"(?:is|are|was|has been)(?: \w+){0,2}")


def _alternatives(
    found: tuple[Mention, ...], sentence: Sentence, trigger: tuple[int, int], denied: bool
) -> tuple[Mention, ...]:
    """The mentions that the measure speaks of: the run joined by "or" nearest to it, those after it first; before
    it when denied ("bishop c4 isn't the main move, bishop b5 is")."""
    texts = [token.text for token in sentence.tokens]
    before = [m for m in found if m.last <= trigger[0]]
    after = [m for m in found if m.last > trigger[1] and "then" not in texts[trigger[1] : m.first]]
    if before and _IS.fullmatch(" ".join(texts[before[-1].last : trigger[0]])):
        return (before[-1],)  # "knight c3 is very rare here, it's h4 or bishop c4"
    if not after or (denied and before):
        return tuple(before[-1:] or after[:1])
    run = after[:1]
    for mention in after[1:]:
        between = [token.text for token in sentence.tokens[run[-1].last : mention.first]]
        if "or" not in between or len(between) > MOST_BETWEEN:
            break
        run.append(mention)
    return tuple(run)


def decide(claim: FrequencyClaim, facts: Facts) -> Ruling:
    """Count the games."""
    if claim.refers is Refers.LOST:
        return undecided("no legal move of this position fits the move named")
    return decide_share(claim.measure, claim.moves, claim.every, claim.denied, claim.soft, facts)


FREQUENCY = ClaimKind(Kind.FREQUENCY, find, decide, asks_base=True)
