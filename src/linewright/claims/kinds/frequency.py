"""Claims about how often a move is played, decided by the games base."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum

import chess

from linewright.claims.kinds.often import ENDS_IN_MOVE, PLAYS, How, Measure, decide_share, measures
from linewright.claims.model import Kind
from linewright.claims.mood import Mood
from linewright.claims.moves import Mention, mentions
from linewright.claims.patterns import listed, phrase
from linewright.claims.registry import ClaimKind, Facts, Found
from linewright.claims.ruling import Ruling, undecided
from linewright.claims.scene import LONGEST_SIDE, Scene
from linewright.claims.whose import Party, party
from linewright.claims.words import INTERJECTION, Sentence
from linewright.lesson.walk import MoveStep

#: "Takes here, nearly always": a move told at most this many words before the claim is the one it speaks of.
NEAR_WORDS = 4
#: "The main move is: knight f6": a move told at most this many words after the claim.
NEXT_WORDS = 3
#: Tokens before a claim's first word whose wishes and doubts still reach it, and after its last one whose
#: restrictions ("at club level") do.
CORE_SIDE = 6
#: A clause of the measure and at most this many words more ("nine times out of ten, really") needs no verb.
BARE_WORDS = 2
#: "Nearly always, here, he drops …": how many clause parts further the verb may stand.
MAX_WIDENING = 3


class Refers(StrEnum):
    """How the claim names its move."""

    NAMED = "named in the claim"
    LAST = "the move told before it"
    NEXT = "the move told right after it"
    LOST = "no legal move fits what is named"


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


#: Words that make a claim one of the games: somebody plays, or it is called a move.
_PLAYING = phrase(
    PLAYS,
    listed(
        "choice reply response continuation line option favourite answer square recapture way capture retreat decision "
        "comes come hits kicks attacks heads returns steps jumps belongs lands slides swings whizz whizzes sends drops "
        "follows see seen get gets encounter happens defends fianchettoes starts begins is it's throws selects decides"
    ),
)
#: That a move is played, not only talked of; asked for where no move is named ("that is nearly always played").
_PLAYED = phrase(PLAYS, listed("seen chosen happens follows choice reply move answer continuation"))
#: An audience, a circle or one's own games are not the base's games.
_PRIVATE = phrase(
    "(?:of|among) (?:you|us|my|our|your)",
    "(?:my|our|your) (?:pupils|students|opponents|games|kids|club|team|level|friends|club mates)",
    "you lot", "(?:on the internet|online|against me)", "in (?:blitz|bullet|rapid)", "at (?:club|our|my|your|this) "
        "level",
    listed("amateurs beginners children kids juniors computers engines"), "club players?", "most of them",
)  # fmt: skip
_BACK_REFERENCE = phrase("that", "this", "it", "that's", "it's", "which", "these", "he does", "does so")
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
    """The clause of a frequency claim. Moves told in it belong to it ("nearly everybody goes [knight f6]"), moves
    told before it by words of their own don't; a bare "nearly always, here," goes on until somebody plays."""
    parts = sentence.parts
    touched = [n for n, (a, b) in enumerate(parts) if a < trigger[1] and b > trigger[0]]
    low, high = touched[0], touched[-1]
    while low and parts[low][0] - parts[low - 1][0] <= INTERJECTION and not _told_in(sentence, scene, parts[low - 1]):
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
    return bool(_PLAYING.search(_text(sentence, tokens)) or mentions(sentence.tokens, *tokens))


def _after_moves(sentence: Sentence, scene: Scene, first: int, until: int) -> int:
    """The first token past the moves told between two tokens."""
    ends = [
        scene.walk.steps[i].said.last
        for i in _steps_told(scene, (sentence.tokens[first].first, sentence.tokens[until].first))
    ]
    passed = [n for n in range(first, until) if ends and sentence.tokens[n].first < max(ends)]
    return passed[-1] + 1 if passed else first


def _told_in(sentence: Sentence, scene: Scene, part: tuple[int, int]) -> bool:
    words = sentence.tokens[part[0]].first, sentence.tokens[part[1] - 1].last
    return bool(_steps_told(scene, words))


def _text(sentence: Sentence, tokens: tuple[int, int]) -> str:
    return " ".join(token.text for token in sentence.tokens[tokens[0] : tokens[1]])


