"""Chapters, descriptions and key positions: named, in order, apart, and readable by others."""

from __future__ import annotations

import re
from dataclasses import replace
from itertools import pairwise

import chess
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from linewright.language.evidence import plain
from linewright.lesson.finding import Finding, Kind, Verdict
from linewright.lesson.walk import Walk
from linewright.publish.description import description, epd_text, key_positions
from linewright.publish.recording_chapters import (
    APART,
    NAME,
    Chapter,
    chapters,
    chapters_webvtt,
    clipped,
    clock,
    game_name,
)
from linewright.publish.theme import Theme
from linewright.publish.timing import RATE, length, mark_time, timed
from linewright.talk.model import Unit
from tests.lesson.test_pgn import small
from tests.lesson.walks import walks
from tests.publish.captioned import strict_webvtt
from tests.publish.samples import lesson
from tests.support import needs_shared, plain_talk, said

FOUR = ["panov", "scotch", "slav", "benoni"]


@given(walks(), st.integers(60, 300))
@settings(deadline=None, max_examples=60, suppress_health_check=list(HealthCheck))
def test_times_of_a_typed_talk_rise(walk: Walk, rate: int) -> None:
    spoken = timed(walk, rate)
    assert spoken.talk.unit is Unit.SECONDS
    times = [t for word in spoken.talk.words for t in (word.start, word.end)]
    assert times == sorted(times)
    assert [w.text for w in spoken.talk.words] == [w.text for w in walk.talk.words]
    assert all(0 <= mark_time(spoken, mark) <= length(spoken) for mark in spoken.marks)
    assert timed(spoken, rate) is spoken


def test_the_rate_is_words_a_minute() -> None:
    walk = Walk(plain_talk("word " * 280), ())
    assert length(timed(walk, 140)) == pytest.approx(120, rel=0.01)
    assert length(timed(walk, 280)) == pytest.approx(60, rel=0.01)
    assert length(walk) == 0
    assert 100 <= RATE <= 180
    with pytest.raises(ValueError, match="words a minute"):
        timed(walk, 5000)


@given(walks())
@settings(deadline=None, max_examples=60, suppress_health_check=list(HealthCheck))
def test_chapters_begin_at_nought_and_lie_apart(walk: Walk) -> None:
    spoken = timed(walk, 60)
    found = chapters(spoken)
    if not walk.talk.words:
        assert found == ()
        return
    starts = [chapter.start for chapter in found]
    assert starts[0] == 0
    assert all(later - earlier >= APART for earlier, later in pairwise(starts))
    assert len(found) == 1 or length(spoken) - starts[-1] >= APART
    assert all(chapter.name and len(chapter.name) <= NAME for chapter in found)
    cues = strict_webvtt(chapters_webvtt(found, length(spoken)))
    assert [cue.start for cue in cues] == [round(1000 * start) for start in starts]
    assert all(one.end <= other.start for one, other in pairwise(cues)), "W3C WebVTT 4.6: chapters don't overlap"


def test_a_typed_talk_has_no_chapters() -> None:
    assert chapters(small("e4", ("e4", "e4"))) == ()


@needs_shared
def test_chapters_of_an_open_talk_are_named_for_its_branches() -> None:
    walk = timed(lesson("panov")[0])
    named = [chapter.name for chapter in chapters(walk)]
    assert named[0] == "Introduction"
    assert named[1].startswith("Main line: Caro-Kann Panov")
    assert [n for n in named if n.startswith("Sideline: ")][-1] == "Sideline: 5…g6"
    assert "Sideline: 5…Nc6" in named and "Sideline: 6…Bb4" in named
    german = [c.name for c in chapters(walk, (), Theme(language="de"))]
    assert german[0] == "Einleitung"
    assert "Nebenvariante: 5…Sc6" in german


