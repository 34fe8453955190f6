"""What the trainer has settled: how certain words of a talk are to be read."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Answer:
    """How the words from ``first`` up to, not including, ``last`` are to be read.

    :param first: index of the first word in the talk.
    :param last: index after the last word.
    :param san: the move that they tell, in standard algebraic notation; ``""`` when they tell none.
    :param before: FEN of the position it is played from (its first four fields count); ``""`` wherever it fits.
    """

    first: int
    last: int
    san: str
    before: str = ""
