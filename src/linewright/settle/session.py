"""A sitting in which a trainer settles doubts: one question at a time, the talk read again after each answer."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import chess

from linewright.lesson.walk import Walk
from linewright.reading.answers import Answer, four_fields, meet, obeyed, same_position
from linewright.reading.search.positions import MoveCounts
from linewright.settle.places import DoubtfulPlace, SettledMove
from linewright.settle.questions import TrainerQuestion, questions, with_choices
from linewright.settle.word_candidates import TalkScan
from linewright.settle.word_placing import placed
from linewright.talk.model import Talk

#: Reads the talk with these answers.
Reader = Callable[[Sequence[Answer]], Walk]


class CannotBe(Exception):
    """An answer that can't be taken; says why, and what to do instead."""


class MayBeTwo(CannotBe):
    """An answer that may mean several moves."""


@dataclass(frozen=True, slots=True)
class _State:
    """What undo goes back to.

    :param asked: questions answered or skipped.
    """

    answers: tuple[Answer, ...] = ()
    skipped: tuple[Answer, ...] = ()
    asked: int = 0


class Session:
    """One sitting.

    :param read: reads the talk with given answers.
    :param answers: what was settled before.
    :param base: how often moves are played; without one, common sense has to do.
    :param keep: called with the answers before and after each change, to store them.
    """

    def __init__(
        self,
        talk: Talk,
        read: Reader,
        answers: Sequence[Answer] = (),
        base: MoveCounts | None = None,
        keep: Callable[[Sequence[Answer], Sequence[Answer]], None] = lambda old, new: None,
    ) -> None:
        self.talk = talk
        self.scan = TalkScan(talk, base)
        self._read = read
        self._keep = keep
        self._state = _State(tuple(answers))
        self._history: list[_State] = []
        self.walk = read(self._state.answers)
        self._question: TrainerQuestion | None = None

    @property
    def answers(self) -> tuple[Answer, ...]:
        """All that is settled, in the order of the talk."""
        return self._state.answers

    @property
    def asked(self) -> int:
        """Questions answered or skipped in this sitting."""
        return self._state.asked

    def open(self) -> tuple[TrainerQuestion, ...]:
        """A question for each place that isn't settled, what settles most first; choices not filled in."""
        return questions(self.walk, self.scan, (*self._state.answers, *self._state.skipped))

    def doubtful(self) -> int:
        """How many doubtful places are left."""
        return sum(q.place.doubtful for q in self.open())

    def question(self) -> TrainerQuestion | None:
        """The question to ask now, None when nothing is left to ask."""
        if self._question is None:
            found = self.open()
            self._question = self._filled(found[0]) if found else None
        return self._question

    # -- answering ---------------------------------------------------------------------------------------

    def choose(self, number: int) -> None:
        """Take a numbered choice, counted from 0; 0 keeps the whole passage as it is read.

        :raises CannotBe: when there is no such choice.
        """
        question = self._now()
        if not 0 <= number < len(question.choices):
            raise CannotBe(f"there is no choice {number}; the last is {len(question.choices) - 1}")
        moves = question.choices[number].moves
        if number == 0:
            self._settle(self._placed(question, moves, question.last), question.places)
        elif moves:
            self._settle(self._placed(question, moves, question.place.said.last), question.places[:1])
        else:
            self.nothing()

    def nothing(self, whole: bool = False) -> None:
        """The words in question tell no move; with ``whole`` none of the passage does."""
        question = self._now()
        self._settle((), question.places if whole else question.places[:1])

    def tell(self, moves: Sequence[SettledMove], whole: bool = False) -> None:
        """The passage, with the words passed over before it, tells these moves, in this order.

        :param whole: these are all; else the passage's places after the last move's words are left open.
        :raises CannotBe: when a move is legal nowhere in the lesson, or there are more moves than words.
        """
        question = self._now()
        if not moves:
            raise CannotBe("no move was named")
        answers = self._placed(question, self.resolved(moves), question.last)
        reached = question.last if whole else max(a.last for a in answers)
        self._settle(answers, [p for p in question.places if p is question.place or p.said.first < reached])

    def skip(self) -> None:
        """Leave the place in question as it is, unsettled."""
        said = self._now().place.said
        state = self._state
        self._enter(replace(state, skipped=(*state.skipped, Answer(said.first, said.last, "")), asked=state.asked + 1))

    def turn_to(self, first: int) -> TrainerQuestion:
        """Ask next about the place whose words begin at word ``first``, whatever it is worth.

        :raises CannotBe: when no open place begins there.
        """
        found = next((q for q in self.open() if q.first == first), None)
        if found is None:
            raise CannotBe("this place is settled, or the talk reads differently now")
        self._question = self._filled(found)
        return self._question

    def further_back(self) -> None:
        """The board shown is wrong already: ask about the most doubtful move that led to it.

        :raises CannotBe: when all of these are settled.
        """
        question = self._now()
        nodes = [n.id for n in self.walk.nodes if same_position(n.fen, question.place.board)]
        line = {self.walk.nodes[i].fen for i in self.walk.line(nodes[0])} if nodes else set()
        ends = {m.said.first for m in self.walk.moves if m.after in line}
        found = [q for q in self.open() if q.first in ends and q.first < question.first]
        if not found:
            raise CannotBe("all moves that lead to this board are settled; u takes the last answer back")
        self._question = self._filled(max(found, key=lambda q: (q.place.doubt, q.first)))

    def undo(self) -> bool:
        """Take the last answer or skip back; False when there is none."""
        if not self._history:
            return False
        self._apply(self._history.pop())
        return True

    # -- moves as named ----------------------------------------------------------------------------------

    def resolved(self, moves: Sequence[SettledMove]) -> tuple[SettledMove, ...]:
        """The moves with their positions: the first from where it says, else from the board shown, else from the
        last position that they can be played from; the others played on.

        :raises CannotBe: when they can't be played.
        """
        first = moves[0]
        boards = [self._named(first.before)] if first.before else list(self.boards())
        for board in boards:
            line = _played(board, moves)
            if line is not None:
                return line
        named = " ".join(m.san for m in moves)
        where = "from that position" if first.before else "from any earlier position of the lesson"
        raise CannotBe(f"{named} can't be played {where}; is the board wrong already? then settle an earlier place")

    def boards(self) -> Iterator[chess.Board]:
        """The board in question, then earlier ones, the last first."""
        place = self._now().place
        yield chess.Board(place.board)
        for step in reversed(self.walk.steps[: place.step]):
            yield chess.Board(self.walk.nodes[step.node].fen)
        yield chess.Board(self.walk.start)

    def _named(self, fen: str) -> chess.Board:
        """The position of a FEN, with the lesson's own move numbers where it occurs."""
        known = next((node.fen for node in self.walk.nodes if same_position(node.fen, fen)), None)
        return chess.Board(known) if known is not None else _board(fen)

    # -- helpers -----------------------------------------------------------------------------------------

    def _filled(self, question: TrainerQuestion) -> TrainerQuestion:
        return replace(question, choices=with_choices(question, self.walk, self.scan))

    def _now(self) -> TrainerQuestion:
        question = self.question()
        if question is None:
            raise CannotBe("nothing is left to ask")
        return question

    def _placed(self, question: TrainerQuestion, moves: Sequence[SettledMove], last: int) -> list[Answer]:
        """The moves with their words; where there are fewer words than moves, words after them help out."""
        if not moves:
            return []
        spans: list[tuple[int, int]] | None
        if any(m.words is not None for m in moves):
            if any(m.words is None for m in moves):
                raise CannotBe("give the words for all moves or for none")
            spans = [m.words for m in moves if m.words is not None]
            if any(not 0 <= a < b <= len(self.talk.words) for a, b in spans):
                raise CannotBe("a move's words must be a range of the talk's words")
            if any(a[1] > b[0] for a, b in pairwise(spans)):
                raise CannotBe("the moves' words must follow each other")
        else:
            spans = placed(self.talk, self.scan, question, moves, last)
            spans = spans or placed(self.talk, self.scan, question, moves, question.until)
        if spans is None:
            words = self.talk.quote(question.since, question.until)
            raise CannotBe(f"there are {len(moves)} moves but fewer words: “{words}”")
        return [
            Answer(*span, move.san, four_fields(move.before))
            for move, span in zip(moves, self._whole(spans, question.since), strict=True)
        ]

    def _whole(self, spans: Sequence[tuple[int, int]], since: int) -> list[tuple[int, int]]:
        """The spans, each begun where the phrase begins that it cuts: the reader takes phrases whole.

        :param since: index after the words of the move before, which stay its own.
        """
        out: list[tuple[int, int]] = []
        for first, last in spans:
            start = max(self.scan.phrase_start(first), out[-1][1] if out else since)
            out.append((min(start, first), last))
        return out

    def _settle(self, given: Sequence[Answer], settled: Sequence[DoubtfulPlace]) -> None:
        """Keep these answers; of the places settled, those without a move tell none."""
        silent = [Answer(p.said.first, p.said.last, "") for p in settled]
        new = [*given, *(a for a in silent if not any(meet(a, b) for b in given))]
        kept = [a for a in self._state.answers if not any(meet(a, b) for b in new)]
        answers = tuple(sorted([*kept, *new], key=lambda a: a.first))
        self._enter(replace(self._state, answers=answers, asked=self._state.asked + 1))

    def _enter(self, state: _State) -> None:
        before = self._state
        self._apply(state)
        self._history.append(before)

    def _apply(self, state: _State) -> None:
        old = self._state.answers
        if state.answers != old:
            self._keep(old, state.answers)
            self.walk = self._read(state.answers)
        self._state = state
        self._question = None

    def unfit(self) -> tuple[Answer, ...]:
        """The answers that the reading can't obey as things stand."""
        return tuple(a for a in self.answers if not obeyed(self.walk, a))


def _board(fen: str) -> chess.Board:
    try:
        return chess.Board(four_fields(fen))
    except ValueError as error:
        raise CannotBe(f"{fen!r} is not a valid FEN: {error}") from None


def _played(board: chess.Board, moves: Sequence[SettledMove]) -> tuple[SettledMove, ...] | None:
    """The moves one after the other, each with its position; None when one is illegal."""
    out = []
    for number, move_named in enumerate(moves):
        if number and move_named.before and not same_position(move_named.before, board.fen()):
            board = _board(move_named.before)
        try:
            move = board.parse_san(move_named.san)
        except ValueError:
            return None
        out.append(SettledMove(board.san(move), board.fen(), move_named.words))
        board = board.copy(stack=False)
        board.push(move)
    return tuple(out)