def quote_at(walk: Walk, words: str, verdict: Verdict = Verdict.HOLDS) -> Finding:
    at = walk.talk.text.index(words)
    return Finding(Kind.QUOTE, verdict, said(walk.talk, at, at + len(words)), "", plain("the base has it"), 0)


def test_quoted_games_name_chapters() -> None:
    text = "hello " * 30 + "e4 here. " + "well " * 40 + "Brandt beat Novak in 1998. " + "so " * 40
    walk = small(text, ("e4", "e4"))
    finding = quote_at(walk, "Brandt beat Novak in 1998.")
    spoken = timed(walk)
    start = next(word.start for word in spoken.talk.words if word.text == "Brandt")
    at = replace(finding, said=replace(finding.said, start=start))
    assert Chapter(start, "Model game: Brandt – Novak, 1998") in chapters(spoken, [at])
    wrong = replace(at, verdict=Verdict.FAILS)
    assert not any("Brandt" in chapter.name for chapter in chapters(spoken, [wrong]))
    assert "Brandt – Novak, 1998" in description(walk, [finding])
    assert game_name(replace(finding, said=replace(finding.said, words="a game from the harbour"))) == (
        "a game from the harbour"
    )


def test_early_moves_leave_no_introduction() -> None:
    walk = timed(small("e4 " + "so " * 60 + "and c5 " + "well " * 60, ("e4", "e4"), ("c5", "c5")))
    assert chapters(walk)[0] == Chapter(0.0, "Main line: Sicilian Defence (B20)")


def test_words_after_the_last_move_are_closing_words() -> None:
    walk = timed(small("so " * 40 + "e4 " + "well " * 40 + "c5 " + "thanks " * 90, ("e4", "e4"), ("c5", "c5")))
    assert chapters(walk)[-1].name == "Closing words"


@pytest.mark.parametrize(
    ("seconds", "told"),
    [(0, "0:00"), (9.99, "0:09"), (61, "1:01"), (725, "12:05"), (3600, "1:00:00"), (3723.5, "1:02:03")],
)
def test_clock(seconds: float, told: str) -> None:
    assert clock(seconds) == told


def test_long_names_are_cut_at_a_word() -> None:
    assert clipped("word " * 30).endswith("word…")
    assert len(clipped("x" * 100)) <= NAME


@needs_shared
@pytest.mark.parametrize("name", FOUR)
def test_description(name: str) -> None:
    walk, found = lesson(name)
    spoken = timed(walk)
    text = description(spoken, [], (), Theme(trainer="Odile Brandt"))
    parts = text.split("\n\n")
    assert parts[0].startswith(walk.title)
    assert parts[0].endswith("by Odile Brandt")
    times = re.findall(r"^(\d+):(\d\d) .", parts[1], re.M)
    seconds = [60 * int(minute) + int(second) for minute, second in times]
    assert seconds[0] == 0
    assert seconds == sorted(set(seconds))
    assert len(seconds) == len(parts[1].splitlines()) - 1 >= 3
    assert parts[2].startswith("The lines\nMain line: 1.")
    assert "Chapters" not in description(walk, found), "a typed talk has no times"


@given(walks())
@settings(deadline=None, max_examples=60, suppress_health_check=list(HealthCheck))
def test_key_positions_are_read_back(walk: Walk) -> None:
    """EPD: four fields of the position, then operations (PGN standard 1994, 16.2.1); read by the chess library."""
    lines = epd_text(walk).splitlines()
    nodes = key_positions(walk)
    assert len(lines) == len(nodes)
    for line, node in zip(lines, nodes, strict=True):
        board = chess.Board()
        operations = board.set_epd(line)
        assert board.epd() == chess.Board(walk.nodes[node].fen).epd()
        assert walk.nodes[node].san in str(operations["id"])
        children = [walk.nodes[child].san for child in walk.nodes[node].children]
        assert all(san in str(operations["c0"]) for san in children)
        assert len(line) <= 1024  # 16.1.3.2: lines may be restricted to 1024 characters
