"""Claims that one move is played more often than another, counted in a scripted base."""

from __future__ import annotations

import pytest

from linewright.claims.check import check_walk
from linewright.claims.kinds.frequency.comparison import ALIKE, FEW_GAMES
from linewright.lesson.finding import Finding, Kind
from tests.claims.support import LINES, ScriptedBase, by_rule, walk_of


def found(words: str, counts: dict[str, int]) -> list[Finding]:
    base = ScriptedBase({LINES["open"]: counts})
    return by_rule(check_walk(walk_of(words, "open", "white"), base), Kind.FREQUENCY)


SAID = [
    ("Bishop b5 is more popular than bishop c4.", "holds"),
    ("Bishop c4 is played more often here than bishop b5.", "fails"),
    ("Bishop c4 is rarer than bishop b5.", "holds"),
    ("They go bishop c4 just as often as bishop b5.", "fails"),
    ("Bishop b5 is preferred to bishop c4 in the games I know.", "holds"),
    ("Bishop b5 and bishop c4 are equally popular.", "fails"),
    ("Bishop c4 isn't played more often than bishop b5.", "holds"),
    ("I like bishop c4 more than bishop b5.", ""),
    ("Is bishop b5 more popular than bishop c4?", ""),
    ("The pin on b5 is seen more often than the one on c4.", ""),
]


@pytest.mark.parametrize(("words", "verdict"), SAID)
def test_comparisons(words: str, verdict: str) -> None:
    rulings = found(words, {"Bb5": 700, "Bc4": 250, "d4": 50})
    assert [f.verdict.value for f in rulings] == ([verdict] if verdict else []), [f.evidence for f in rulings]


#: Games with bishop b5 and with bishop c4; what is then said of "more" and of "as often".
COUNTED = [
    (1000, round(1000 * (1 - ALIKE)), "undecided", "holds"),
    (1000, round(1000 * (1 - ALIKE)) - 1, "holds", "fails"),
    (FEW_GAMES - 6, 5, "undecided", "undecided"),
    (FEW_GAMES - 5, 5, "holds", "fails"),
    (1000, 0, "undecided", "undecided"),
]


@pytest.mark.parametrize(("one", "other", "more", "alike"), COUNTED)
def test_what_is_nearly_alike_or_rests_on_few_games_is_open(one: int, other: int, more: str, alike: str) -> None:
    counts = {"Bb5": one, "Bc4": other}
    assert [f.verdict for f in found("Bishop b5 is played more often than bishop c4.", counts)] == [more]
    assert [f.verdict for f in found("Bishop b5 is played as often as bishop c4.", counts)] == [alike]


def test_thresholds_are_meant() -> None:
    assert (ALIKE, FEW_GAMES) == (0.1, 20)
