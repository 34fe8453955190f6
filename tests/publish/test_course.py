"""A course: one index, one map, one PGN and one book of several talks; only what changed is made anew."""

from __future__ import annotations

import io
import re
from dataclasses import replace
from pathlib import Path

import chess
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from typer.testing import CliRunner

from linewright.cli.main import app
from linewright.lesson.pgn_reading import walks_from_pgn
from linewright.lesson.walk import Walk
from linewright.publish.course.course import Branch, Lesson, common_tree, course_pgn, key, meetings, opening_index
from linewright.publish.course.course_page import course_page
from linewright.publish.handout.handout import book_pdf, handout_data
from linewright.publish.theme import Theme
from linewright.talk.talk_files import talks_in
from tests.lesson.test_pgn import small
from tests.lesson.walks import walks

html5lib = pytest.importorskip("html5lib", reason="needs html5lib (pip install linewright[dev])")
pikepdf = pytest.importorskip("pikepdf", reason="needs pikepdf (pip install linewright[dev])")


def line(title: str, moves: str) -> Walk:
    walk = small(moves, *((san, san) for san in moves.split()))
    return replace(walk, talk=replace(walk.talk, title=title))


#: The Queen's Gambit Declined by two orders of moves (common practice: D37 with 4.Nf3 from either).
ONE = line("By the queen's pawn", "d4 d5 c4 e6 Nc3 Nf6 Nf3 Be7")
TWO = line("By the knight", "Nf3 d5 d4 e6 c4 Nf6 Nc3 c5")
COURSE = (Lesson("one", ONE), Lesson("two", TWO))


def test_talks_meet_where_their_moves_transpose() -> None:
    found = meetings(COURSE)
    plies = [[(spot.lesson, COURSE[spot.lesson].walk.nodes[spot.node].ply) for spot in m.spots] for m in found]
    assert plies == [[(0, 7), (1, 7)]]
    assert all(len({key(COURSE[s.lesson].walk.nodes[s.node].fen) for s in m.spots}) == 1 for m in found)
    assert meetings((COURSE[0], Lesson("same", ONE))) == (), "the same moves are no transposition"


def test_index_names_each_position_once_with_all_its_talks() -> None:
    index = opening_index(COURSE)
    assert [entry.name for entry in index] == sorted(entry.name for entry in index)
    assert len({key(entry.fen) for entry in index}) == len(index)
    assert all(re.fullmatch(r"[A-E]\d\d", entry.eco) for entry in index)
    assert any({spot.lesson for spot in entry.spots} == {0, 1} for entry in index)


def moves_in(branches: tuple[Branch, ...], before: tuple[str, ...] = ()) -> set[tuple[str, ...]]:
    found = set()
    for branch in branches:
        at = before
        for _, san in branch.moves:
            at = (*at, san)
            found.add(at)
        found |= moves_in(branch.branches, at)
    return found


@given(st.lists(walks(most=10), min_size=1, max_size=3))
@settings(deadline=None, max_examples=30, suppress_health_check=list(HealthCheck))
def test_the_map_holds_every_talk_s_lines(found: list[Walk]) -> None:
    start = found[0].start
    same = [walk for walk in found if walk.start == start]
    lessons = [Lesson(str(i), walk) for i, walk in enumerate(same)]
    told = {tuple(walk.nodes[at].san for at in walk.line(node.id)) for walk in same for node in walk.nodes[1:]}
    assert moves_in(common_tree(lessons)) == told
    assert list(walks_from_pgn(course_pgn(lessons))) == same


def test_page_is_valid_and_links_to_the_talks() -> None:
    page = course_page(COURSE, "Evening <class>", Theme(trainer="Odile Brandt"))
    html5lib.HTMLParser(strict=True).parse(page)
    assert "Evening &lt;class&gt;" in page
    assert 'href="one.html"' in page and re.search(r'href="two\.html#s\d+"', page)
    assert not re.search(r"https?://", page)


def test_book_has_every_talk_as_a_chapter() -> None:
    data = [handout_data(lesson.walk) for lesson in COURSE]
    with pikepdf.open(io.BytesIO(book_pdf(data, "Evening class"))) as document:
        assert document.Root.MarkInfo.Marked
        with document.open_metadata() as metadata:
            assert metadata["dc:title"] == "Evening class"
        with document.open_outline() as outline:
            titles = [str(item.title) for item in outline.root]
    assert [title for title in titles if title.startswith("By ")] == [ONE.title, TWO.title]


