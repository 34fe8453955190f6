"""Which move a frequency claim speaks of, and in which position: named in its words, or said just before or after."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

import chess

from linewright.claims.kinds.frequency.measures import How, Measure
from linewright.claims.sentence.named_moves import Mention
from linewright.claims.sentence.owners import Party, party
from linewright.claims.sentence.talk_scene import Scene
from linewright.claims.sentence.words import Sentence
from linewright.language.wordings import Wording, word_set, wording
from linewright.lesson.walk import MoveStep

#: "Takes here, nearly always": a move said at most this many words before the claim is the one it speaks of.
NEAR_WORDS = 4
#: "The main move is: knight f6": a move said at most this many words after the claim.
NEXT_WORDS = 3
#: A clause of the measure and at most this many words more ("nine times out of ten, really") needs no verb.
BARE_WORDS = 2


@dataclass(frozen=True, slots=True)
class MeasuredClause:
    """A measure of frequency in its clause.

    :param clause: its half-open range of tokens.
    :param trigger: that of the measure's own words.
    """

    sentence: Sentence
    scene: Scene
    measure: Measure
    clause: tuple[int, int]
    trigger: tuple[int, int]

    @property
    def wording(self) -> Wording:
        return wording("claims/frequency", self.scene.language)

    def words(self, entry: str) -> frozenset[str]:
        """A plain list of the wording."""
        return word_set("claims/frequency", entry, self.scene.language)

    def hints(self, name: str, tokens: tuple[int, int]) -> bool:
        """Whether a hint of the wording stands in some tokens."""
        return self.wording.hint(name, text_of(self.sentence, tokens)) is not None

    @property
    def span(self) -> tuple[int, int]:
        """The half-open range of the talk's words that the clause takes."""
        return word_span(self.sentence, self.clause)

    @property
    def at(self) -> int:
        """The talk's word at which the measure begins."""
        return self.sentence.tokens[self.trigger[0]].first


class Refers(StrEnum):
    """How the claim names its move."""

    NAMED = "named in the claim"
    LAST = "the move said before it"
    NEXT = "the move said right after it"
    LOST = "no legal move fits what is named"


Target = tuple[int, tuple[str, ...], bool, Refers]


def which_move(said: MeasuredClause, named: tuple[Mention, ...]) -> Target | None:
    """The position that the claim speaks of and the moves it means there.

    :param named: the moves named in the clause that the measure may speak of.
    """
    scene, measure, clause = said.scene, said.measure, said.clause
    if named:
        return _named_target(said, named) if measure.names_move or said.hints("playing", clause) else None
    pointed = said.hints("pointed", clause)
    last = scene.last_move(scene.step_at(said.at)) if pointed else _last_move(scene, said.at, said.span[0])
    following = None if pointed else _next_move(scene, said.at, said.span[1])
    back = said.hints("back", clause)
    played = measure.names_move or said.hints("played", clause)
    never = measure.how in (How.NOBODY, How.RARE)  # "nobody does that": the move said next is the better one
    if following is not None and played and (not back or (last is None and not never)):
        return following, (_uci(scene, following),), False, Refers.NEXT
    bare = clause[1] - clause[0] <= said.trigger[1] - said.trigger[0] + BARE_WORDS
    if last is not None and ((played and (back or measure.names_move)) or bare):
        return last, (_uci(scene, last),), False, Refers.LAST
    return None


def _named_target(said: MeasuredClause, named: tuple[Mention, ...]) -> Target | None:
    """Where the named moves are legal: a step said by these very words, else now, else one move back."""
    scene = said.scene
    for index in reversed(steps_said(scene, said.span)):
        step = scene.walk.steps[index]
        assert isinstance(step, MoveStep)
        fitting = _union(named, chess.Board(step.before))
        if step.uci in fitting:
            meant = fitting if _adds(named) else (step.uci,)
            return index, meant, _adds(named), Refers.NAMED
    now = scene.step_at(said.at)
    places = [now]
    if (last := scene.last_move(now)) is not None:
        places.append(last)
        if not _turn_agrees(said, now) and _turn_agrees(said, last):
            places.reverse()
    for steps in places:
        fitting = _union(named, scene.board(steps))
        if fitting:
            played = "" if _adds(named) else _played_next(scene, steps, fitting)
            return steps, (played,) if played else fitting, _adds(named), Refers.NAMED
    if all(mention.to is None for mention in named):
        return None
    return now, (), False, Refers.LOST


def _union(named: tuple[Mention, ...], board: chess.Board) -> tuple[str, ...]:
    return tuple(dict.fromkeys(move.uci() for mention in named for move in mention.fits(board)))


def _adds(named: tuple[Mention, ...]) -> bool:
    """Whether shares add up: alternatives joined by "or", or "takes (on d4)" and "castles" by whatever piece."""
    return len(named) > 1 or (named[0].piece is None and named[0].capture) or named[0].castle == "any"


def _played_next(scene: Scene, steps: int, fitting: tuple[str, ...]) -> str:
    """Of several moves that fit, the one that the walk plays from that position next, or ""."""
    if steps < len(scene.walk.steps):
        step = scene.walk.steps[steps]
        if isinstance(step, MoveStep) and step.uci in fitting:
            return step.uci
    return ""


def steps_said(scene: Scene, words: tuple[int, int]) -> list[int]:
    """Indices of the moves said by words of a half-open range of the talk, in order."""
    return [
        index
        for index, step in enumerate(scene.walk.steps)
        if isinstance(step, MoveStep) and step.said.first < words[1] and step.said.last > words[0]
    ]


def _turn_agrees(said: MeasuredClause, steps: int) -> bool:
    """Whether the side that the clause names ("he", "white") is the one to move; True where it names none."""
    scene, turn = said.scene, said.scene.board(steps).turn
    for token in said.sentence.tokens[slice(*said.clause)]:
        who = party(token.text, scene.language)
        if who is Party.WHITE or who is Party.BLACK:
            return turn is (who is Party.WHITE)
        if scene.side is not None and (who is Party.US or token.text in said.words("he")):
            return turn is (scene.side if who is Party.US else not scene.side)
    return True


def _last_move(scene: Scene, at: int, start: int) -> int | None:
    """Index of the move said before word ``at``, at most a few words before the clause that starts at ``start``."""
    index = scene.last_move(scene.step_at(at))
    if index is None:
        return None
    move = scene.walk.steps[index].said
    return index if move.first < move.last and start - move.last <= NEAR_WORDS else None


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


def word_span(sentence: Sentence, tokens: tuple[int, int]) -> tuple[int, int]:
    """The half-open range of the talk's words that some tokens take."""
    return sentence.tokens[tokens[0]].first, sentence.tokens[tokens[1] - 1].last


def text_of(sentence: Sentence, tokens: tuple[int, int]) -> str:
    return " ".join(token.text for token in sentence.tokens[slice(*tokens)])
