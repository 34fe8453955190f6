"""Claims about how often a move is played, decided by the games base."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum

import chess

from linewright.claims.kinds.often import Measure, decide_share, measures
from linewright.claims.model import Kind
from linewright.claims.mood import Mood
from linewright.claims.moves import Mention, mentions
from linewright.claims.registry import ClaimKind, Facts, Found
from linewright.claims.ruling import Ruling, undecided
from linewright.claims.scene import Scene
from linewright.claims.whose import Party, party
from linewright.claims.words import Sentence
from linewright.lesson.walk import MoveStep

#: "Takes here, nearly always": a move told at most this many words before the claim is the one it speaks of.
NEAR_WORDS = 4
#: "The main move is: knight f6": a move told at most this many words after the claim.
NEXT_WORDS = 3


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
_PLAYING = re.compile(
    r"\b(?:plays?|played|playing|goes|go|going|gone|chooses?|chosen|choose|answers?|replies|reply|responds?|continues?|tries|try|"
    r"takes?|recaptures?|retakes|captures?|exchanges|castles?|moves?|move|brings?|puts?|develops?|retreats?|drops?|hops?|jumps?|comes?|"
    r"pushes|push|advances|heads|returns?|steps|whizz|whizzes|does|do|choice|reply|response|continuation|line|option|prefers?|prefer|"
    r"picks?|opts?|uses?|follows?|see|seen|met|get|gets|encounter|happens|favourite|answer|square|retreat|recapture|way|it's|is|"
    r"belongs|grabs?|swaps?|trades?|checks?|defends?|fianchettoes|starts?|begins?|throws?|hits?|kicks?|attacks?|retire|retires|swings?|"
    r"slides?|plumps?|lands?|ends up|decides?|select|selects|sends?)\b"
)
#: An audience, a circle or one's own games are not the base's games.
_PRIVATE = re.compile(
    r"\b(?:of you|of us|of my|of our|my (?:pupils|students|opponents|games|kids)|our (?:club|team|level)|my club|you lot|my level|"
    r"on the internet|online|in blitz|in bullet|amateurs?|beginners?|club players?|children|kids|at club level|computers?|engines?|against me)\b"
)
_BACK_REFERENCE = re.compile(r"\b(?:that|this|it|that's|it's|this is|which)\b")
_TIMES = re.compile(
    r"\b(?:these days|nowadays|today|recently|lately|at top level|at the top|grandmasters|masters|in the old days|back then)\b"
)


def find(sentence: Sentence, scene: Scene) -> Iterator[Found[FrequencyClaim]]:
    """The frequency claims of a sentence, in order."""
    done: list[tuple[int, int]] = []
    for measure, start, end in measures(sentence.text):
        trigger = sentence.token_range(start, end)
        clause = sentence.clause(*trigger)
        if any(clause[0] < last and clause[1] > first for first, last in done):
            continue
        found = _claim(sentence, scene, measure, clause, trigger)
        if found is not None:
            done.append((found.first, found.last))
            yield found


def _claim(
    sentence: Sentence, scene: Scene, measure: Measure, clause: tuple[int, int], trigger: tuple[int, int]
) -> Found[FrequencyClaim] | None:
    own = " ".join(token.text for token in sentence.tokens[clause[0] : clause[1]])
    if _PRIVATE.search(own) or not _PLAYING.search(own):
        return None
    unreal, denied = _said_as(own, sentence, clause, trigger)
    if unreal:
        return None
    soft = match[0] if (match := _TIMES.search(own)) else ""
    named = _alternatives(mentions(sentence.tokens, *clause), sentence, clause, trigger)
    target = _target(sentence, scene, measure, clause, trigger, named)
    if target is None:
        return None
    step, moves, every, refers = target
    about = FrequencyClaim(measure, moves, every, refers, denied, soft)
    return Found(about, clause[0], clause[1], step, Mood())


_UNREAL = re.compile(
    r"\b(?:might|could|would|should|ought|used to|want|wants|hope|hopes|threatens|if|unless|one day|next week|will one day|"
    r"must|learn|remember|recommend|my favourite|our favourite|his favourite|i always|i usually|i normally|i nearly always|"
    r"we always|i often|we usually|i almost always|my main|our main|says|said|wrote|thinks|told)\b"
)
_NOT = re.compile(r"\b(?:not|no longer|isn't|aren't|doesn't|don't|hardly|far from|never been|wasn't)\b")


def _said_as(
    own: str, sentence: Sentence, clause: tuple[int, int], trigger: tuple[int, int]
) -> tuple[bool, bool]:
    """Whether the claim is unreal (a wish, a plan, one's own habit, a question), and whether it is denied."""
    asked = sentence.asked and clause[1] == len(sentence.tokens)
    leads = re.match(r"^(?:is|are|does|do|did|why|what do|how often|who|which|can)\b", own)
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
    if named:
        return _named_target(sentence, scene, clause, words, named)
    texts = " ".join(token.text for token in sentence.tokens[clause[0] : clause[1]])
    last = _last_move(scene, words[0])
    following = _next_move(scene, words)
    forward = following is not None and not _BACK_REFERENCE.search(texts)
    if forward or (last is None and following is not None and measure.names_move):
        assert following is not None
        return following, (_uci(scene, following),), False, Refers.NEXT
    if last is not None and (measure.names_move or _BACK_REFERENCE.search(texts)):
        return last, (_uci(scene, last),), False, Refers.LAST
    return None


def _named_target(
    sentence: Sentence,
    scene: Scene,
    clause: tuple[int, int],
    words: tuple[int, int],
    named: tuple[Mention, ...],
) -> Target | None:
    """Where the named moves are legal: a step told by these very words, else now, else one move back."""
    now = scene.step_at(words[0])
    for index in _steps_told(scene, words):
        step = scene.walk.steps[index]
        assert isinstance(step, MoveStep)
        board = chess.Board(step.before)
        fitting = _union(named, board)
        if step.uci in fitting:
            return (
                index,
                fitting if len(named) > 1 else _narrowed(fitting, step.uci, named[0]),
                _adds(named),
                Refers.NAMED,
            )
    places = [now]
    if (last := scene.last_move(now)) is not None:
        places.append(last)
        if not _turn_agrees(sentence, scene, clause, now) and _turn_agrees(sentence, scene, clause, last):
            places.reverse()
    for steps in places:
        fitting = _union(named, scene.board(steps))
        if fitting:
            told = _told_next(scene, steps, fitting)
            return (
                steps,
                (told,) if told and len(named) == 1 and named[0].to is not None else fitting,
                _adds(named),
                Refers.NAMED,
            )
    if all(mention.to is None for mention in named):
        return None
    return now, (), False, Refers.LOST


def _union(named: tuple[Mention, ...], board: chess.Board) -> tuple[str, ...]:
    return tuple(dict.fromkeys(move.uci() for mention in named for move in mention.fits(board)))


def _narrowed(fitting: tuple[str, ...], uci: str, mention: Mention) -> tuple[str, ...]:
    """A step told by the claim's words settles which of several moves is meant, except for a bare "takes"."""
    bare = mention.to is None and mention.piece is None and mention.capture
    return fitting if bare else (uci,)


def _adds(named: tuple[Mention, ...]) -> bool:
    """Whether shares add up: alternatives joined by "or", or a bare "takes" or "castles" that means any of them."""
    return len(named) > 1 or (named[0].to is None and (named[0].capture or bool(named[0].castle)))


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


def _last_move(scene: Scene, word: int) -> int | None:
    """Index of the move told just before a word, None when none is near."""
    index = scene.last_move(scene.step_at(word))
    if index is None or word - scene.walk.steps[index].said.last > NEAR_WORDS:
        return None
    return index


def _next_move(scene: Scene, words: tuple[int, int]) -> int | None:
    """Index of the move told inside or right after the words."""
    for index, step in enumerate(scene.walk.steps):
        if isinstance(step, MoveStep) and words[0] <= step.said.first <= words[1] + NEXT_WORDS:
            return index
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
