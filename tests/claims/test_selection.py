"""What is shown of a check by default: few findings, the gravest first, none that asks for nothing."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from linewright.claims.selection import MOST, MOST_DOUBTS, SELDOM, filter_findings, select_findings, weigh_finding
from linewright.language.evidence import plain
from linewright.lesson.finding import Finding, Kind, Verdict
from linewright.lesson.walk import Said
from linewright.talk.model import Place
from tests.claims.test_seriousness import lists


def finding(kind: Kind, verdict: Verdict = Verdict.FAILS, first: int = 0, met: float = 1.0) -> Finding:
    said = Said(first, first + 1, "words", 0.0, 1.0, Place(1, first + 1))
    return Finding(kind, verdict, said, "", plain("evidence"), first, met)


def sure(_: int) -> float:
    return 1.0


def shown(*found: Finding, most: int = MOST) -> list[Kind]:
    return [each.kind for each in select_findings(found, sure, most).shown]


def test_what_asks_for_nothing_is_left_out_of_many() -> None:
    holds, undecided = (finding(Kind.MATERIAL, verdict) for verdict in (Verdict.HOLDS, Verdict.UNDECIDED))
    wrong = finding(Kind.MATERIAL)
    remark = replace(undecided, remark=True)
    many = select_findings([holds, undecided, wrong, remark], sure, most=2)
    assert many.shown == (wrong,)
    assert many.left_out == (holds, undecided, remark)
    few = select_findings([holds, undecided, wrong, remark], sure, most=3)
    assert set(few.shown) == {holds, undecided, wrong}
    assert few.left_out == (remark,)


def test_the_gravest_comes_first_and_move_order_last() -> None:
    branch = finding(Kind.BRANCH, Verdict.UNDECIDED, 0)
    reply = finding(Kind.REPLY, Verdict.UNDECIDED, 1)
    wrong = finding(Kind.ASSESSMENT, Verdict.FAILS, 2)
    rare = finding(Kind.TACTIC, Verdict.FAILS, 3, met=0.0)
    assert shown(branch, rare, reply, wrong) == [Kind.ASSESSMENT, Kind.REPLY, Kind.TACTIC, Kind.BRANCH]


def test_an_unsure_board_weighs_less() -> None:
    one, other = finding(Kind.MATERIAL, first=1), finding(Kind.MATERIAL, first=2)
    chosen = select_findings([one, other], lambda steps: 0.5 if steps == 1 else 1.0)
    assert chosen.shown == (other, one)
    assert weigh_finding(one, 0.5) == weigh_finding(other, 1.0) / 2
    assert weigh_finding(replace(one, met=0.0), 1.0) == weigh_finding(replace(one, met=SELDOM), 1.0)


def test_few_doubts_and_few_findings_in_all() -> None:
    found = [finding(Kind.UNSURE, Verdict.UNDECIDED, n) for n in range(9)]
    found += [finding(Kind.FILES, Verdict.FAILS, 10 + n) for n in range(30)]
    kinds = shown(*found)
    assert len(kinds) == MOST and kinds[-MOST_DOUBTS:] == [Kind.UNSURE] * MOST_DOUBTS
    assert kinds.count(Kind.UNSURE) == MOST_DOUBTS


@given(lists, st.integers(MOST_DOUBTS, 20))
def test_nothing_is_lost_or_shown_twice(found: list[Finding], most: int) -> None:
    chosen = select_findings(found, sure, most)
    both = sorted((*chosen.shown, *chosen.left_out), key=lambda each: each.said.first)
    assert both == sorted(found, key=lambda each: each.said.first)
    assert len(chosen.shown) <= most


@pytest.mark.parametrize(
    ("names", "kept"),
    [
        ("fails", [0]),
        ("quotes", [1]),
        ("quote,fails", [0, 1]),
        ("reply", [2]),
        ("replies", [2]),
        ("missing", [2]),
        ("remarks", [3]),
        ("undecided", [1, 2, 3]),
        ("unsure", [4]),
    ],
)
def test_only_takes_kinds_and_verdicts(names: str, kept: list[int]) -> None:
    found = [
        finding(Kind.MATERIAL, Verdict.FAILS, 0),
        finding(Kind.QUOTE, Verdict.UNDECIDED, 1),
        finding(Kind.REPLY, Verdict.UNDECIDED, 2),
        replace(finding(Kind.KING, Verdict.UNDECIDED, 3), remark=True),
        finding(Kind.UNSURE, Verdict.UNDECIDED, 4),
    ]
    assert [each.said.first for each in filter_findings(found, names.split(","))] == kept


def test_only_says_what_there_is() -> None:
    with pytest.raises(ValueError, match=r"“openings” is none of: .*fails.*quote"):
        filter_findings([], ["openings"])
