"""The stage's script: the stops of a walk, each with what the board shows and the words said while it stands."""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass
from itertools import pairwise

from linewright.lesson.opening import lesson_opening, opening_at
from linewright.lesson.spoken import figurine, in_words, move_number
from linewright.lesson.step_words import step_spans, step_stretches, word_at
from linewright.lesson.walk import BoardMark, MoveStep, Walk
from linewright.publish.recording_chapters import chapters
from linewright.publish.timing import RATE, length, timed

#: Words after a move within which a mark appears with the move; a later one has a stop of its own.
WITH_MOVE = 3
#: Half-moves on the stage's strip: a line's end says where it is, its beginning is known.
STRIP = 8


@dataclass(frozen=True, slots=True)
class Stop:
    """What the stage shows between two presses of the next key.

    :param state: steps of the walk that are done.
    :param marks: marks that are shown.
    :param first: index of the first word said while it stands.
    :param last: index after the last of them.
    """

    state: int
    marks: tuple[BoardMark, ...]
    first: int
    last: int


@dataclass(frozen=True, slots=True)
class TalkPart:
    """A part of the talk: from one branch point to the next, as the chapters have it.

    :param first: its first stop.
    :param seconds: estimated, at the trainer's rate.
    """

    name: str
    first: int
    seconds: float


@dataclass(frozen=True, slots=True)
class Script:
    """A walk made ready for the stage.

    :param seconds: estimated length of each stop, in the stops' order.
    :param rate: words a minute of the estimate.
    """

    walk: Walk
    stops: tuple[Stop, ...]
    seconds: tuple[float, ...]
    parts: tuple[TalkPart, ...]
    rate: float

    @property
    def length(self) -> float:
        """Estimated seconds of the whole talk."""
        return sum(self.seconds)

    def node(self, stop: int) -> int:
        """The tree's node on the board."""
        return self.walk.node_after(self.stops[stop].state)

    def part_of(self, stop: int) -> int:
        """The number of the part that a stop lies in."""
        return bisect_right([part.first for part in self.parts], stop) - 1


def script_of(walk: Walk, rate: float = RATE) -> Script:
    """The script of a walk.

    :param rate: the trainer's words a minute; a talk that has times keeps its own pace.
    """
    found = stops_of(walk)
    spoken = timed(walk, rate)
    words = spoken.talk.words
    ends = length(spoken)
    starts = [words[stop.first].start if stop.first < len(words) else ends for stop in found]
    if starts:
        starts[0] = 0.0
    seconds = tuple(max(0.0, after - before) for before, after in pairwise([*starts, ends]))
    named = [
        (chapter.name, max(0, bisect_right(starts, chapter.start + 1e-6) - 1)) for chapter in chapters(spoken)
    ] or [(walk.title, 0)]
    firsts = [first for _, first in named] + [len(found)]
    parts = tuple(
        TalkPart(name, first, sum(seconds[first:following]))
        for (name, first), following in zip(named, firsts[1:], strict=True)
        if following > first
    )
    return Script(walk, found, seconds, parts, rate)


def stops_of(walk: Walk) -> tuple[Stop, ...]:
    """The stops: one before the first step, one for each step, and one for each later group of marks."""
    out: list[Stop] = []
    own = [(0, 0), *step_spans(walk)]
    for state, (first, last) in enumerate(step_stretches(walk)):
        said = own[state][1] if state else first
        marks = sorted(
            ((word_at(walk.talk, mark.place), mark) for mark in walk.marks if mark.step == state),
            key=lambda pair: pair[0],
        )
        shown = tuple(mark for word, mark in marks if word <= said + WITH_MOVE)
        out.append(Stop(state, shown, first, last))
        for word, mark in marks[len(shown) :]:
            shown = (*shown, mark)
            at = min(max(word, out[-1].first), last)
            if at > out[-1].first:
                out[-1] = Stop(state, out[-1].marks, out[-1].first, at)
                out.append(Stop(state, shown, at, last))
            else:
                out[-1] = Stop(state, shown, out[-1].first, last)
    return tuple(out)


def line_shown(walk: Walk, node: int) -> str:
    """The last moves that led to a node, in figurines with their numbers: ``… 3.d4 exd4 4.♘xd4``."""
    ids = walk.line(node)
    shown = [
        (move_number(before.fen) if index == 0 or " w " in before.fen else "") + figurine(walk.nodes[at].san)
        for index, at in enumerate(ids[-STRIP:])
        for before in [walk.nodes[walk.nodes[at].parent or 0]]
    ]
    return ("… " if len(ids) > STRIP else "") + " ".join(shown)


def name_shown(walk: Walk, node: int) -> str:
    """The name of the deepest catalogued position on the way to a node, else the lesson's; ``""`` without one."""
    for at in reversed(walk.line(node)):
        opening = opening_at(walk.nodes[at].fen)
        if opening:
            return opening.name
    opening = lesson_opening(walk)
    return opening.name if opening else ""


def stop_label(script: Script, stop: int) -> tuple[str, str]:
    """What the next key brings at a stop: for the eye ``4.♘xd4``, ``← 3.d4``, a mark; and for the ear."""
    walk, here = script.walk, script.stops[stop]
    if here.state == 0 or (stop and script.stops[stop - 1].state == here.state):
        marks = here.marks[len(script.stops[stop - 1].marks) :] if stop else here.marks
        named = ", ".join(f"{mark.shape} {' to '.join(mark.squares)}" for mark in marks)
        return (named or "the beginning",) * 2
    step = walk.steps[here.state - 1]
    if isinstance(step, MoveStep):
        number = move_number(step.before)
        return number + figurine(step.san), f"{number.rstrip('.')}, {in_words(step.san)}"
    node = walk.nodes[step.node]
    if node.parent is None:
        return "← the start", "back to the start"
    before = walk.nodes[node.parent]
    number = move_number(before.fen)
    return f"← {number}{figurine(node.san)}", f"back to {number.rstrip('.')}, {in_words(node.san)}"
