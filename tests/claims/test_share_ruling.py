"""The ruling on a move's share of the games: each threshold on both its sides."""

from __future__ import annotations

import chess
import pytest

from linewright.claims.claim_kind import Facts
from linewright.claims.kinds.frequency.measures import How, Measure
from linewright.claims.kinds.frequency.share_ruling import decide_share
from tests.claims.support import ScriptedBase

#: Measure, share said, games of the move of 1,000, games of the most played other one, verdict.
RULED = [
    # nearly always: from 75 %, never below 65 %
    (How.ALWAYS, 0.0, 750, 250, "holds"),
    (How.ALWAYS, 0.0, 749, 251, "undecided"),
    (How.ALWAYS, 0.0, 650, 350, "undecided"),
    (How.ALWAYS, 0.0, 649, 351, "fails"),
    # most people: every second game, or 40 % where no other move is ahead
    (How.MOST, 0.0, 500, 500, "holds"),
    (How.MOST, 0.0, 499, 501, "undecided"),
    (How.MOST, 0.0, 400, 399, "holds"),
    (How.MOST, 0.0, 399, 398, "undecided"),
    (How.MOST, 0.0, 400, 401, "undecided"),
    (How.MOST, 0.0, 399, 401, "fails"),
    # the main move: another one ahead by up to 3 % is a tie
    (How.FIRST, 0.0, 400, 400, "holds"),
    (How.FIRST, 0.0, 400, 401, "undecided"),
    (How.FIRST, 0.0, 400, 429, "undecided"),
    (How.FIRST, 0.0, 400, 431, "fails"),
    (How.SECOND, 0.0, 300, 400, "holds"),
    (How.SECOND, 0.0, 400, 300, "fails"),
    # common: from 10 %, never below 3 %
    (How.COMMON, 0.0, 100, 500, "holds"),
    (How.COMMON, 0.0, 99, 500, "undecided"),
    (How.COMMON, 0.0, 30, 500, "undecided"),
    (How.COMMON, 0.0, 29, 500, "fails"),
    # rare: up to 5 %, never over 15 %
    (How.RARE, 0.0, 50, 500, "holds"),
    (How.RARE, 0.0, 51, 500, "undecided"),
    (How.RARE, 0.0, 150, 500, "undecided"),
    (How.RARE, 0.0, 151, 500, "fails"),
    # nobody: up to 2 %, never over 8 %
    (How.NOBODY, 0.0, 20, 500, "holds"),
    (How.NOBODY, 0.0, 21, 500, "undecided"),
    (How.NOBODY, 0.0, 80, 500, "undecided"),
    (How.NOBODY, 0.0, 81, 500, "fails"),
    # a number: within 7 %, never off by more than 14 %
    (How.NUMBER, 0.5, 431, 500, "holds"),
    (How.NUMBER, 0.5, 429, 500, "undecided"),
    (How.NUMBER, 0.5, 361, 500, "undecided"),
    (How.NUMBER, 0.5, 359, 500, "fails"),
]


def facts(games: int, other: int, total: int = 1000) -> Facts:
    counts = {"e4": games, "d4": other}
    rest = total - games - other
    for san in ("c4", "Nf3", "b3", "f4"):  # none of them ahead of the other one
        counts[san] = min(rest, other or rest)
        rest -= counts[san]
    return Facts(chess.Board(), ScriptedBase({"": counts}).replies(chess.Board()))


@pytest.mark.parametrize(("how", "share", "games", "other", "verdict"), RULED)
def test_thresholds(how: How, share: float, games: int, other: int, verdict: str) -> None:
    ruling = decide_share(Measure(how, share=share), ("e2e4",), False, False, "", facts(games, other))
    assert ruling.verdict == verdict


@pytest.mark.parametrize(("total", "verdict"), [(19, "undecided"), (20, "holds")])
def test_fewer_than_twenty_games_prove_nothing(total: int, verdict: str) -> None:
    ruling = decide_share(Measure(How.FIRST), ("e2e4",), False, False, "", facts(total, 0, total))
    assert ruling.verdict == verdict


def test_a_claim_of_some_games_only_cannot_fail() -> None:
    measure = Measure(How.NOBODY)
    assert decide_share(measure, ("e2e4",), False, False, "nowadays", facts(900, 50)).verdict == "undecided"
    assert decide_share(measure, ("e2e4",), False, False, "", facts(900, 50)).verdict == "fails"
    assert decide_share(measure, ("e2e4",), False, True, "", facts(900, 50)).verdict == "holds"


def test_words_that_fit_several_moves_are_open_unless_they_agree() -> None:
    first = Measure(How.FIRST)
    assert decide_share(first, ("e2e4", "d2d4"), False, False, "", facts(600, 300)).verdict == "undecided"
    assert decide_share(first, ("d2d4", "c2c4"), False, False, "", facts(600, 300)).verdict == "fails"
    assert decide_share(Measure(How.ALWAYS), ("e2e4", "d2d4"), True, False, "", facts(600, 300)).verdict == "holds"
