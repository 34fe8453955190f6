"""An invented language, from words to evidence: the logic of claims holds no English.

Tolpa has some thirty words (``invented/``). ``es`` is "is", ``nu`` "not", ``sa`` "if", ``vol`` "will", ``tal`` "maybe",
``mes`` "but", ``blan`` and ``nok`` the sides; what follows from a sentence is in the table.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from linewright.claims.check import check_walk
from linewright.language.folders import add_language
from linewright.lesson.finding import Finding
from tests.claims.judges import ScriptedJudge
from tests.claims.support import ScriptedBase, walk_of

CODE = "x-tolpa"
FOLDER = Path(__file__).parent / "invented"
BASE = ScriptedBase({"e4 e5 Nf3 Nc6": {"Bb5": 70, "Bc4": 25, "d4": 5}})
JUDGE = ScriptedJudge({"e4 e5 Nf3 Nc6": (100, "Bb5")})  # white is clearly better
PIN = "nimzo"

#: Line, words, kind and verdict; None where nothing is claimed of the board.
SENTENCES = [
    (PIN, "Zor c3 es klava.", "tactic", "holds"),
    (PIN, "Zor c3 es klava ta oro.", "tactic", "holds"),
    (PIN, "Zor f6 es klava.", "tactic", "fails"),
    (PIN, "Sa blan vol mova, zor c3 es klava.", "tactic", None),
    (PIN, "Vol zor c3 es klava.", "tactic", None),
    (PIN, "Tal zor f6 es klava.", "tactic", "undecided"),
    (PIN, "Vol blan fora mes zor f6 es klava.", "tactic", "fails"),
    ("tarrasch", "Blan es roka.", "king", "holds"),
    ("open", "Blan es roka.", "king", "fails"),
    ("open", "Blan es nu roka.", "king", "holds"),
    ("gambit check", "Blan hava una lega.", "tactic", "fails"),
    ("petroff", "E rigo es apa.", "files", "holds"),
    ("open", "E rigo es apa.", "files", "fails"),
    ("open", "E rigo es nu apa.", "files", "holds"),
    ("sicilian", "Blan es mas fora.", "development", "holds"),
    ("sicilian", "Nok es mas fora.", "development", "fails"),
    ("open", "Blan es klar bona.", "assessment", "holds"),
    ("open", "Nok es klar bona.", "assessment", "fails"),
    ("open", "Prima mova es lum b5.", "frequency", "holds"),
    ("open", "Prima mova es lum c4.", "frequency", "fails"),
    ("open", "[Ng1|Zor g1] [Nb8|zor b8] [Nf3|zor f3] [Nc6|zor c6]. Duja sama pozo.", "repetition", "holds"),
]  # fmt: skip


@pytest.fixture(scope="module", autouse=True)
def tolpa() -> None:
    add_language(CODE, FOLDER)


def check(line: str, words: str, side: str = "white") -> tuple[Finding, ...]:
    return check_walk(walk_of(words, line, side), BASE, JUDGE, language=CODE)


@pytest.mark.parametrize(("line", "words", "kind", "verdict"), SENTENCES)
def test_claims_are_found_and_decided(line: str, words: str, kind: str, verdict: str | None) -> None:
    found = [(f.kind.value, f.verdict.value) for f in check(line, words)]
    assert found == ([(kind, verdict)] if verdict else []), found


@pytest.mark.parametrize(("line", "words"), [row[:2] for row in SENTENCES])
def test_evidence_is_in_the_language(line: str, words: str) -> None:
    for finding in check(line, words):
        evidence = _NOTATION.sub("", finding.evidence_in(CODE))
        assert set(_WORD.findall(evidence)) <= _words_of_evidence(), evidence


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("tarrasch", "The d5 pawn is isolated and White has castled."),
        ("open", "Bishop b5 is the main move, and White is clearly better."),
        ("open", "Kasparov against Short, London 1993, is a famous game in this line."),
    ],
)
def test_english_is_not_understood(line: str, words: str) -> None:
    assert check(line, words) == ()


_WORD = re.compile(r"[^\W\d_]+")
#: Moves, squares, and the engine's own name, which every language writes alike.
_NOTATION = re.compile(r"[KQRBN]?[a-h]?[1-8]?x?[a-h][1-8][+#]?|\b[a-h]\b|\bM\b|Scripted")


def _words_of_evidence() -> set[str]:
    texts = (path.read_text("utf-8") for path in FOLDER.glob("evidence/*.toml"))
    said = (value for text in texts for value in re.findall(r'"(.*?)"', text))
    return {word for value in said for word in _WORD.findall(re.sub(r"{\w+}", "", value))}
