"""Lines given by an opening's name alone: "it's a Najdorf, and now bishop g5" goes on where the name leads."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import chess

from linewright.reading.openings.opening_names import NamedLine, NamedOpening
from linewright.reading.phrases.phrase import Phrase
from linewright.reading.search.hypothesis import Hypothesis
from linewright.reading.search.returns import child_of
from linewright.reading.search.unsaid import grown_by

#: Nats for going where a name leads: at the start of a lesson, on from the board, or from a position shown earlier.
#: Mostly a name is only mentioned, so that the moves after it have to pay for the jump.
AT_START = 1.5
FURTHER_ON = 2.5
FROM_EARLIER = 5.0
#: What a less usual meaning of a name costs, times its own nats.
DEEPER = 1.0
#: Nats for a name that only the talk's title holds.
IN_TITLE = 2.0
#: A trainer who has named a line often says its last moves too ("the Spanish, so bishop b5"): so many moves, at most,
#: are left to be said, at so many nats.
LEFT_TO_SAY = 4
LEFT = 0.7
#: Readings, best first, that a name is tried on.
TRIED = 40


@dataclass(frozen=True)
class NamedJumps:
    """The jumps that the openings named in a talk allow.

    :param named: by the token that the name begins at.
    :param title: openings named in the talk's title.
    """

    named: Mapping[int, NamedOpening]
    title: Sequence[NamedOpening] = ()

    def at(self, index: int, hypotheses: Sequence[Hypothesis]) -> Iterator[tuple[int, Hypothesis]]:
        """Readings that go where the name at a token leads, each with the token that it waits for."""
        opening = self.named.get(index)
        if opening is not None:
            for hypothesis in hypotheses[:TRIED]:
                for grown in jumps(hypothesis, opening, opening.heard, index, opening.last):
                    yield opening.last, grown
        if index == 0:
            for opening in self.title:
                for hypothesis in hypotheses[:1]:
                    for grown in jumps(hypothesis, opening, opening.heard + IN_TITLE, 0, 0):
                        yield 0, grown


def jumps(hypothesis: Hypothesis, opening: NamedOpening, cost: float, first: int, last: int) -> Iterator[Hypothesis]:
    """The reading after each of the lines that a name may mean, or a few moves before its end.

    :param cost: nats for the name itself; ``first`` and ``last`` are its tokens, half-open.
    """
    if hypothesis.forced or hypothesis.tree[0].position.board.fen() != chess.STARTING_FEN:
        return
    for line in opening.lines:
        at, ply = said_along(hypothesis, line)
        left = line.moves[ply:]
        if not left:
            continue
        went_on = FURTHER_ON if at == hypothesis.at else FROM_EARLIER
        price = AT_START if hypothesis.played is None else went_on
        for unsaid in range(min(LEFT_TO_SAY, len(left) - 1) + 1):
            price_here = price + cost + DEEPER * line.prior + (LEFT if unsaid else 0.0)
            yield along(replace(hypothesis, at=at), left[: len(left) - unsaid], price_here, first, last)


def said_along(hypothesis: Hypothesis, line: NamedLine) -> tuple[int, int]:
    """The last position of a line that the reading has shown, as tree index and ply."""
    at = 0
    for ply, uci in enumerate(line.moves):
        child = child_of(hypothesis.tree, at, uci)
        if child is None:
            return at, ply
        at = child
    return at, len(line.moves)


def along(hypothesis: Hypothesis, moves: Sequence[str], cost: float, first: int, last: int) -> Hypothesis:
    """The reading after the moves of a named line; the name's words are the last one's."""
    for number, uci in enumerate(moves, 1):
        legal = next(legal for legal in hypothesis.position.legal if legal.uci == uci)
        end = last if number == len(moves) else first
        hypothesis = grown_by(hypothesis, Phrase(first, end, "given"), legal, cost)
        cost = 0.0
    return replace(hypothesis, since=last)
