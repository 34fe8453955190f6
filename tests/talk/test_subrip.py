"""SubRip files as they are found. No standard exists: all rows are common practice."""

from __future__ import annotations

import pytest

from linewright.support.errors import UnusableInput
from linewright.talk.load import TalkFormat, load_text
from linewright.talk.model import Place, Talk


def srt(text: str) -> Talk:
    return load_text(text, TalkFormat.SUBRIP, "talk.srt")


PLAIN = "1\n00:00:01,000 --> 00:00:03,000\nKnight f3,\nhe said.\n\n2\n00:00:03,500 --> 00:00:05,000\nd5\n"

#: text, what is said, why
FILES = [
    (PLAIN, "Knight f3, he said. d5", "plain"),
    (PLAIN.replace("\n", "\r\n"), "Knight f3, he said. d5", "Windows line ends"),
    (PLAIN.replace(".\n\n2", ".\n2"), "Knight f3, he said. d5", "no blank line between cues"),
    (PLAIN.replace("1\n0", "0", 1).replace("2\n0", "0"), "Knight f3, he said. d5", "no numbers"),
    (PLAIN.replace("f3,\nhe", "f3,\n\nhe"), "Knight f3, he said. d5", "a blank line inside a cue"),
    (PLAIN.replace(",000", ".000"), "Knight f3, he said. d5", "dots in times"),
    (PLAIN.replace("3,000\n", "3,000 X1:40 X2:600 Y1:20 Y2:50\n"), "Knight f3, he said. d5", "coordinates"),
    (PLAIN.replace("d5", "1985\n7"), "Knight f3, he said. 1985 7", "numbers that are said"),
    (PLAIN.replace("d5", '<font color="#fff"><i>d5</i></font>{\\an8}!'), "Knight f3, he said. d5!", "tags"),
    (
        PLAIN.replace("d5", "{ring} 1 < 2 > 0 &amp; AT&T"),
        "Knight f3, he said. {ring} 1 < 2 > 0 & AT&T",
        "no tags",
    ),
    (PLAIN.replace("d5", "knight -> d5"), "Knight f3, he said. knight -> d5", "an arrow that is said"),
]


@pytest.mark.parametrize(("text", "words", "why"), FILES, ids=[row[2] for row in FILES])
def test_files(text: str, words: str, why: str) -> None:
    talk = srt(text)
    assert talk.text == words
    assert not talk.notes


def test_times_and_places() -> None:
    talk = srt(PLAIN)
    assert [(w.text, w.place) for w in talk.words][1:] == [
        ("f3,", Place(3, 8)),
        ("he", Place(4, 1)),
        ("said.", Place(4, 4)),
        ("d5", Place(8, 1)),
    ]
    assert (talk.words[-1].start, talk.words[-1].end) == (3.5, 5.0)


def test_broken_times_cost_one_cue() -> None:
    talk = srt(PLAIN.replace("00:00:01,000", "00:0x:01,000"))
    assert talk.text == "d5"
    assert talk.notes[0].startswith("talk.srt:2:1: ")


def test_a_cut_file_is_read_as_far_as_it_goes() -> None:
    for cut in range(PLAIN.index("f3"), len(PLAIN) - 1):
        talk = srt(PLAIN[:cut])
        assert "Knight f3, he said. d5".startswith(talk.text) or talk.text.startswith("Knight f3, he said.")
        assert talk.notes or PLAIN[:cut].endswith("\n")


def test_no_cues_is_no_talk() -> None:
    with pytest.raises(UnusableInput, match="no captions"):
        srt("only words\n")
