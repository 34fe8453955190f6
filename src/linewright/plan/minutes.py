"""How long things take to say."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from linewright.lesson.told import telling_spans
from linewright.lesson.walk import Walk
from linewright.talk.model import Unit

#: Words a minute unless a rate is named: talks to an audience run at 120 to 160 (common practice).
RATE: Final = 140
#: Words for each half-move of a line that is explained, and to go back and say why another reply is shown: the open
#: talks take 7.5 to 8.4 words for a half-move, all their asides and returns included.
WORDS_PER_MOVE: Final = 7
WORDS_PER_RETURN: Final = 12
#: Words to say hello, name the line and sum up at the end.
WORDS_AROUND: Final = 60


@dataclass(frozen=True, slots=True)
class Pace:
    """How fast the trainer speaks.

    :param rate: words a minute.
    """

    rate: float = RATE

    def words(self, count: int) -> int:
        """Seconds for some words, a whole number, at least one."""
        return max(1, round(count * 60 / self.rate))

    def moves(self, plies: int) -> int:
        """Seconds for some half-moves of a line."""
        return self.words(plies * WORDS_PER_MOVE)

    @property
    def a_return(self) -> int:
        return self.words(WORDS_PER_RETURN)

    @property
    def around(self) -> int:
        return self.words(WORDS_AROUND)


def step_seconds(walk: Walk, pace: Pace) -> tuple[float, ...]:
    """Seconds that a talk spends before its first step, then from each step to the next: ``len(steps) + 1`` of them.

    A recorded talk's own times, a typed one's words at the pace.
    """
    words = walk.talk.words
    found = []
    for first, last in telling_spans(walk):
        if walk.talk.unit is Unit.SECONDS and first < last:
            until = words[last].start if last < len(words) else words[-1].end
            found.append(max(until - words[first].start, 0.0))
        else:
            found.append((last - first) * 60 / pace.rate if walk.talk.unit is not Unit.SECONDS else 0.0)
    return tuple(found)
