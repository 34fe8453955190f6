"""What to ask next: the doubtful passages of a reading, in the order of what an answer settles."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from linewright.lesson.walk import Said, Walk
from linewright.reading.answers import Answer, same_position
from linewright.settle.places import DoubtfulPlace, PlaceKind, SettledMove, in_run, places
from linewright.settle.word_candidates import TalkScan

#: Numbered choices shown at a place, "no move" among them: what a trainer takes in at a glance.
MOST_CHOICES = 8
#: Places and words that one question may reach over, so that it is answered at a glance.
MOST_PLACES = 8
MOST_WORDS = 40


@dataclass(frozen=True, slots=True)
class WayToRead:
    """A way to read the words of a question.

    :param moves: the moves they tell in order; empty when they tell none.
    """

    moves: tuple[SettledMove, ...] = ()

    def same(self, other: WayToRead) -> bool:
        """The same moves from the same position."""
        return [m.san for m in self.moves] == [m.san for m in other.moves] and all(
            same_position(a.before, b.before) for a, b in zip(self.moves, other.moves, strict=True)
        )


@dataclass(frozen=True, slots=True)
class TrainerQuestion:
    """A passage of a reading that may be wrong.

    :param places: the place in question and doubtful ones that follow it on the same line.
    :param since: index of the first word after the move before; the words up to the place were passed over.
    :param until: index of the first word of the move after the passage (of the talk's end).
    :param choices: ways to read the passage; the reading's own first, the others for its first place alone.
    :param worth: moves that an answer is expected to set right.
    """

    places: tuple[DoubtfulPlace, ...]
    since: int
    until: int
    choices: tuple[WayToRead, ...]
    worth: float

    @property
    def place(self) -> DoubtfulPlace:
        """The place in question."""
        return self.places[0]

    @property
    def first(self) -> int:
        """Index of its first word."""
        return self.places[0].said.first

    @property
    def last(self) -> int:
        """Index after its last word."""
        return self.places[-1].said.last


def questions(walk: Walk, scan: TalkScan, settled: Sequence[Answer] = ()) -> tuple[TrainerQuestion, ...]:
    """One question for each place that isn't settled, what settles most first.

    :param settled: places that need no question, whether the reading obeys or not.
    """
    found = [p for p in places(walk, scan) if not any(_meet(p.said, a) for a in settled)]
    out = [_question(walk, found, index) for index in range(len(found))]
    return tuple(sorted(out, key=lambda q: (-q.worth, q.first)))


def _meet(said: Said, answer: Answer) -> bool:
    return said.first < answer.last and answer.first < said.last


def _question(walk: Walk, found: Sequence[DoubtfulPlace], index: int) -> TrainerQuestion:
    start = found[index]
    passage = passage_from(found, index)
    last = passage[-1].said.last
    since = max((m.said.last for m in walk.moves if m.said.last <= start.said.first), default=0)
    until = min((m.said.first for m in walk.moves if m.said.first >= last), default=len(walk.talk.words))
    read = tuple(move for place in passage for move in place.moves)
    others = [WayToRead((*start.moves[:-1], SettledMove(san, start.moves[-1].before))) for san in start.others]
    return TrainerQuestion(passage, since, until, (WayToRead(read), *others), worth(walk, start))


def passage_from(found: Sequence[DoubtfulPlace], index: int) -> tuple[DoubtfulPlace, ...]:
    """The place at ``index`` and the doubtful ones after it, up to a sure move, a return or what is settled."""
    start = found[index]
    out = [start]
    for place in found[index + 1 :]:
        if place.kind is PlaceKind.PASSED and not place.doubtful:
            continue
        near = place.said.last - start.said.first <= MOST_WORDS
        if place.kind is PlaceKind.RETURN or not place.doubtful or not near or len(out) == MOST_PLACES:
            break
        out.append(place)
    return tuple(out)


def worth(walk: Walk, place: DoubtfulPlace) -> float:
    """Moves that an answer is expected to set right: what is doubted on the same line goes wrong with the place, and
    where the line was lost, what fits nowhere after it."""
    later = list(in_run(walk.steps, place.step))[len(place.moves) :]
    return place.doubt * (1.0 + place.breaks + sum(1.0 - move.sure for move in later))


def with_choices(question: TrainerQuestion, walk: Walk, scan: TalkScan) -> tuple[WayToRead, ...]:
    """A question's choices and further ones: what else its first words may tell, wherever in the tree."""
    said = question.place.said
    choices = list(question.choices)
    for san, before in scan.readings(walk, said.first, said.last, question.place.step):
        if len(choices) >= MOST_CHOICES - 1:
            break
        choice = WayToRead((SettledMove(san, before),))
        if not any(choice.same(c) for c in choices):
            choices.append(choice)
    if all(c.moves for c in choices):
        choices.append(WayToRead())
    return tuple(choices)
