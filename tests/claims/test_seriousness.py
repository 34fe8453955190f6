"""The order of seriousness: its laws, and how a check is grouped for reading."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linewright.claims.check import check_walk
from linewright.claims.ranking import FIRST, by_seriousness, grouped, is_serious, most_serious, ranks
from linewright.language.evidence import plain
from linewright.lesson.finding import Finding, Kind, Verdict
from linewright.lesson.walk import Said
from linewright.publish.page.lesson_page import lesson_page
from linewright.talk.model import Place
from tests.claims.support import ScriptedBase, walk_of

findings = st.builds(
    lambda kind, verdict, first, met: Finding(
        kind, verdict, Said(first, first + 1, "words", 0.0, 1.0, Place(1, first + 1)), "", plain("evidence"), 0, met
    ),
    st.sampled_from(Kind),
    st.sampled_from(Verdict),
    st.integers(0, 99),
    st.floats(0, 1),
)
lists = st.lists(findings, max_size=25, unique_by=lambda f: f.said.first)


@settings(deadline=None)
@given(lists)
def test_every_finding_stands_in_one_group(found: list[Finding]) -> None:
    shown = [f for _, group in grouped(found) for f in group]
    assert sorted(shown, key=lambda f: f.said.first) == sorted(found, key=lambda f: f.said.first)
    assert all(group for _, group in grouped(found))


@settings(deadline=None)
@given(lists)
def test_ranks_number_the_order(found: list[Finding]) -> None:
    order = by_seriousness(found)
    assert [order[rank - 1] for rank in ranks(found)] == found
    first = most_serious(found)
    assert first == tuple(f for f in order if is_serious(f))[:FIRST]
    assert not any(is_serious(f) for f in order[sum(map(is_serious, found)) :])


@settings(deadline=None)
@given(lists, st.randoms())
def test_the_order_does_not_depend_on_the_order_before(found: list[Finding], random: object) -> None:
    shuffled = list(found)
    random.shuffle(shuffled)  # type: ignore[attr-defined]
    assert by_seriousness(shuffled) == by_seriousness(found)


SAID = Said(5, 6, "words", 0.0, 1.0, Place(1, 1))


def finding(kind: Kind, verdict: Verdict, met: float = 1.0) -> Finding:
    return Finding(kind, verdict, SAID, "", plain("evidence"), 0, met)


# what comes first, and what after it
PAIRS = [
    (finding(Kind.CENTRE, Verdict.FAILS), finding(Kind.ASSESSMENT, Verdict.UNDECIDED)),
    (finding(Kind.CENTRE, Verdict.UNDECIDED), finding(Kind.TACTIC, Verdict.HOLDS)),
    (finding(Kind.PRAISE, Verdict.FAILS, 0.01), finding(Kind.STRUCTURE, Verdict.FAILS)),
    (finding(Kind.REPLY, Verdict.UNDECIDED), finding(Kind.FREQUENCY, Verdict.FAILS)),
    (finding(Kind.FILES, Verdict.FAILS), finding(Kind.UNREAD, Verdict.UNDECIDED)),
    (finding(Kind.FILES, Verdict.FAILS, 0.5), finding(Kind.MATERIAL, Verdict.FAILS, 0.1)),
    (finding(Kind.MATERIAL, Verdict.FAILS, 0.5), finding(Kind.FILES, Verdict.FAILS, 0.5)),
    (finding(Kind.REFUTATION, Verdict.UNDECIDED), finding(Kind.REPLY, Verdict.UNDECIDED)),
    (finding(Kind.UNREAD, Verdict.UNDECIDED), finding(Kind.TACTIC, Verdict.UNDECIDED)),
]


@pytest.mark.parametrize(("first", "second"), PAIRS)
def test_what_comes_first(first: Finding, second: Finding) -> None:
    assert by_seriousness([second, first]) == (first, second)


def test_how_often_a_pupil_meets_a_position() -> None:
    """The shares of the opponent's moves on the way, by Laplace's rule (games + 1) / (all + 2)."""
    base = ScriptedBase({"": {"e4": 100}, "e4": {"c5": 59, "e5": 39}, "e4 c5": {"Nf3": 10}})
    words = "[e4|E4], [c5|c5], [Nf3|knight f3]. White has an isolated pawn."
    (found,) = check_walk(walk_of(words, side="white"), base)
    assert found.met == pytest.approx(60 / 100)
    (found,) = check_walk(walk_of(words, side="black"), base)
    assert found.met == pytest.approx(101 / 102 * 11 / 12)
    (found,) = check_walk(walk_of(words, side="white"))
    assert found == replace(found, met=1.0)


def test_the_trainer_s_page_names_the_most_serious_first_and_the_pupils_page_nothing() -> None:
    walk = walk_of(
        "Material is level. White has an isolated pawn. The king has lost the right to castle.", side="white"
    )
    found = check_walk(walk)
    wrong = [f for f in found if f.verdict is Verdict.FAILS]
    assert {f.kind for f in wrong} == {Kind.STRUCTURE, Kind.KING}
    page = lesson_page(walk, found)
    line = re.search(r"Most serious first: (.*?)\.</p>", page)
    assert line is not None
    assert re.findall(r'href="#n(\d)">\d (\w+)<', line[1]) == [("3", "king"), ("2", "structure")]
    assert "Most serious" not in lesson_page(walk, found, doubts=False)