def test_only_what_changed_is_made_anew(tmp_path: Path) -> None:
    talks, out = tmp_path / "evening-class", tmp_path / "site"
    talks.mkdir()
    (talks / "a.md").write_text("# First\n\n1.e4 e5 2.Nf3 Nc6\n")
    (talks / "b.md").write_text("# Second\n\n1.d4 d5 2.c4 e6\n")
    (talks / "notes.md").write_text("nothing to see")
    run = CliRunner().invoke

    def build() -> set[str]:
        result = run(app, ["build", str(talks), "-o", str(out)])
        assert result.exit_code == 0, result.output
        assert "notes.md" in result.stderr
        return {Path(path).name for path in result.stdout.splitlines()}

    first = build()
    assert {"first.html", "second.html", "first.pdf", "index.html", "course.pgn", "course-book.pdf"} <= first
    assert "Evening class" in (out / "index.html").read_text()
    assert build() == set()
    (talks / "b.md").write_text("# Second\n\n1.d4 d5 2.c4 c6\n")
    again = build()
    assert "second.html" in again and "index.html" in again and "first.html" not in again
    (out / "first.pdf").unlink()
    assert "first.pdf" in build(), "what is missing is made again"


def test_the_theme_in_the_folder_of_talks_is_the_course_s(tmp_path: Path) -> None:
    talks, out = tmp_path / "abend", tmp_path / "site"
    talks.mkdir()
    (talks / "a.md").write_text("# Eins\n\n1.e4 e5 2.Nf3 Nc6\n")
    (talks / "linewright-theme.toml").write_text('trainer = "Anna Beispiel"\nlanguage = "de"\n')
    result = CliRunner().invoke(app, ["build", str(talks), "-o", str(out), "--only", "page"])
    assert result.exit_code == 0, result.output
    for name in ("index.html", "eins.html"):
        page = (out / name).read_text()
        assert '<html lang="de"' in page and "Anna Beispiel" in page


CAPTIONS = "WEBVTT\n\n00:00:01.000 --> 00:00:04.000\ne4 e5 knight f3 knight c6\n"


def test_recordings_beside_their_captions_are_played(tmp_path: Path) -> None:
    talks, out = tmp_path / "recorded", tmp_path / "site"
    talks.mkdir()
    (talks / "spanish.vtt").write_text(CAPTIONS)
    (talks / "spanish.mp3").write_bytes(b"sound")
    (talks / "typed.md").write_text("# Typed\n\n1.d4 d5\n")
    (talks / "typed.mp3").write_bytes(b"another")

    def build() -> set[str]:
        result = CliRunner().invoke(app, ["build", str(talks), "-o", str(out), "--only", "page"])
        assert result.exit_code == 0, result.output
        return {Path(path).name for path in result.stdout.splitlines()}

    assert "spanish.recording.mp3" in build()
    assert (out / "spanish.recording.mp3").read_bytes() == b"sound"
    assert 'src="spanish.recording.mp3"' in (out / "spanish.html").read_text()
    assert "<audio" not in (out / "typed.html").read_text(), "a typed talk has no times to follow"
    assert build() == set()
    (talks / "spanish.mp3").write_bytes(b"sound, cut better")
    assert "spanish.recording.mp3" in build()
    assert (out / "spanish.recording.mp3").read_bytes() == b"sound, cut better"


def test_one_talk_of_each_name(tmp_path: Path) -> None:
    for name in ("a.md", "a.vtt", "a.words.json", "b.srt", "b.vtt", ".c.md", "d.answers", "e.pgn"):
        (tmp_path / name).write_text("")
    assert [path.name for path in talks_in(tmp_path)] == ["a.md", "b.vtt"]


def test_an_empty_folder_is_refused(tmp_path: Path) -> None:
    result = CliRunner().invoke(app, ["build", str(tmp_path), "-o", str(tmp_path / "out")])
    assert result.exit_code == 2
    assert "no talk" in result.stderr


@pytest.mark.parametrize("option", [["--film"], ["--only", "film"], ["--recording", "talk.ogg"]])
def test_a_course_refuses_what_only_one_talk_can_have(tmp_path: Path, option: list[str]) -> None:
    (tmp_path / "a.md").write_text("1.e4 e5\n")
    (tmp_path / "talk.ogg").write_bytes(b"")
    option = [str(tmp_path / part) if part == "talk.ogg" else part for part in option]
    result = CliRunner().invoke(app, ["build", str(tmp_path), "-o", str(tmp_path / "out"), *option])
    assert result.exit_code == 2
    assert "build the talk alone" in result.stderr


def test_keys_leave_counters_out() -> None:
    assert key(chess.STARTING_FEN) == key("rnbqkbnr/pppppppp/8/8/8/8/PPPPPPPP/RNBQKBNR w KQkq - 5 9")
