"""The answers file: what a line may hold, and that the place of an answer is found again after edits."""

from __future__ import annotations

import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linewright.language.tokens import word_key
from linewright.reading.answers import (
    Answer,
    AnswerLine,
    Finder,
    clock,
    obeyed,
    parse,
    rewritten,
    step_for,
    written,
)
from linewright.reading.reader import read_talk
from linewright.talk.load import TalkFormat, load_text
from linewright.talk.model import Talk
from tests.support import plain_talk

FEN = "rnbqkbnr/pppp1ppp/8/4p3/4P3/8/PPPP1PPP/RNBQKBNR w KQkq -"

LINES = [
    ("0:41.1 | Nf3 | he plays [night of 3] and castles", "Nf3", 41.1, "", "captions"),
    ("1:02:03.4 | O-O | so [he castles] now", "O-O", 3723.4, "", "hours"),
    ("27:180 | exd5 | [takes] with the pawn", "exd5", 27.0, "", "a typed talk: the line"),
    (f"27:180 | Nf3 | [knight f3] | {FEN}", "Nf3", 27.0, FEN, "a position of four fields"),
    (f"27:180 | Nf3 | [knight f3] | {FEN} 0 2", "Nf3", 27.0, f"{FEN} 0 2", "a full position"),
    ("27:180 | - | the pawn [on d5] is weak", "", 27.0, "", "no move"),
    ("| 0-0-0+ | [castles long]", "O-O-O+", None, "", "zeros, no hint"),
    ("here | e8=Q#! | [queens]", "e8=Q#", None, "", "a hint that says nothing, praise"),
]


@pytest.mark.parametrize(("text", "san", "hint", "before", "comment"), LINES, ids=[row[4] for row in LINES])
def test_lines_that_hold_an_answer(text: str, san: str, hint: float | None, before: str, comment: str) -> None:
    (line,) = parse(text)
    assert line.note is not None, line.problem
    assert (line.note.san, line.note.before, line.text) == (san, before, text)
    assert line.note.hint == (None if hint is None else pytest.approx(hint))


BROKEN = [
    ("Nf3", "three or four fields", "one field"),
    ("1:1 | Nf3", "three or four fields", "two fields"),
    ("1:1 | Nf3 | [a] | | b", "three or four fields", "five fields"),
    ("1:1 | knight f3 | [a]", "'knight f3' is not a move", "a move in words"),
    ("1:1 | | [a]", "is not a move", "no move named"),
    ("1:1 | Nf3 | knight f3", "in brackets", "no brackets"),
    ("1:1 | Nf3 | [knight] or [f3]", "in brackets", "two brackets"),
    ("1:1 | Nf3 | knight [] f3", "in brackets", "empty brackets"),
    ("1:1 | Nf3 | [f3] | after e4", "not a valid FEN", "no FEN"),
    ("1:1 | Nf3 | [f3] | 8/8/8 w - -", "not a valid FEN", "a cut FEN"),
]


@pytest.mark.parametrize(("text", "says", "comment"), BROKEN, ids=[row[2] for row in BROKEN])
def test_lines_that_hold_none_say_why_and_stay(text: str, says: str, comment: str) -> None:
    (line,) = parse(text)
    assert line.note is None
    assert says in line.problem
    assert line.text == text


def test_blank_lines_and_comments_are_the_users_own() -> None:
    lines = parse("# mine | a | b\n\n   # and this\n")
    assert [line.problem for line in lines] == ["", "", ""]
    assert [line.note for line in lines] == [None, None, None]


# -- finding places again -------------------------------------------------------------------------------------

TALK = (
    "Good evening. We start with e4, he plays e5, and now night of 3 of course, knight c6, and the bishop comes out "
    "to c4. He answers bishop c5, we castle, he castles too. Back to bishop c4. Instead of bishop c5 he can play "
    "knight f6, and now night of 3 can't be said again, so d3, and that is all for today, thank you very much."
)


def place_of(words: str, talk: Talk, after: str = "") -> tuple[int, int]:
    """The word range of some words, the first after ``after``."""
    start = talk.text.index(words, talk.text.index(after))
    end = start + len(words)
    hit = [i for i, w in enumerate(talk.words) if w.at[1] > start and w.at[0] < end]
    return hit[0], hit[-1] + 1


EDITS = [
    ("night of 3", "", [], "night of 3", "nothing changed"),
    ("night of 3", "Back", [], "night of 3", "the second of two alike"),
    ("night of 3", "", [("night of 3 of", "knight f3, of")], "knight f3,", "recognised anew, fewer words"),
    ("knight c6,", "", [("Good evening. We start with e4", "So, e4")], "knight c6,", "the beginning cut"),
    ("we castle,", "", [("Good", "Hello everybody and a very good")], "we castle,", "words put before"),
    ("knight f6,", "", [("he can play knight", "um he can uh play night"), ("f6,", "F6.")], "night F6.", "respelled"),
    ("d3,", "", [("so d3", "so, the pawn, d3"), ("today", "this evening")], "d3,", "words put around"),
    ("bishop c5,", "", [("He answers bishop c5, ", "")], None, "cut out"),
    ("night of 3", "Back", [("night of 3 can't be said again, so ", "")], None, "cut out, another alike stays"),
    ("thank you", "", [("thank you very much", "see you")], "see you.", "the end changed"),
]


