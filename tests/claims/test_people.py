"""Facts about world champions, by the table."""

from __future__ import annotations

from itertools import pairwise

import pytest

from linewright.claims.check import check_walk
from linewright.claims.kinds.quotes.champions import champions
from linewright.lesson.finding import Kind, Verdict
from tests.claims.support import walk_of

SAID = [
    # words, verdict
    ("This is the line of the fifth world champion Max Euwe.", "holds"),
    ("Here is the sixth world champion Max Euwe.", "fails"),
    ("Tal was the eighth world champion.", "holds"),
    ("Petrosian was the eighth world champion.", "fails"),
    ("Capablanca, world champion from 1921 to 1927, liked it.", "holds"),
    ("Capablanca, world champion from 1921 to 1929, liked it.", "fails"),
    ("Botvinnik was world champion in 1955.", "holds"),
    ("Botvinnik was world champion in 1970.", "fails"),
    ("Spassky became world champion in 1969.", "holds"),
    ("Spassky became world champion in 1972.", "fails"),
    ("Smyslov was never world champion.", "fails"),
    ("Vera Menchik was the first women's world champion.", "holds"),
    ("Nona Gaprindashvili was the fourth women's world champion.", "fails"),
    ("The fourth world champion was Alekhine.", "holds"),
    ("I think Smyslov was the ninth world champion.", "undecided"),
    ("Kramnik was world champion in 2001.", "undecided"),
    ("The seventh world champion Paul Keres liked it.", "fails"),
]
SILENT = [
    "Paul Keres was a world champion candidate.",
    "She was junior world champion.",
    "Was Euwe world champion?",
    "The world champion played it too.",
    "The former world champion Mikhail Tal is watching.",
    "Euwe almost became world champion again.",
]


def people(words: str, timed: bool = False) -> list[Verdict]:
    return [f.verdict for f in check_walk(walk_of(words, timed=timed)) if f.kind is Kind.QUOTE]


@pytest.mark.parametrize(("words", "verdict"), SAID)
def test_what_is_said_of_champions(words: str, verdict: str) -> None:
    assert people(words) == [Verdict(verdict)]


@pytest.mark.parametrize(
    ("words", "verdict"), [pair for pair in SAID if "Keres" not in pair[0] and ", " not in pair[0]]
)
def test_captions_without_capitals(words: str, verdict: str) -> None:
    assert people(words, timed=True) == [Verdict(verdict)]


@pytest.mark.parametrize("words", SILENT)
def test_no_claim(words: str) -> None:
    assert people(words) == []


def test_misheard_names() -> None:
    assert people("the fifth world champion max erwe", timed=True) == [Verdict.HOLDS]
    assert people("smislof was the seventh world champion", timed=True) == [Verdict.HOLDS]


def test_each_champion_in_the_order_holds_and_the_next_fails() -> None:
    for title, words in (("open", ""), ("women", "women's ")):
        row = [c for c in champions().all if c.title == title]
        for here, following in pairwise(row):
            assert people(f"{here.name} was the {here.order}th {words}world champion.") == [Verdict.HOLDS], here
            assert people(f"{here.name} was the {following.order}th {words}world champion.") == [Verdict.FAILS], here


def test_the_table_is_without_gaps_but_those_of_the_titles_history() -> None:
    """Published facts, from memory: nobody held the open title after Alekhine's death in 1946 until 1948, nor the
    women's after Menchik's in 1944 until 1950."""
    for title, gaps in (("open", {(1946, 1948)}), ("women", {(1944, 1950)})):
        reigns = sorted(reign for c in champions().all if c.title == title for reign in c.reigns)
        assert {(a[1], b[0]) for a, b in pairwise(reigns) if a[1] != b[0]} == gaps
