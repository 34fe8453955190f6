"""The lesson page as a file: valid, self-contained, escaped, small."""

from __future__ import annotations

import base64
import hashlib
import json
import re
from dataclasses import replace
from html import unescape

import chess
import pytest
from hypothesis import HealthCheck, given, settings

from linewright.claims.model import Finding, Kind, Verdict
from linewright.lesson.walk import Opening, Walk
from linewright.publish.markup import figurines, sentence, typeset
from linewright.publish.page import lesson_page
from tests.lesson.walks import walks
from tests.publish.samples import doubtful, lesson
from tests.support import needs_shared, plain_talk, said

html5lib = pytest.importorskip("html5lib", reason="needs html5lib (pip install linewright[dev])")

FOUR = ["panov", "scotch", "slav", "benoni"]
LARGEST = 400_000  # bytes; the design's limit for a 7-minute talk


def island(page: str) -> dict[str, object]:
    match = re.search(r'<script type="application/json" id="data">(.*?)</script>', page, re.S)
    assert match
    return json.loads(match[1])  # type: ignore[no-any-return]


def valid(page: str) -> None:
    """WHATWG HTML by the html5lib parser in strict mode, plus what a parser alone doesn't see."""
    html5lib.HTMLParser(strict=True).parse(page)
    ids = re.findall(r'\sid="([^"]+)"', page)
    assert len(ids) == len(set(ids)), "an id stands twice"
    targets = set(re.findall(r'href="#([^"]+)"', page))
    assert targets <= set(ids), f"links to nowhere: {targets - set(ids)}"


@needs_shared
@pytest.mark.parametrize("name", FOUR)
def test_open_talks_make_valid_small_pages(name: str) -> None:
    walk, found = lesson(name)
    for page in (lesson_page(walk, found), lesson_page(doubtful(walk), found)):
        valid(page)
        assert len(page.encode()) <= LARGEST
        for index in range(1, len(walk.steps) + 1):
            assert f'id="s{index}"' in page


@given(walks(most=12))
@settings(deadline=None, max_examples=20, suppress_health_check=list(HealthCheck))
def test_any_walk_makes_a_valid_page(walk: Walk) -> None:
    page = lesson_page(walk)
    valid(page)
    assert "<script>alert" not in page


def test_empty_talk_makes_a_page() -> None:
    page = lesson_page(Walk(plain_talk(""), ()))
    valid(page)
    assert "No move was played" in page


@needs_shared
def test_nothing_from_elsewhere() -> None:
    page = lesson_page(*lesson("scotch"))
    addresses = set(re.findall(r"https?://[^\"'\s)]+", page))
    assert addresses <= {"http://www.w3.org/2000/svg"}  # a namespace, not fetched
    assert not re.search(r"<link|<img|@import|url\(|\bsrc=|<[^>]+\son\w+=|<[^>]+\sstyle=", page)


def test_text_is_escaped_everywhere() -> None:
    evil = "</script><script>alert(1)</script>"
    talk = plain_talk(f"So {evil} & <b>e4</b> it's", title=f"T {evil}")
    words = said(talk, 0, 5)
    found = Finding(Kind.QUOTE, Verdict.FAILS, words, chess.STARTING_FEN, f"<img src=x> {evil}", 0)
    page = lesson_page(replace(Walk(talk, ()), opening=Opening("A00", evil)), (found,))
    valid(page)
    assert "<script>alert" not in page
    assert "<img" not in page
    assert page.count("<script") == 2
    assert "&lt;script&gt;alert(1)" in page


@needs_shared
def test_policy_lets_only_our_style_and_script_run() -> None:
    """Content Security Policy Level 3: hashes are of the element's text."""
    page = lesson_page(*lesson("panov"))
    policy = re.search(r'Content-Security-Policy" content="([^"]+)"', page)
    assert policy
    sources = unescape(policy[1])
    assert "unsafe" not in sources
    for pattern in (r"<style>(.*?)</style>", r'<script type="module">(.*?)</script>'):
        text = re.search(pattern, page, re.S)
        assert text
        digest = base64.b64encode(hashlib.sha256(text[1].encode()).digest()).decode()
        assert f"'sha256-{digest}'" in sources


@needs_shared
@pytest.mark.parametrize("name", FOUR)
def test_positions_in_the_page_are_the_walk_s(name: str) -> None:
    walk, found = lesson(name)
    data = island(lesson_page(walk, found))
    assert data["fen"] == [node.fen for node in walk.nodes]
    assert data["node"] == [walk.node_after(done) for done in range(len(walk.steps) + 1)]
    assert data["name"][1]  # type: ignore[index]  # the first move has an opening's name


@needs_shared
def test_doubts_are_told_in_words() -> None:
    walk, found = lesson("scotch")
    page = lesson_page(doubtful(walk), found)
    assert "(unsure)" in page
    assert 'class="unread"' in page
    assert "(ring on e5)" in page
    assert "path from f3 to e5" in page
    assert 'No &lt;knight&gt; can reach d5.</span> <a class="see"' in page, "a FEN becomes a link to its board"
    other = island(page)["other"]
    assert {entry["words"] for entry in other.values()} == {"2, knight f6", "2, a6"}  # type: ignore[attr-defined]


@needs_shared
def test_findings_stand_in_the_margin_with_sign_and_word() -> None:
    walk, found = lesson("panov")
    page = lesson_page(walk, found)
    for verdict in Verdict:
        count = sum(f.verdict is verdict for f in found)
        assert page.count(f'class="note {verdict}"') == count > 0
        assert page.count(f'<use href="#v-{verdict}"/></svg> <b>{verdict}</b>') == count


def test_small_typography() -> None:
    assert typeset("it's 'so' don't") == "it’s 'so' don’t"
    assert [sentence(t) for t in ("no pawn", "exd4 2 of 3", "e file is open!", "Nf3", "")] == [
        *("No pawn.", "exd4 2 of 3.", "e file is open!", "Nf3.", "")
    ]
    assert figurines("e8=Q+").count("<svg") == 1
    assert figurines("O-O") == "O-O"
