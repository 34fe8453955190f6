"""Typed talks: what is a mark and what is said, and where."""

from __future__ import annotations

import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linewright.talk.load import TalkFormat, load_text
from linewright.talk.model import Aside, Place, Talk, Unit
from linewright.talk.typed import MARKS, typed_talk
from tests.support import TALKS, needs_shared


def typed(text: str) -> Talk:
    return typed_talk(text, "untitled", "talk.md")


def said(text: str) -> str:
    return " ".join(word.text for word in typed(text).words)


#: text, the words that are said, why it is worth a row
SAYINGS = [
    ("Knight f3, *the* natural move.", "Knight f3, the natural move.", "emphasis"),
    ("**Nf3!** and __then__ _d4_", "Nf3! and then d4", "strong emphasis"),
    ("***Nf3*** ~~d3~~", "Nf3 d3", "both, and struck out"),
    ("*Nf3 **now** or never*", "Nf3 now or never", "emphasis in emphasis"),
    ("(*e4*), then", "(e4), then", "emphasis that touches punctuation"),
    ("1-0 and the other goes on *", "1-0 and the other goes on *", "the PGN standard's sign for unfinished"),
    ("1. e4 e5\n2. Nf3 Nc6", "1. e4 e5 2. Nf3 Nc6", "move numbers are no list"),
    ("1.e4 *", "1.e4 *", "a whole game, unfinished"),
    (
        "12...Nfd7 13.O-O-O+ +- 14.cxd5 +/= 15.a3 = -+",
        "12...Nfd7 13.O-O-O+ +- 14.cxd5 +/= 15.a3 = -+",
        "signs",
    ),
    ("+- says the engine\n-+ says the other", "+- says the engine -+ says the other", "signs at line starts"),
    ("Nf3* and Bc4* are both fine", "Nf3* and Bc4* are both fine", "stars as footnotes"),
    ("a 3 * 4 grid, 2*2*2", "a 3 * 4 grid, 2*2*2", "stars as times"),
    ("snake_case_name and f3_g4", "snake_case_name and f3_g4", "underscores inside words"),
    ("# The plan\ntext", "The plan text", "heading"),
    ("## 3.d5: the quiet way ##\ntext", "3.d5: the quiet way text", "heading with closing marks"),
    ("# C#\nthe # key ##", "C# the # key ##", "number signs that close no heading"),
    ("# ##\ntext", "text", "heading without words"),
    ("#1 problem: c5", "#1 problem: c5", "a number sign that is no heading"),
    ("Qh8# is mate #", "Qh8# is mate #", "mate sign"),
    ("The plan\n========\ntext", "The plan text", "underlined heading"),
    ("so the verdict is\n=\nand not\n-+", "so the verdict is = and not -+", "signs on lines of their own"),
    ("one\n\n---\n\ntwo", "one two", "rule"),
    ("- first e4\n- then d4\n* or c4\n+ or f4", "first e4 then d4 or c4 or f4", "bullets"),
    ("He said - no", "He said - no", "dash"),
    ("> quoted *words*\n> go on", "quoted words go on", "quotation"),
    ("see [the game](https://example.org/g_1_x) there", "see the game there", "link"),
    ("see [the *whole* game](g.pgn), there", "see the whole game, there", "emphasis in a link"),
    ("[Nf3] is a bracket", "[Nf3] is a bracket", "brackets that are no link"),
    ("a ![board](b.png) there", "a there", "picture"),
    ("play `Nf3` or ``O-O``", "play Nf3 or O-O", "code"),
    ("`*e4*` as it stands", "*e4* as it stands", "no emphasis inside code"),
    ("```\n1.e4 e5\n```\nthen", "1.e4 e5 then", "fenced code"),
    ("one `tick", "one `tick", "a lone tick"),
    (r"\*e4\* and \{sic\}", "*e4* and {sic}", "escapes"),
    ("before <!-- not said --> after", "before after", "comment"),
    ("before <!-- not\n\nsaid --> after", "before after", "comment over a blank line"),
    ("e4{ring: e4} e5", "e4 e5", "mark that touches a word"),
    ("so {here: A}, and", "so , and", "punctuation after a mark stays"),
    ("1.e4 {the best} e5", "1.e4 the best e5", "comment in braces as in PGN"),
    ("one { two", "one two", "unclosed brace"),
    ("♘f3 and 0-0, naïve", "♘f3 and 0-0, naïve", "figurines and accents"),
    ("knight f3", "knight f3", "no-break space parts words"),
]


@pytest.mark.parametrize(("text", "words", "why"), SAYINGS, ids=[row[2] for row in SAYINGS])
def test_what_is_said(text: str, words: str, why: str) -> None:
    assert said(text) == words


def test_words_know_their_places_paragraphs_and_headings() -> None:
    talk = typed("# The plan\n\nFirst **e4**,\r\nthen d4.\n\n- c4\n\n\n## 3.d5\ndone")
    table = [(w.text, w.place.line, w.place.column, w.paragraph, w.heading) for w in talk.words]
    assert table == [
        ("The", 1, 3, 0, 1),
        ("plan", 1, 7, 0, 1),
        ("First", 3, 1, 1, 0),
        ("e4,", 3, 9, 1, 0),
        ("then", 4, 1, 1, 0),
        ("d4.", 4, 6, 1, 0),
        ("c4", 6, 3, 2, 0),
        ("3.d5", 9, 4, 3, 2),
        ("done", 10, 1, 4, 0),
    ]
    assert talk.title == "The plan"
    assert talk.unit is Unit.CHARACTERS
    assert [(w.start, w.end) for w in talk.words] == [w.at for w in talk.words]