def _claim(
    sentence: Sentence, scene: Scene, measure: Measure, clause: tuple[int, int], trigger: tuple[int, int]
) -> Found[FrequencyClaim] | None:
    named = _alternatives(mentions(sentence.tokens, *clause), sentence, clause, trigger)
    if _text(sentence, (trigger[1], clause[1])).split(" ")[0] in ("that", "this", "it", "so"):
        named = ()
    core = _core(clause, trigger, named)
    own = _text(sentence, (core[0], min(core[1] + CORE_SIDE, clause[1])))
    if _PRIVATE.search(own) or _is_of_something_else(sentence, measure, core, trigger):
        return None
    unreal, denied = _said_as(_text(sentence, core), sentence, clause, trigger)
    if unreal:
        return None
    soft = match[0] if (match := _TIMES.search(own)) else ""
    target = _target(sentence, scene, measure, clause, trigger, named)
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
    listed("think thinks believe believes consider considers know knows feel feels assume agree agrees forget forgets "
           "hate fear"),
    "(?:is|are|looks|look|feels) (?:a |an |the |very |quite |clearly |simply |just |more |really )*"
    + listed("bad good better best strong weak dangerous mistake winning losing wrong right enough fine idea shame "
             "problem"),
)  # fmt: skip


def _is_of_something_else(
    sentence: Sentence, measure: Measure, clause: tuple[int, int], trigger: tuple[int, int]
) -> bool:
    """Whether the measure belongs to no move: "a rare book", "most people think", "usually a good idea"."""
    own = _text(sentence, clause)
    if measure.how in (How.COMMON, How.RARE):
        following = _text(sentence, (trigger[1], min(trigger[1] + 1, clause[1])))
        if following and not ENDS_IN_MOVE.search(_text(sentence, trigger)) and not _MAY_FOLLOW.match(following):
            return not _text(sentence, trigger).endswith(("rarely", "seldom", "people", "players"))
    return not measure.names_move and bool(_THINKING.search(own))


_UNREAL = phrase(
    listed("might could would should ought want wants hope hopes threatens if unless must learn recommend says said "
           "wrote"),
    listed("thinks told instead"), "used to", "one day", "next week",
    "(?:my|our|his|her|their) favourite", "(?:my|our) main",
    "(?:i|we|i've|we've|he himself) (?:nearly |almost |have |had )?(?:always|usually|normally|often|mostly)",
)  # fmt: skip
_NOT = re.compile(r"\b(?:not|no longer|isn't|aren't|doesn't|don't|hardly|far from|never been|wasn't)\b")


def _said_as(own: str, sentence: Sentence, clause: tuple[int, int], trigger: tuple[int, int]) -> tuple[bool, bool]:
    """Whether the claim is unreal (a wish, a plan, one's own habit, a question), and whether it is denied."""
    asked = sentence.asked and clause[1] == len(sentence.tokens)
    leads = re.match(r"^(?:is|are|does|do|did|why|what do|how often|who|can)\b", own)
    near = " ".join(token.text for token in sentence.tokens[max(clause[0], trigger[0] - 4) : trigger[0]])
    near = re.sub(r"\b(?:not only|not just|not to mention|why not|no doubt|don't forget)\b", " ", near)
    return bool(asked or leads or _UNREAL.search(own)), bool(_NOT.search(near))


def _alternatives(
    found: tuple[Mention, ...], sentence: Sentence, clause: tuple[int, int], trigger: tuple[int, int]
) -> tuple[Mention, ...]:
    """The mentions that the measure speaks of: the run joined by "or" nearest to it, those after it first."""
    if len(found) <= 1:
        return found
    after = [m for m in found if m.last > trigger[1]]
    run = [after[0] if after else found[-1]]
    if not after:
        return tuple(run)
    for mention in after[1:]:
        between = [token.text for token in sentence.tokens[run[-1].last : mention.first]]
        if "or" not in between or len(between) > 3:
            break
        run.append(mention)
    return tuple(run)


Target = tuple[int, tuple[str, ...], bool, Refers]


def _target(
    sentence: Sentence,
    scene: Scene,
    measure: Measure,
    clause: tuple[int, int],
    trigger: tuple[int, int],
    named: tuple[Mention, ...],
) -> Target | None:
    """The position that the claim speaks of and the moves it means there."""
    words = sentence.tokens[clause[0]].first, sentence.tokens[clause[1] - 1].last
    at = sentence.tokens[trigger[0]].first
    own = _text(sentence, clause)
    if named:
        return _named_target(sentence, scene, clause, at, named) if measure.names_move or _PLAYING.search(own) else None
    last, following = _last_move(scene, at, words[0]), _next_move(scene, at, words[1])
    back = bool(_BACK_REFERENCE.search(own))
    played = measure.names_move or bool(_PLAYED.search(own))
    if following is not None and played and (not back or (measure.names_move and last is None)):
        return following, (_uci(scene, following),), False, Refers.NEXT
    bare = clause[1] - clause[0] <= trigger[1] - trigger[0] + BARE_WORDS
    if last is not None and ((played and (back or measure.names_move)) or bare):
        return last, (_uci(scene, last),), False, Refers.LAST
    return None


