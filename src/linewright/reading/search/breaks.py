"""Where a reading has lost the line: several plain moves in a row that fit nowhere.

When three phrases in a row that name piece and square fit no position, the board is wrong, not the trainer. That is
one break, where it happened, and not one fault for each phrase after it.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import groupby

from linewright.reading.phrases.phrase import Phrase
from linewright.reading.search.beam import Search
from linewright.reading.search.hypothesis import Hypothesis, chain
from linewright.reading.search.move_candidates import says_plainly
from linewright.reading.search.returns import names_said_move

#: So many plain phrases in a row that can't be played are a break.
IN_A_ROW = 3
#: Plain phrases looked at on either side of a place for how well the board agrees with the words.
NEAR = 6
#: Log-odds, by the words around it, from which a phrase looks played.
LOOKS_PLAYED = 1.0


@dataclass(frozen=True, slots=True)
class LostLine:
    """A place where the line was lost.

    :param first: token of the first phrase that doesn't fit; ``last`` the token after the last one.
    :param phrases: how many phrases in a row don't fit.
    """

    first: int
    last: int
    phrases: int


class Agreement:
    """How well the board of the best reading agrees with the words, and where it has lost the line.

    :ivar lost: the places where the line was lost, in order.
    """

    def __init__(self, search: Search, final: list[Hypothesis]) -> None:
        known = list(_plain_phrases(search, final))
        self._firsts = [phrase.first for phrase, _ in known]
        self._fits = [fits for _, fits in known]
        self.lost = lost_lines(known)

    @property
    def unread(self) -> int:
        """How many phrases fit nowhere since the line was lost."""
        return sum(line.phrases for line in self.lost)

    def after(self, token: int) -> tuple[int, int]:
        """Of the next plain phrases from a token on, how many fit the board, and how many don't."""
        at = bisect_left(self._firsts, token)
        return _counted(self._fits[at : at + NEAR])

    def before(self, token: int) -> tuple[int, int]:
        """As ``after``, for the last ones before the token."""
        at = bisect_left(self._firsts, token)
        return _counted(self._fits[max(0, at - NEAR) : at])


def _counted(fits: list[bool]) -> tuple[int, int]:
    return sum(fits), len(fits) - sum(fits)


def lost_lines(known: Iterable[tuple[Phrase, bool]]) -> tuple[LostLine, ...]:
    """The runs of ``IN_A_ROW`` phrases or more that don't fit.

    :param known: plain phrases in order, each with whether it fits the board.
    """
    runs = ([phrase for phrase, _ in run] for fits, run in groupby(known, key=lambda pair: pair[1]) if not fits)
    return tuple(LostLine(run[0].first, run[-1].last, len(run)) for run in runs if len(run) >= IN_A_ROW)


def _plain_phrases(search: Search, final: list[Hypothesis]) -> Iterator[tuple[Phrase, bool]]:
    """The phrases that plainly tell a move, each with whether the best reading plays it, or knows it already."""
    steps = chain(final[0]) if final else []
    at = 0
    for phrase in search.context.main:
        if phrase is None or not says_plainly(phrase) or search.context.playing(phrase) < LOOKS_PLAYED:
            continue
        while at < len(steps) and steps[at].played.phrase.last <= phrase.first:  # type: ignore[union-attr]
            at += 1
        played = steps[at].played if at < len(steps) else None
        if played is not None and played.phrase.first < phrase.last:
            yield phrase, True
        elif not (at and names_said_move(steps[at - 1].tree, phrase)):
            yield phrase, False