def test_title_is_the_first_top_heading_or_the_files_name() -> None:
    assert load_text("## Sub\n\n# Top *one*\n\n# Other", TalkFormat.TYPED, "x/my_talk.md").title == "Top one"
    assert load_text("## Sub\n\nwords", TalkFormat.TYPED, "x/my_talk.md").title == "My talk"


@pytest.mark.parametrize(
    ("file", "title"),
    [
        ("panov.txt", "Panov"),
        ("caro-kann.md", "Caro-kann"),
        ("my-first-talk.vtt", "My first talk"),
        ("2026-11-25.txt", "2026-11-25"),
        ("The Slav, part 2.txt", "The Slav, part 2"),
        ("...txt", "Talk"),
    ],
)
def test_a_file_s_name_reads_as_a_title(file: str, title: str) -> None:
    assert load_text("e4 e5", TalkFormat.TYPED, f"x/{file}").title == title
    assert load_text("words", None, "-").title == "Talk"


def test_light_marks() -> None:
    talk = typed("{start: 8/8/8/8/8/8/8/K1k5 w - - 0 1} e4\n{Ring:e5  d4} e5 {back 4.Nxd4}{dot: e4}\n{here: A}")
    assert talk.asides == (
        Aside("start", "8/8/8/8/8/8/8/K1k5 w - - 0 1", 0, Place(1, 1)),
        Aside("ring", "e5 d4", 1, Place(2, 1)),
        Aside("back", "4.Nxd4", 2, Place(2, 18)),
        Aside("dot", "e4", 2, Place(2, 31)),
        Aside("here", "A", 2, Place(3, 1)),
    )
    assert not talk.notes
    assert [w.text for w in talk.words] == ["e4", "e5"]


def test_long_runs_of_anything_are_read_at_once() -> None:
    """Each of these takes hours with patterns that try again from every place."""
    n = 20_000
    texts = [
        "{ring" + " " * n + "}",
        "# " + " " * n + "x #",
        "<!-- " * n,
        "*a " * n + "b_ " * n,
        "[" * n,
        "{" * n,
    ]
    assert all(typed(text).text == text for text in texts)


def test_a_mark_may_run_over_a_line_end() -> None:
    assert typed("{back:\n  start} e4").asides == (Aside("back", "start", 0, Place(1, 1)),)


@pytest.mark.parametrize(
    ("text", "place", "quote"),
    [
        ("so\n  {best: Nf3} then", "talk.md:2:3", "{best: Nf3}"),
        ("e4 {ring: e5 then\n\nd4", "talk.md:1:4", "never closed"),
        ("e4 } then", "talk.md:1:4", "without being opened"),
        ("e4 {ring:} then", "talk.md:1:4", "says nothing"),
        ("e4 <!-- then", "talk.md:1:4", "never closed"),
    ],
)
def test_what_is_no_mark_is_noted_and_read(text: str, place: str, quote: str) -> None:
    talk = typed(text)
    assert len(talk.notes) == 1
    assert talk.notes[0].startswith(f"{place}: ")
    assert quote in talk.notes[0]
    assert "then" in [w.text for w in talk.words]
    assert not talk.asides


def test_no_marks_inside_code() -> None:
    talk = typed("write `{ring: e5}` for a ring")
    assert not talk.asides
    assert not talk.notes
    assert talk.words[1].text == "{ring:"


#: Bits that make Markdown and marks likely, for the laws.
BITS = st.sampled_from(
    [
        *"*_`~{}[]()<>#-+>=!\\:.1 \n\t\r",
        "**",
        "<!--",
        "-->",
        "{ring: e5}",
        "{back: A}",
        "\n\n",
        "1. e4",
        "Nf3",
        "é",
    ]
)
TEXTS = st.one_of(st.text(max_size=80), st.lists(BITS, max_size=40).map("".join))


@settings(deadline=None, max_examples=400)
@given(TEXTS)
def test_laws_of_words(text: str) -> None:
    talk = typed(text)
    end = 0
    lines = re.split(r"\r\n|\r|\n", text)
    for before, word in zip((None, *talk.words), talk.words, strict=False):
        assert word.at[0] >= end
        end = word.at[1]
        assert word.text
        assert not re.search(r"\s", word.text)
        # The word's letters stand in its range in order, marks between them.
        source = iter(text[slice(*word.at)])
        assert all(letter in source for letter in word.text)
        assert lines[word.place.line - 1][word.place.column - 1] == word.text[0]
        if before:
            assert 0 <= word.paragraph - before.paragraph <= 1
    for aside in talk.asides:
        assert aside.name in MARKS
        assert 0 <= aside.word <= len(talk.words)


@settings(deadline=None, max_examples=200)
@given(st.lists(st.from_regex(r"[A-Za-z0-9.,;'éß♘]{1,8}", fullmatch=True), min_size=1, max_size=20))
def test_prose_is_only_split_at_spaces(words: list[str]) -> None:
    assert said(" ".join(words)) == " ".join(words)


@needs_shared
def test_open_talks_lose_no_word() -> None:
    files = sorted(TALKS.glob("*.txt"))
    assert files
    for file in files:
        text = file.read_text()
        talk = load_text(text, None, str(file))
        assert [w.text for w in talk.words] == text.split()
        assert not talk.notes
