from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linewright.hear.caption_cutting import LINE, LINES, LONGEST, SILENCE, cut
from linewright.hear.heard_words import HeardWord


def spoken(text: str, start: float = 0.0) -> list[HeardWord]:
    """Words at a talking pace: a breath after a full stop, a short one after a comma."""
    words, at = [], start
    for word in text.split():
        end = at + 0.06 * len(word) + 0.1
        words.append(HeardWord(word, at, end, 0.9))
        at = end + (0.6 if word[-1] in ".?!" else 0.2 if word[-1] == "," else 0.03)
    return words


def cues(text: str) -> list[list[str]]:
    return [list(cue.lines) for cue in cut(spoken(text))]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("", []),
        ("Good morning.", [["Good morning."]]),
        ("e4. e5. Knight f3.", [["e4. e5. Knight f3."]]),  # short sentences share a cue
        (
            "White has the bishop pair and a little more room here. Black has a solid position without weaknesses.",
            [
                ["White has the bishop pair", "and a little more room here."],
                ["Black has a solid position", "without weaknesses."],
            ],
        ),
    ],
)
def test_cues_part_where_the_speaker_does(text: str, expected: list[list[str]]) -> None:
    got = cues(text)
    assert " ".join(line for cue in got for line in cue).split() == text.split()
    assert len(got) == len(expected)
    for lines, wanted in zip(got, expected, strict=True):
        assert " ".join(lines) == " ".join(wanted)


def test_a_long_run_is_shared_out_evenly() -> None:
    run = "So we play e4, c6, d4, d5, e takes d5, c takes d5, c4, knight f6, knight c3, knight c6, bishop g5."
    made = cues(run)
    assert len(made) == 2
    assert min(len(" ".join(lines)) for lines in made) > len(run) / 3
    assert all(lines[-1].endswith((",", ".")) for lines in made)


def test_a_piece_stays_with_its_square() -> None:
    text = " ".join(["and then the knight f3 goes home again bishop b5 while queen e7"] * 12)
    for cue in cut(spoken(text)):
        for line in cue.lines:
            assert line.split()[-1] not in {"knight", "bishop", "queen", "the"}, cue


def test_no_cue_spans_a_silence() -> None:
    first = spoken("knight f3 and")
    words = [*first, *spoken("knight c6", start=first[-1].end + SILENCE)]
    assert [cue.lines for cue in cut(words)] == [("knight f3 and",), ("knight c6",)]


def test_a_word_longer_than_a_line_or_a_cue_stands_alone() -> None:
    long = "k" * (LINE + 1)
    words = [HeardWord("So", 0, 1, 0.9), HeardWord(long, 1, 1 + LONGEST + 5, 0.9), HeardWord("f3", 20, 21, 0.9)]
    middle = cut(words)[1]
    assert middle.lines == (long,)
    assert middle.end - middle.start == LONGEST


WORDS = st.lists(
    st.tuples(
        st.text("abcdefgh12345678,.?!'-&<>é", min_size=1, max_size=14),
        st.floats(0, 4, allow_nan=False),
        st.floats(0, 3, allow_nan=False),
    ),
    max_size=60,
)


@settings(deadline=None)
@given(WORDS)
def test_laws_of_cues(parts: list[tuple[str, float, float]]) -> None:
    words, at = [], 0.0
    for text, length, gap in parts:
        words.append(HeardWord(text, at, at + length, 0.5))
        at += length + gap
    made = cut(words)
    # Every word comes out once and in order.
    assert [w for cue in made for line in cue.lines for w in line.split()] == [w.text for w in words]
    for cue in made:
        assert 1 <= len(cue.lines) <= LINES
        assert all(len(line) <= LINE for line in cue.lines)
        assert cue.start <= cue.end <= cue.start + LONGEST + 1e-9
    assert all(a.start <= b.start and a.end <= b.start + 1e-9 for a, b in pairwise(made))


@settings(deadline=None)
@given(WORDS)
def test_cues_do_not_depend_on_what_is_said_before_a_silence(parts: list[tuple[str, float, float]]) -> None:
    words = spoken("so knight f3")
    later = spoken(" ".join(text for text, _, _ in parts), start=100)
    assert cut([*words, *later])[len(cut(words)) :] == cut(later)
