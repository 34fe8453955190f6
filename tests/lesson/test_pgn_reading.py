"""PGN read back: our own as the very same walk, anyone's move by move."""

from __future__ import annotations

import io
from collections import Counter
from dataclasses import replace

import chess.pgn
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from linewright.language.evidence import plain
from linewright.lesson.finding import Finding, Kind, Verdict
from linewright.lesson.pgn import walk_to_pgn
from linewright.lesson.pgn_reading import CHANGED, walk_from_pgn, walks_from_pgn
from linewright.lesson.spoken import numbered
from linewright.lesson.walk import BoardMark, MoveStep, Walk
from linewright.lesson.walk_record import ESCAPE, walk_json, walk_of_json, walk_of_lines
from linewright.support.errors import UnusableInput
from linewright.talk.load import load_talk
from tests.lesson.test_pgn import TWO_LINES, small, tree_of_walk, words_of_talk
from tests.lesson.walks import walks
from tests.support import TALKS, needs_shared, plain_talk, said, walk_from_ref

FOUR = ["panov", "scotch", "slav", "benoni"]


@given(walks())
@settings(deadline=None, max_examples=80, suppress_health_check=list(HealthCheck))
def test_any_walk_comes_back_the_same(walk: Walk) -> None:
    assert walk_from_pgn(walk_to_pgn(walk, record=True)) == walk


@needs_shared
@pytest.mark.parametrize("name", FOUR)
def test_open_talks_come_back_the_same(name: str) -> None:
    walk, _ = walk_from_ref(name)
    text = walk_to_pgn(walk, record=True)
    assert walk_from_pgn(text) == walk
    assert max(map(len, text.splitlines())) < 80  # export format, PGN standard 3.2.4


@needs_shared
def test_times_captions_and_word_confidences_come_back() -> None:
    for source in ("panov.clear.vtt", "panov.clear.words.json"):
        walk = Walk(load_talk(TALKS / source), ())
        assert walk_from_pgn(walk_to_pgn(walk, record=True)) == walk


def test_findings_that_fail_do_not_make_it_another_walk() -> None:
    walk = small(*TWO_LINES)
    failed = Finding(Kind.ASSESSMENT, Verdict.FAILS, said(walk.talk, 40, 45), "", plain("it is not"), 2)
    text = walk_to_pgn(walk, [failed], record=True)
    assert "[Fails (assessment)" in text
    assert walk_from_pgn(text) == walk


def test_other_readers_skip_the_record() -> None:
    """PGN standard (1994), section 6: a line that begins with a percent sign is ignored."""
    text = walk_to_pgn(small(*TWO_LINES), record=True)
    handle = io.StringIO(text)
    game = chess.pgn.read_game(handle)
    assert game is not None and not game.errors
    assert chess.pgn.read_game(handle) is None
    assert text.count("\n" + ESCAPE) > 3


def test_a_changed_game_is_read_as_it_stands() -> None:
    text = walk_to_pgn(small(*TWO_LINES), record=True)
    for old, new in (("sharp", "dull"), ("Nf3", "Nc3")):
        assert text.count(old) >= 1
        walk = walk_from_pgn(text.replace(old, new))
        assert CHANGED in walk.talk.notes
        assert new in walk.talk.text
    broken = text.replace(ESCAPE + text.split(ESCAPE)[1][:8], ESCAPE + "AAAAAAAA", 1)
    assert CHANGED in walk_from_pgn(broken).talk.notes


def test_another_program_s_line_breaks_change_nothing() -> None:
    walk = small(*TWO_LINES)
    game = chess.pgn.read_game(io.StringIO(walk_to_pgn(walk)))
    assert game is not None
    record = "".join(line + "\n" for line in walk_to_pgn(walk, record=True).splitlines() if line.startswith(ESCAPE))
    again = game.accept(chess.pgn.StringExporter(columns=None)) + "\n\n" + record
    assert walk_from_pgn(again) == walk


