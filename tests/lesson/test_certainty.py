"""How certain the board is: what was surely read further down a line vouches for the moves above it."""

from __future__ import annotations

import chess
import pytest
from hypothesis import given

from linewright.lesson.walk import SURE, MoveStep, ReturnStep, Said, Step, Walk
from linewright.talk.model import Place
from tests.lesson.walks import walks
from tests.support import plain_talk

#: moves with how sure each is; ``<n`` goes back to node n; certainty and the step to settle after all of them
LINES = [
    ("", 1.0, None),
    ("e4:1.0 e5:0.8", 0.8, 1),
    ("e4:1.0 e5:0.4 Nf3:0.95", 0.95, None),
    ("e4:0.5 e5:0.4 Nf3:0.7", 0.7, 0),
    ("e4:1.0 e5:0.4 Nf3:0.7 <1:1.0 c5:0.95", 0.95, None),
    ("e4:1.0 e5:1.0 <1:0.6", 0.6, 2),
    ("e4:1.0 e5:1.0 <1:0.6 c5:0.95", 0.95, None),
]


def walk(text: str) -> Walk:
    boards, steps, at = [chess.Board()], [], 0
    for number, part in enumerate(text.split()):
        said, sure = part.split(":")
        words = Said(number, number + 1, said, number, number + 1, Place(1, number + 1))
        step: Step
        if said.startswith("<"):
            at = int(said[1:])
            step = ReturnStep(words, boards[at].fen(), at, float(sure))
        else:
            board = boards[at].copy()
            move = board.push_san(said)
            boards.append(board)
            step = MoveStep(words, said, move.uci(), boards[at].fen(), board.fen(), at, len(boards) - 1, float(sure))
            at = len(boards) - 1
        steps.append(step)
    return Walk(plain_talk(text or "hello"), tuple(steps))


@pytest.mark.parametrize(("text", "certainty", "settle"), LINES)
def test_the_board_is_as_certain_as_the_surest_move_from_here_on(
    text: str, certainty: float, settle: int | None
) -> None:
    lesson = walk(text)
    done = len(lesson.steps)
    assert lesson.certainty(done) == certainty
    assert lesson.unsettled_at(done) == settle


@given(walks())
def test_no_position_is_surer_than_the_one_it_comes_from(lesson: Walk) -> None:
    for node in lesson.nodes:
        if node.parent is not None:
            assert lesson.certainties[node.id] <= lesson.certainties[node.parent]


@given(walks())
def test_a_sure_board_needs_no_settling(lesson: Walk) -> None:
    for done in range(len(lesson.steps) + 1):
        assert (lesson.unsettled_at(done) is None) == (lesson.certainty(done) >= SURE)
