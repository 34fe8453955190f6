"""The lesson page as a file: valid, self-contained, escaped, small."""

from __future__ import annotations

import base64
import hashlib
import json
import re
from dataclasses import replace
from html import unescape
from typing import Any

import chess
import pytest
from hypothesis import HealthCheck, given, settings

from linewright.language.evidence import plain
from linewright.lesson.finding import Finding, Kind, Verdict
from linewright.lesson.walk import Opening, Walk
from linewright.publish.html.markup import figurines, typeset
from linewright.publish.html.self_contained import theme_css
from linewright.publish.page.lesson_page import Recording, lesson_page
from linewright.publish.page.passage_html import sentence
from linewright.publish.theme import Theme
from linewright.publish.timing import timed
from tests.lesson.test_pgn import small
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
    assert not re.search(r"<link|<img|@import|url\((?!data:)|\bsrc=|<[^>]+\son\w+=|<[^>]+\sstyle=", page)


def test_text_is_escaped_everywhere() -> None:
    evil = "</script><script>alert(1)</script>"
    talk = plain_talk(f"So {evil} & <b>e4</b> it's", title=f"T {evil}")
    words = said(talk, 0, 5)
    found = Finding(Kind.QUOTE, Verdict.FAILS, words, chess.STARTING_FEN, plain(f"<img src=x> {evil}"), 0)
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
    assert figurines("e8=Q+") == 'e8=<i class="fig">Q</i>+'
    assert figurines("O-O") == "O-O"


@needs_shared
def test_the_pupils_page_has_no_findings_and_no_doubts() -> None:
    walk, found = lesson("scotch")
    page = lesson_page(doubtful(walk), found, doubts=False)
    valid(page)
    for word in ('class="note', "(unsure)", 'class="unread"', 'class="ref"', " checked"):
        assert word not in page.partition("</style>")[2], word
    assert "(ring on e5)" in page, "marks are the talk's own"


@needs_shared
def test_boards_are_printed_with_their_marks() -> None:
    walk, _ = lesson("scotch")
    page = lesson_page(doubtful(walk), doubts=False)
    plates = re.findall(r'<figure data-s="(\d+)">(.*?)</figure>', page, re.S)
    marked = [svg for state, svg in plates if state == "4"]
    assert len(marked) == 1
    assert marked[0].count('class="mark ring"') == marked[0].count('class="mark path"') == 1


@needs_shared
@pytest.mark.parametrize("language", ["de", "fr", "es"])
def test_labels_in_other_languages(language: Any) -> None:
    walk, _ = lesson("scotch")
    theme = Theme(language=language, trainer="Odile & Co")
    page = lesson_page(walk, doubts=False, theme=theme)
    valid(page)
    assert f'<html lang="{language}"' in page
    assert 'id="talk" tabindex="-1" lang="en"' in page
    assert theme.label("index_lines") in page and "Index of lines" not in page
    assert "Odile &amp; Co" in page


@needs_shared
def test_the_trainer_s_margin_speaks_the_theme_s_language() -> None:
    walk, found = lesson("panov")
    page = lesson_page(doubtful(walk), found, theme=Theme(language="de"))
    valid(page)
    told = page[page.index("<body>") : page.index('<script type="application/json"')]
    assert found and "Am Rand:" in told and "Befunde:" in told
    for english in ("see the position", "or perhaps", "back to the words", "In the margin", "most serious", " sure<"):
        assert english.lower() not in told.lower()


def test_a_recording_brings_times_and_may_be_played() -> None:
    walk = timed(small("So e4 and then e5 good.", ("e4", "e4"), ("e5", "e5")))
    page = lesson_page(walk, recording=Recording("talk.mp4", video=True))
    valid(page)
    assert '<video id="media" controls' in page and 'src="talk.mp4"' in page
    assert "media-src" in page
    data = island(page)
    assert data["at"] == [0.0, *(round(s.said.start, 2) for s in walk.steps)]
    assert data["t"] == [round(w.start, 2) for w in walk.talk.words]
    silent = lesson_page(walk)
    assert "media-src" not in silent and "<video" not in silent and "at" not in island(silent)


def test_a_theme_s_faint_ground_keeps_soft_words_readable() -> None:
    walk = Walk(plain_talk("hello"), ())
    assert "--soft: #000000" in lesson_page(walk, theme=Theme(ground="#b0b0b0", ink="#000000", accent="#000000"))
    assert "--paper: #ffffff" in lesson_page(walk, theme=Theme(ground="#ffffff"))
    assert "--soft: #" not in theme_css(Theme(ground="#ffffff"))
