"""Facts of the trade about the Italian with 4.c3 and 5.d4, said as a trainer says them. Common practice; the counts
of games are those of a collection of which ../shared/games is a half."""

from __future__ import annotations

import pytest

from linewright.claims.check import check_walk
from linewright.claims.model import Finding, Kind
from tests.claims import support
from tests.claims.support import ScriptedBase, walk_of

ITALIAN = "e4 e5 Nf3 Nc6 Bc4 Bc5 c3 Nf6 d4 exd4 cxd4"
CHECK = f"{ITALIAN} Bb4+ Bd2"
BREAK = f"{CHECK} Bxd2+ Nbxd2 d5 exd5 Nxd5 Qb3"
LINES = {"italian": ITALIAN, "check": CHECK, "break": BREAK}
BASE = ScriptedBase(
    {
        ITALIAN: {"Bb4+": 174, "Bb6": 1},
        CHECK: {"Bxd2+": 99, "Nxe4": 19},
        BREAK: {"Nce7": 60, "Na5": 40},
    }
)


@pytest.fixture(autouse=True)
def lines(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(support, "LINES", support.LINES | LINES)


def found(words: str, line: str, kind: str) -> list[Finding]:
    return [f for f in check_walk(walk_of(words, line, "white"), BASE) if f.kind is Kind(kind)]


# words, line, kind, verdict, part of the evidence
FACTS = [
    ("The check on b4 is the main move here.", "italian", "frequency", "holds", "99 % of 175 games (174)"),
    ("Hardly anybody gives the check on b4.", "italian", "frequency", "fails", "99 % of 175 games (174)"),
    ("Most people take on d2 here.", "check", "frequency", "holds", "84 % of 118 games (99)"),
    ("The main move is knight takes e4.", "check", "frequency", "fails", "16 % of 118 games (19)"),
]


@pytest.mark.parametrize(("words", "line", "kind", "verdict", "evidence"), FACTS)
def test_facts_of_the_trade(words: str, line: str, kind: str, verdict: str, evidence: str) -> None:
    (one,) = found(words, line, kind)
    assert one.verdict == verdict
    assert evidence in one.evidence
