"""Which move a frequency claim speaks of, and in which position: named in its words, or said just before or after."""

from __future__ import annotations

import re
from enum import StrEnum

import chess

from linewright.claims.kinds.frequency.frequency_words import PLAYS, How, Measure
from linewright.claims.sentence.named_moves import Mention
from linewright.claims.sentence.scene import Scene
from linewright.claims.sentence.whose import Party, party
from linewright.claims.sentence.words import Sentence
from linewright.language.patterns import listed, phrase
from linewright.lesson.walk import MoveStep

#: "Takes here, nearly always": a move said at most this many words before the claim is the one it speaks of.
NEAR_WORDS = 4
#: "The main move is: knight f6": a move said at most this many words after the claim.
NEXT_WORDS = 3
#: A clause of the measure and at most this many words more ("nine times out of ten, really") needs no verb.
BARE_WORDS = 2
#: Words that make a claim one of the games: somebody plays, or it is called a move.
PLAYING = phrase(
    PLAYS,
    listed(
        "choice reply response continuation line option favourite answer square recapture way capture retreat decision "
        "comes come hits kicks attacks heads returns steps jumps belongs lands slides swings whizz whizzes sends drops "
        "follows see seen get gets encounter happens defends fianchettoes starts begins is it's throws selects decides"
    ),
)
#: That a move is played, not only talked of; asked for where no move is named ("that is nearly always played").
_PLAYED = phrase(
    PLAYS, listed("seen chosen happens follows choice reply move answer continuation habit custom practice")
)
_BACK_REFERENCE = phrase("that", "this", "it", "that's", "it's", "which", "these", "he does", "does so")

#: The move said last, however long ago: "this rook move", "no other move is played so often".
_POINTED = re.compile(
    r"\b(?:this|that) (?:\w+ )?(?:move|capture|advance|retreat|recapture|reply|answer|push|check)\b|\bno other\b"
)


class Refers(StrEnum):
    """How the claim names its move."""

    NAMED = "named in the claim"
    LAST = "the move told before it"
    NEXT = "the move told right after it"
    LOST = "no legal move fits what is named"


Target = tuple[int, tuple[str, ...], bool, Refers]


def which_move(
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
    own = text_of(sentence, clause)
    if named:
        return _named_target(sentence, scene, clause, at, named) if measure.names_move or PLAYING.search(own) else None
    pointed = bool(_POINTED.search(own))
    last = scene.last_move(scene.step_at(at)) if pointed else _last_move(scene, at, words[0])
    following = None if pointed else _next_move(scene, at, words[1])
    back = bool(_BACK_REFERENCE.search(own))
    played = measure.names_move or bool(_PLAYED.search(own))
    never = measure.how in (How.NOBODY, How.RARE)  # "nobody does that": the move said next is the better one
    if following is not None and played and (not back or (last is None and not never)):
        return following, (_uci(scene, following),), False, Refers.NEXT
    bare = clause[1] - clause[0] <= trigger[1] - trigger[0] + BARE_WORDS
    if last is not None and ((played and (back or measure.names_move)) or bare):
        return last, (_uci(scene, last),), False, Refers.LAST
    return None


def _named_target(
    sentence: Sentence, scene: Scene, clause: tuple[int, int], at: int, named: tuple[Mention, ...]
) -> Target | None:
    """Where the named moves are legal: a step said by these very words, else now, else one move back."""
    words = sentence.tokens[clause[0]].first, sentence.tokens[clause[1] - 1].last
    for index in reversed(steps_told(scene, words)):
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


def steps_told(scene: Scene, words: tuple[int, int]) -> list[int]:
    """Indices of the moves said by words of the claim, in order."""
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
    """Index of the move said before word ``at``, at most a few words before the clause that starts at ``start``."""
    index = scene.last_move(scene.step_at(at))
    if index is None:
        return None
    told = scene.walk.steps[index].said
    return index if told.first < told.last and start - told.last <= NEAR_WORDS else None


def _next_move(scene: Scene, word: int, end: int) -> int | None:
    """Index of the move said after a word, up to a few words past the end of the clause."""
    for index, step in enumerate(scene.walk.steps):
        if isinstance(step, MoveStep) and word <= step.said.first <= end + NEXT_WORDS:
            return index if step.said.first < step.said.last else None
    return None


def _uci(scene: Scene, index: int) -> str:
    step = scene.walk.steps[index]
    assert isinstance(step, MoveStep)
    return step.uci


def told_in(sentence: Sentence, scene: Scene, part: tuple[int, int]) -> bool:
    words = sentence.tokens[part[0]].first, sentence.tokens[part[1] - 1].last
    return bool(steps_told(scene, words))


def text_of(sentence: Sentence, tokens: tuple[int, int]) -> str:
    return " ".join(token.text for token in sentence.tokens[tokens[0] : tokens[1]])
