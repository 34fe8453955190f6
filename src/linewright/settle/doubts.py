"""How likely it is that a reading goes wrong at a place, rather than before it.

The figures were counted on the first readings of the open talks and of our own seen ones, all voices (2,600 moves,
900 runs of words passed over); see ``bench/bench_ask.py``.
"""

from __future__ import annotations

from linewright.settle.word_candidates import Passed

#: How often a move called sure is wrong all the same, and one that begins after a return.
WRONG_THOUGH_SURE = 0.01
WRONG_RETURN_THOUGH_SURE = 0.05
#: Log-odds of being played above which words passed over look like a move that is played.
LOOKS_PLAYED = 2.0
#: How often such words are a move that was missed; when they fit a move read close by; other words.
MISSED, MISSED_REPEATED, MISSED_OTHERWISE = 0.25, 0.08, 0.03


def of_move(sure: float, line: float, returned: bool) -> float:
    """Probability that a reading goes wrong with a move.

    :param sure: how sure the move is; ``line`` how sure the move that led to its position is: what is doubted
        there already does not go wrong here.
    """
    least = WRONG_RETURN_THOUGH_SURE if returned else WRONG_THOUGH_SURE
    return max(least, line - sure)


def of_passed(passed: Passed, line: float) -> float:
    """Probability that words passed over are the first move that is missed; ``line`` as for :func:`of_move`."""
    if passed.playing < LOOKS_PLAYED:
        return line * MISSED_OTHERWISE
    return line * (MISSED_REPEATED if passed.repeats else MISSED)
