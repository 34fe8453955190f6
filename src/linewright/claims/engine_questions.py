"""What a check asks of an engine, all at once, and how the answers are looked up."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import chess

from linewright.engine.model import EngineVerdict

#: How much a verdict on a position is worth to the check: more where the trainer has said something that hangs on it.
#: The ratios are our choice: a sentence that may be wrong deserves three times the work of a move merely shown, and
#: what a hundred masters have played needs the engine least.
CLAIMED, PRAISED, SHOWN, KNOWN = 3.0, 2.0, 1.0, 0.3


@dataclass(frozen=True, slots=True)
class Question:
    """A position that the check wants judged.

    :param doubt: what the verdict is worth, 0 and up; see :func:`linewright.engine.budget.share`.
    """

    board: chess.Board
    doubt: float = SHOWN


#: Answers many questions at once: the verdicts by EPD, without those that the engine failed on or had no time for.
Judge = Callable[[Sequence[Question]], Mapping[str, EngineVerdict]]


def one_by_one(ask: Callable[[chess.Board], EngineVerdict | None] | None) -> Judge | None:
    """A judge of many questions made of one that answers a position at a time; None of None."""
    if ask is None:
        return None

    def judge(questions: Sequence[Question]) -> Mapping[str, EngineVerdict]:
        answers = ((question.board.epd(), ask(question.board)) for question in questions)
        return {epd: verdict for epd, verdict in answers if verdict is not None}

    return judge


class Verdicts:
    """The engine's verdicts on the positions of one check."""

    def __init__(self, found: Mapping[str, EngineVerdict] | None = None) -> None:
        self._found = dict(found or {})

    @classmethod
    def ask(cls, judge: Judge | None, questions: Sequence[Question]) -> Verdicts:
        """Put the questions, each position once with the highest of its doubts; without a judge there are none."""
        if judge is None or not questions:
            return cls()
        wanted: dict[str, Question] = {}
        for question in questions:
            epd = question.board.epd()
            if epd not in wanted or wanted[epd].doubt < question.doubt:
                wanted[epd] = question
        return cls(judge(tuple(wanted.values())))

    def of(self, board: chess.Board) -> EngineVerdict | None:
        """The verdict on a position; None where there is none."""
        return self._found.get(board.epd())

    def __bool__(self) -> bool:
        return bool(self._found)