def _named_target(
    sentence: Sentence, scene: Scene, clause: tuple[int, int], at: int, named: tuple[Mention, ...]
) -> Target | None:
    """Where the named moves are legal: a step told by these very words, else now, else one move back."""
    words = sentence.tokens[clause[0]].first, sentence.tokens[clause[1] - 1].last
    for index in reversed(_steps_told(scene, words)):
        step = scene.walk.steps[index]
        assert isinstance(step, MoveStep)
        fitting = _union(named, chess.Board(step.before))
        if step.uci in fitting:
            meant = fitting if _adds(named) else (step.uci,)
            return index, meant, _adds(named), Refers.NAMED
    now = scene.step_at(at)
    places = [now]
    if (last := scene.last_move(now)) is not None:
        places.append(last)
        if not _turn_agrees(sentence, scene, clause, now) and _turn_agrees(sentence, scene, clause, last):
            places.reverse()
    for steps in places:
        fitting = _union(named, scene.board(steps))
        if fitting:
            told = "" if _adds(named) else _told_next(scene, steps, fitting)
            return steps, (told,) if told else fitting, _adds(named), Refers.NAMED
    if all(mention.to is None for mention in named):
        return None
    return now, (), False, Refers.LOST


def _union(named: tuple[Mention, ...], board: chess.Board) -> tuple[str, ...]:
    return tuple(dict.fromkeys(move.uci() for mention in named for move in mention.fits(board)))


def _adds(named: tuple[Mention, ...]) -> bool:
    """Whether shares add up: alternatives joined by "or", or "takes (on d4)" and "castles" by whatever piece."""
    return len(named) > 1 or (named[0].piece is None and named[0].capture) or named[0].castle == "any"


def _told_next(scene: Scene, steps: int, fitting: tuple[str, ...]) -> str:
    """Of several moves that fit, the one that the walk plays from that position next, or ""."""
    if steps < len(scene.walk.steps):
        step = scene.walk.steps[steps]
        if isinstance(step, MoveStep) and step.uci in fitting:
            return step.uci
    return ""


def _steps_told(scene: Scene, words: tuple[int, int]) -> list[int]:
    """Indices of the moves told by words of the claim, in order."""
    return [
        index
        for index, step in enumerate(scene.walk.steps)
        if isinstance(step, MoveStep) and step.said.first < words[1] and step.said.last > words[0]
    ]


def _turn_agrees(sentence: Sentence, scene: Scene, clause: tuple[int, int], steps: int) -> bool:
    """Whether the side that the clause names ("he", "white") is the one to move; True where it names none."""
    turn = scene.board(steps).turn
    for token in sentence.tokens[clause[0] : clause[1]]:
        who = party(token.text)
        if who is Party.WHITE or who is Party.BLACK:
            return turn is (who is Party.WHITE)
        if scene.side is not None and (who is Party.US or token.text in ("he", "he's", "his")):
            return turn is (scene.side if who is Party.US else not scene.side)
    return True


def _last_move(scene: Scene, at: int, start: int) -> int | None:
    """Index of the move told before word ``at``, at most a few words before the clause that starts at ``start``."""
    index = scene.last_move(scene.step_at(at))
    if index is None:
        return None
    told = scene.walk.steps[index].said
    return index if told.first < told.last and start - told.last <= NEAR_WORDS else None


def _next_move(scene: Scene, word: int, end: int) -> int | None:
    """Index of the move told after a word, up to a few words past the end of the clause."""
    for index, step in enumerate(scene.walk.steps):
        if isinstance(step, MoveStep) and word <= step.said.first <= end + NEXT_WORDS:
            return index if step.said.first < step.said.last else None
    return None


def _uci(scene: Scene, index: int) -> str:
    step = scene.walk.steps[index]
    assert isinstance(step, MoveStep)
    return step.uci


def decide(claim: FrequencyClaim, facts: Facts) -> Ruling:
    """Count the games."""
    if claim.refers is Refers.LOST:
        return undecided("no legal move of this position fits the move named")
    return decide_share(claim.measure, claim.moves, claim.every, claim.denied, claim.soft, facts)


FREQUENCY = ClaimKind(Kind.FREQUENCY, find, decide, asks_base=True)
