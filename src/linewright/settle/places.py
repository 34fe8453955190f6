"""The places of a reading: each move that is read, and each run of words that looks like a move and isn't."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum

from linewright.lesson.walk import SURE, MoveStep, ReturnStep, Said, Step, Walk
from linewright.settle import doubts
from linewright.settle.word_candidates import TalkScan


class PlaceKind(StrEnum):
    """What stands at a place."""

    MOVE = "move"
    RETURN = "return"
    PASSED = "passed over"


@dataclass(frozen=True, slots=True)
class SettledMove:
    """A move that some words tell.

    :param san: in standard algebraic notation.
    :param before: FEN of the position it is played from; ``""`` to play on, or wherever it fits.
    :param words: index of its first word and after its last; None to be found among a question's words.
    """

    san: str
    before: str = ""
    words: tuple[int, int] | None = None


@dataclass(frozen=True, slots=True)
class DoubtfulPlace:
    """A place of a reading that may be wrong.

    :param said: its words, never empty.
    :param moves: the move that is read, after moves that went unsaid before it; empty for words passed over.
    :param others: what else the move may be by the reading, in standard algebraic notation.
    :param step: how many steps are done before it.
    :param board: full FEN of the position it is read in.
    :param sure: how sure the reading is of it, 0-1; None for words passed over.
    :param doubt: estimated probability that the reading goes wrong here, 0-1.
    :param doubtful: unsure, or looks like a move that was missed.
    :param breaks: how many places after it fit nowhere since the line was lost here.
    """

    kind: PlaceKind
    said: Said
    moves: tuple[SettledMove, ...]
    others: tuple[str, ...]
    step: int
    board: str
    sure: float | None
    doubt: float
    doubtful: bool
    breaks: int = 0


def places(walk: Walk, scan: TalkScan) -> tuple[DoubtfulPlace, ...]:
    """All places of a reading, in the order of the talk."""
    return tuple(sorted([*_read(walk), *_passed(walk, scan)], key=lambda p: p.said.first))


def groups(walk: Walk) -> Iterator[tuple[int, tuple[MoveStep, ...]]]:
    """Each spoken move after the moves that went unsaid before it, and the first one's index among the steps."""
    unsaid: list[MoveStep] = []
    for index, step in enumerate(walk.steps):
        if isinstance(step, ReturnStep):
            continue
        unsaid.append(step)
        if step.said.first < step.said.last:
            yield index - len(unsaid) + 1, tuple(unsaid)
            unsaid = []


def _read(walk: Walk) -> Iterator[DoubtfulPlace]:
    sures = {0: 1.0}
    for index, moves in groups(walk):
        step = moves[-1]
        returned = index > 0 and isinstance(walk.steps[index - 1], ReturnStep)
        sure = min(m.sure for m in moves)
        line = sures.get(moves[0].parent, 1.0)
        sures.update((m.node, sure) for m in moves)
        yield DoubtfulPlace(
            PlaceKind.RETURN if returned else PlaceKind.MOVE,
            step.said,
            tuple(SettledMove(m.san, m.before) for m in moves),
            tuple(a.san for a in step.instead),
            index,
            moves[0].before,
            sure,
            doubts.of_move(sure, line, returned),
            sure < SURE,
        )


def _passed(walk: Walk, scan: TalkScan) -> Iterator[DoubtfulPlace]:
    breaks = {u.said.first: u.further for u in walk.unread if u.further}
    for passed in scan.passed(walk):
        step = walk.step_at(passed.said.first)
        node = walk.node_after(step)
        line = next((m.sure for m in walk.moves if m.node == node), 1.0)
        doubtful = passed.playing >= doubts.LOOKS_PLAYED and not passed.repeats
        further = breaks.get(passed.said.first, 0)
        doubt = 1.0 if further else doubts.of_passed(passed, line)
        yield DoubtfulPlace(
            PlaceKind.PASSED,
            passed.said,
            (),
            (),
            step,
            walk.nodes[node].fen,
            None,
            doubt,
            doubtful or further > 0,
            further,
        )


def in_run(steps: Sequence[Step], index: int) -> Iterator[MoveStep]:
    """The moves from step ``index`` on up to the next return; a return at ``index`` is passed."""
    if index < len(steps) and isinstance(steps[index], ReturnStep):
        index += 1
    while index < len(steps):
        step = steps[index]
        if not isinstance(step, MoveStep):
            return
        yield step
        index += 1