@given(walks())
@settings(deadline=None, max_examples=80, suppress_health_check=list(HealthCheck))
def test_moves_and_words_survive_without_the_record(walk: Walk) -> None:
    found = walk_from_pgn(walk_to_pgn(walk))
    assert tree_of_walk(found) == tree_of_walk(walk)
    assert found.start == chess.Board(walk.start).fen()
    nags = {(m.before, m.uci): m.nag for m in walk.moves if m.nag is not None}
    assert {(m.before, m.uci) for m in found.moves if m.nag} == nags.keys()
    assert Counter((m.shape, m.squares) for m in found.marks) == Counter((m.shape, m.squares) for m in walk.marks)
    moves = Counter(numbered(move.before, move.san) for move in found.moves)
    # "[%" commands are for programs: the words of a talk that look like one went as "(%".
    assert Counter(word.text for word in found.talk.words) - moves == words_of_talk(walk)


SIDES = """[Event "Evening class"]
[ECO "C20"]
[Opening "Open Game"]

{Hello [%clk 0:01:00] all.} 1. e4! {best by test [ring on e5 and d4]} (1. d4 {shy} d5 (1... Nf6 $6))
1... e5 2. Nf3 {[path from f3 to g5 to h7]} *
"""


def test_anyones_game_is_told_in_the_order_of_a_book() -> None:
    walk = walk_from_pgn(SIDES, "class.pgn")
    told = [s.san if isinstance(s, MoveStep) else f"<{s.node}" for s in walk.steps]
    assert told == ["e4", "<0", "d4", "d5", "<2", "Nf6", "<1", "e5", "Nf3"]
    assert walk.talk.text.split("\n\n") == [
        "Hello all. 1.e4 best by test",
        "1.d4 shy 1...d5",
        "1...Nf6",
        "1...e5 2.Nf3",
    ]
    assert [m.nag for m in walk.moves] == [1, None, None, 6, None, None]
    assert [(m.shape, m.squares, m.step) for m in walk.marks] == [
        ("ring", ("e5", "d4"), 1),
        ("path", ("f3", "g5", "h7"), 9),
    ]
    assert (walk.title, walk.talk.source) == ("Evening class", "class.pgn")
    assert walk.opening is not None and walk.opening.eco == "C20"
    assert walk.talk.words[2].place.line == 1
    for move in walk.moves:
        assert walk.talk.quote(move.said.first, move.said.last) == move.said.words == numbered(move.before, move.san)


def test_several_games_each_with_its_own_record() -> None:
    one, two = small(*TWO_LINES), replace(small(*TWO_LINES), side="black")
    text = walk_to_pgn(one, record=True) + "\n" + SIDES + "\n" + walk_to_pgn(two, record=True)
    found = walks_from_pgn(text)
    assert (found[0], found[2]) == (one, two)
    assert found[1].title == "Evening class"


def test_what_can_not_be_read() -> None:
    with pytest.raises(UnusableInput, match="no game"):
        walk_from_pgn("")
    walk = walk_from_pgn('[Event "?"]\n\n1. e4 Ke7 2. d4 *\n')
    assert [m.san for m in walk.moves] == ["e4"]
    assert any("Ke7" in note for note in walk.talk.notes)


def test_marks_at_the_end_of_the_talk_come_back() -> None:
    walk = small("e4", ("e4", "e4"))
    walk = replace(walk, marks=(BoardMark("dot", ("d5",), 1, replace(walk.talk.words[0].place, line=9)),))
    assert [m.shape for m in walk_from_pgn(walk_to_pgn(walk)).marks] == ["dot"]


@given(walks())
@settings(deadline=None, max_examples=30, suppress_health_check=list(HealthCheck))
def test_json_and_back(walk: Walk) -> None:
    assert walk_of_json(walk_json(walk)) == walk


@given(st.lists(st.text(max_size=40), max_size=3))
def test_damaged_records_are_no_walk(lines: list[str]) -> None:
    assert walk_of_lines([ESCAPE + line for line in lines]) is None
    assert walk_of_lines(lines) is None
    assert walk_of_lines([]) is None


def test_odd_text_survives() -> None:
    walk = Walk(plain_talk("naïve ½ 国际 \u2028 {x}", title="ß"), ())
    assert walk_from_pgn(walk_to_pgn(walk, record=True)) == walk