@pytest.mark.parametrize(("words", "after", "edits", "found", "comment"), EDITS, ids=[row[4] for row in EDITS])
def test_places_are_found_again(
    words: str, after: str, edits: list[tuple[str, str]], found: str | None, comment: str
) -> None:
    talk = plain_talk(TALK)
    (line,) = parse(written(talk, Answer(*place_of(words, talk, after), "Nf3")))
    assert line.note is not None
    text = TALK
    for old, new in edits:
        assert text.count(old) >= 1
        where = text.rindex(old) if after else text.index(old)
        text = text[:where] + new + text[where + len(old) :]
    edited = plain_talk(text)
    place = Finder(edited).find(line.note)
    assert (None if place is None else edited.quote(*place)) == found
    if found is not None and place is not None:
        assert place == place_of(found, edited, after if after in text else "")


def test_the_hint_decides_between_places_that_read_alike() -> None:
    talk = plain_talk("\n".join(["so knight f3 and castles"] * 9))
    for row in (1, 5, 9):
        (line,) = parse(f"{row}:4 | Nf3 | so [knight f3] and castles")
        assert line.note is not None
        assert Finder(talk).find(line.note) == (5 * (row - 1) + 1, 5 * (row - 1) + 3)


WORDS = st.lists(
    st.sampled_from("e4 e5, Nf3 1.e4 0-0! takes [laughs] a|b — knight Knight d5. so # é4 Ünder".split()),
    min_size=1, max_size=60,
)  # fmt: skip


@given(WORDS, st.data())
@settings(deadline=None)
def test_what_is_written_is_read_again_and_found(words: list[str], data: st.DataObject) -> None:
    talk = plain_talk(" ".join(words))
    first = data.draw(st.integers(0, len(words) - 1))
    last = data.draw(st.integers(first + 1, len(words)))
    answer = Answer(first, last, data.draw(st.sampled_from(["", "Nf3", "O-O"])), data.draw(st.sampled_from(["", FEN])))
    text = written(talk, answer)
    assert len(text.splitlines()) == 1
    (line,) = parse(text)
    if not any(word_key(w) for w in words[first:last]):
        assert "in brackets" in line.problem
        return
    assert line.note is not None, line.problem
    assert (line.note.san, line.note.before) == (answer.san, answer.before)
    place = Finder(talk).find(line.note)
    assert place is not None
    said = [word_key(w) for w in words[place[0] : place[1]] if word_key(w)]
    assert said == [word_key(w) for w in words[first:last] if word_key(w)]


@given(st.text(max_size=300))
@settings(deadline=None)
def test_any_text_is_an_answers_file(text: str) -> None:
    lines = parse(text)
    assert [line.text for line in lines] == text.removeprefix("\ufeff").splitlines()
    finder = Finder(plain_talk("e4 e5 knight f3"))
    assert all(finder.find(line.note) is None or line.note.words for line in lines if line.note is not None)


@given(st.integers(0, 40_000_000))
def test_the_clock_counts_minutes_and_seconds(tenths: int) -> None:
    text = clock(tenths / 10)
    assert re.fullmatch(r"(\d+:[0-5])?\d:[0-5]\d\.\d|\d+:[0-5]\d\.\d", text)
    (line,) = parse(f"{text} | Nf3 | [f3]")
    assert line.note is not None
    assert line.note.hint == pytest.approx(tenths / 10)


# -- writing --------------------------------------------------------------------------------------------------


def test_answers_are_put_where_they_stand_in_the_talk_and_comments_stay() -> None:
    texts = ["# mine", "1:1 | a4 | [a4] b", "", "# about the end", "9:1 | h4 | [h4] b", "broken"]
    lines = tuple(line for text in texts for line in parse(text) or (AnswerLine(text),))
    added = {3: "3:1 | c4 | [c4] b", 0: "1:0 | Na3 | [Na3] b", 20: "20:1 | Nh3 | [Nh3] b"}
    out = [line.text for line in rewritten(lines, frozenset(), added, {1: 1, 4: 9})]
    assert [t for t in out if t not in added.values()] == texts
    moves = [t.split(" | ")[1] for t in out if " | " in t]
    assert moves == ["Na3", "a4", "c4", "h4", "Nh3"]
    assert [line.text for line in rewritten(lines, frozenset({1, 4}), {}, {1: 1, 4: 9})] == [
        "# mine", "", "# about the end", "broken",
    ]  # fmt: skip


# -- whether a reading obeys ----------------------------------------------------------------------------------


def test_a_reading_obeys_or_does_not() -> None:
    walk = read_talk(load_text("e4 e5 knight f3 knight c6 bishop b5", TalkFormat.TYPED, "talk.md"))
    step = step_for(walk, Answer(3, 4, "Nf3"))
    assert step is not None and step.san == "Nf3"
    assert obeyed(walk, Answer(2, 4, "Nf3"))
    assert obeyed(walk, Answer(2, 4, "Nf3", step.before))
    assert not obeyed(walk, Answer(2, 4, "Nc3"))
    assert not obeyed(walk, Answer(2, 4, "Nf3", step.after))
    assert not obeyed(walk, Answer(2, 4, ""))
    assert obeyed(read_talk(walk.talk, answers=[Answer(6, 8, "")]), Answer(6, 8, ""))
