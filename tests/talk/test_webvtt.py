"""WebVTT against the W3C text.

The examples named "W3C" are those of "WebVTT: The Web Video Text Tracks Format", https://www.w3.org/TR/webvtt1/,
section 1 (Introduction), quoted from memory; the rows of ``CUE_TEXT`` follow the tokeniser of section 6.4.
"""

from __future__ import annotations

import re

import pytest

from linewright.support.errors import UnusableInput
from linewright.talk.load import TalkFormat, load_text
from linewright.talk.model import Place, Talk, Unit
from tests.support import TALKS, needs_shared


def vtt(text: str) -> Talk:
    return load_text(text, TalkFormat.WEBVTT, "talk.vtt")


def words(talk: Talk) -> list[tuple[str, float, float]]:
    return [(w.text, round(w.start, 3), round(w.end, 3)) for w in talk.words]


def cue(payload: str, times: str = "00:00.000 --> 00:10.000") -> Talk:
    return vtt(f"WEBVTT\n\n{times}\n{payload}\n")


COMMENTS = """WEBVTT - Translation of that film I like

NOTE
This translation was done by Kyle so that
some friends can watch it with their parents.

1
00:02:15.000 --> 00:02:20.000
- Ta en kopp varmt te.
- Det är inte varmt.

2
00:02:20.000 --> 00:02:25.000
- Har en kopp te.
- Det smakar som te.

NOTE This last line may not translate well.

3
00:02:25.000 --> 00:02:30.000
- Ta en kopp
"""

KARAOKE = """WEBVTT

00:16.500 --> 00:18.500
When the moon <00:17.500>hits your eye

00:00:18.500 --> 00:00:20.500
Like a <00:19.000>big-a <00:19.500>pizza <00:20.000>pie

00:00:20.500 --> 00:00:21.500
That's <00:00:21.000>amore
"""

STYLES = """WEBVTT

STYLE
::cue {
  background-image: linear-gradient(to bottom, dimgray, lightgray);
  color: papayawhip;
}
/* Style blocks cannot use blank lines nor "dash dash greater than" */

NOTE comment blocks can be used between style blocks.

STYLE
::cue(b) {
  color: peachpuff;
}

hello
00:00:00.000 --> 00:00:10.000
Hello <b>world</b>.

NOTE style blocks cannot appear after the first cue.
"""

REGIONS = """WEBVTT

REGION
id:fred
width:40%
lines:3
regionanchor:0%,100%
viewportanchor:10%,90%
scroll:up

00:00:00.000 --> 00:00:20.000 region:fred align:left
<v Fred>Hi, my name is Fred

00:00:02.500 --> 00:00:22.500 region:bill align:right
<v Bill>Hi, I’m Bill
"""


def test_w3c_comments_and_identifiers() -> None:
    talk = vtt(COMMENTS)
    assert talk.text == (
        "- Ta en kopp varmt te. - Det är inte varmt. - Har en kopp te. - Det smakar som te. - Ta en kopp"
    )
    assert not talk.notes
    assert talk.unit is Unit.SECONDS
    assert talk.words[0].place == Place(9, 1)
    assert talk.words[0].start == 135.0
    assert talk.words[-1].end == 150.0


def test_w3c_inner_time_stamps() -> None:
    starts = {text: start for text, start, _ in words(vtt(KARAOKE))}
    assert starts["hits"] == 17.5
    assert (starts["big-a"], starts["pizza"], starts["pie"], starts["amore"]) == (19.0, 19.5, 20.0, 21.0)
    assert [w[2] for w in words(vtt(KARAOKE)) if w[0] == "moon"] == [17.5]


def test_w3c_styles_and_regions_are_not_said() -> None:
    assert vtt(STYLES).text == "Hello world."
    assert vtt(REGIONS).text == "Hi, my name is Fred Hi, I’m Bill"
    assert not vtt(STYLES).notes
    assert not vtt(REGIONS).notes


#: payload, what is said, why
CUE_TEXT = [
    ("<v Roger Bingham>We are in New York City", "We are in New York City", "voice"),
    ("<v.loud Mary>That's</v> <c.yellow.bg_blue>c5</c>", "That's c5", "voice with classes, class span"),
    ("<i>Nf3</i><b>!</b>", "Nf3!", "tags inside a word"),
    ("Bob &amp; Ann, 1 &lt; 2 &gt; 0", "Bob & Ann, 1 < 2 > 0", "entities"),
    ("Bob &amp Ann", "Bob & Ann", "entity without semicolon, as HTML reads it"),
    ("knight&nbsp;f3", "knight f3", "no-break space parts words"),
    ("&lrm;e4&rlm; d5", "e4 d5", "marks of direction are no letters"),
    ("AT&T &unknown; &#9816;f3 &#x2658;d4", "AT&T &unknown; ♘f3 ♘d4", "numbers, and what is no entity"),
    ("<ruby>e4<rt>(check)</rt></ruby>", "e4(check)", "ruby"),
    ("<lang en>e4</lang> <unknown>d4</unknown>", "e4 d4", "language, unknown tag"),
    ("e4\nd5", "e4 d5", "two lines"),
]


@pytest.mark.parametrize(("payload", "text", "why"), CUE_TEXT, ids=[row[2] for row in CUE_TEXT])
def test_cue_text(payload: str, text: str, why: str) -> None:
    assert cue(payload).text == text


def test_places_are_those_of_the_file() -> None:
    talk = cue("<v Ann>so &amp; then\n<i>e4</i>, d5")
    assert [(w.text, w.place) for w in talk.words] == [
        ("so", Place(4, 8)),
        ("&", Place(4, 11)),
        ("then", Place(4, 17)),
        ("e4,", Place(5, 4)),
        ("d5", Place(5, 12)),
    ]


#: times line, start and end in seconds, or None where it is no times line
TIMES = [
    ("00:01.000 --> 00:04.000", (1.0, 4.0)),
    ("01:00:01.500 --> 123:00:04.000", (3601.5, 442804.0)),
    ("00:01.000 --> 00:04.000 line:0 position:20% align:start", (1.0, 4.0)),
    ("00:01.000-->00:04.000", (1.0, 4.0)),
    ("\t00:01.000\t-->\t00:04.000", (1.0, 4.0)),
    ("00:60.000 --> 00:04.000", None),
    ("00:01.000 --> ", None),
    ("--> 00:04.000", None),
]


@pytest.mark.parametrize(("line", "times"), TIMES)
def test_times(line: str, times: tuple[float, float] | None) -> None:
    talk = vtt(f"WEBVTT\n\n{line}\ne4\n\n99:00:00.000 --> 99:00:01.000\nend\n")
    if times is None:
        assert [w.text for w in talk.words] == ["end"]
        assert talk.notes[0].startswith("talk.vtt:3:1: ")
    else:
        assert words(talk)[0] == ("e4", *times)
        assert not talk.notes


def test_words_share_the_cue_by_their_characters() -> None:
    assert words(cue("knight f3 e5", "00:00.000 --> 00:12.000")) == [
        ("knight", 0.0, 6.0),
        ("f3", 7.0, 9.0),
        ("e5", 10.0, 12.0),
    ]


def test_a_pause_begins_a_paragraph() -> None:
    talk = vtt("WEBVTT\n\n00:00.000 --> 00:01.000\na\n\n00:02.900 --> 00:03.000\nb\n\n00:05.000 --> 00:06.000\nc\n")
    assert [w.paragraph for w in talk.words] == [0, 0, 1]
    assert talk.text == "a b\nc"


def test_line_ends_missing_blank_lines_and_missing_header() -> None:
    assert vtt("WEBVTT\r\n\r\n00:01.000 --> 00:02.000\r\ne4\r\n").text == "e4"
    assert vtt("WEBVTT\r00:01.000 --> 00:02.000\re4\r00:02.000 --> 00:03.000\re5\r").text == "e4 e5"
    talk = vtt("00:01.000 --> 00:02.000\ne4\n")
    assert talk.text == "e4"
    assert "WEBVTT" in talk.notes[0]


def test_cues_out_of_order_are_read_in_order() -> None:
    talk = vtt("WEBVTT\n\n00:05.000 --> 00:06.000\ne5\n\n00:01.000 --> 00:02.000\ne4\n")
    assert [w.text for w in talk.words] == ["e4", "e5"]
    assert len(talk.notes) == 1


LIVE = """WEBVTT

00:00.000 --> 00:02.000
so we start with

00:02.000 --> 00:04.000
so we start with
e4 he plays e6

00:04.000 --> 00:04.010
e4 he plays e6

00:04.010 --> 00:06.000
e4 he plays e6
d4 d5
"""


def test_live_captions_are_said_once() -> None:
    talk = vtt(LIVE)
    assert talk.text == "so we start with e4 he plays e6 d4 d5"
    assert [w.start for w in talk.words if w.text == "d4"] == [4.01]
    assert "3 cues" in talk.notes[0]


def test_growing_captions_are_said_once() -> None:
    parts = ["we", "we take", "we take on", "we take on d5", "we take on d5 now"]
    cues = "\n".join(f"00:0{i}.000 --> 00:0{i + 1}.000\n{part}\n" for i, part in enumerate(parts))
    assert vtt(f"WEBVTT\n\n{cues}").text == "we take on d5 now"


@pytest.mark.parametrize("same", ["takes", "knight takes d5"])
def test_what_is_said_twice_stays(same: str) -> None:
    cues = "\n".join(
        f"00:0{i}.000 --> 00:0{i + 1}.000\n{part}\n"
        for i, part in enumerate(["so", "he goes on", same, same, "and then we look", "at the board"])
    )
    assert vtt(f"WEBVTT\n\n{cues}").text == f"so he goes on {same} {same} and then we look at the board"


def test_a_file_cut_anywhere_is_read_as_far_as_it_goes() -> None:
    whole = [w.text for w in vtt(COMMENTS).words]
    first_words = COMMENTS.index("- Ta en") + 1
    for cut in range(first_words, len(COMMENTS)):
        talk = vtt(COMMENTS[:cut])
        got = [w.text for w in talk.words]
        assert got[:-1] == whole[: len(got) - 1]
        assert whole[len(got) - 1].startswith(got[-1])
        ends_cleanly = re.search(r"\n$", COMMENTS[:cut])
        assert talk.notes or ends_cleanly


def test_no_cues_is_no_talk() -> None:
    for text in ["WEBVTT\n", "WEBVTT\n\nNOTE only this\n", "WEBVTT\n\n00:01.000 --> 00:02.000\n\n", "words"]:
        with pytest.raises(UnusableInput, match="no captions"):
            vtt(text)


@needs_shared
def test_open_captions_lose_no_word() -> None:
    files = sorted(TALKS.glob("*.vtt"))
    assert files
    for file in files:
        text = file.read_text()
        payloads = [line for line in text.splitlines()[1:] if "-->" not in line]
        talk = vtt(text)
        assert [w.text for w in talk.words] == " ".join(payloads).split()
        assert not talk.notes
        assert all(a.start <= b.start for a, b in zip(talk.words, talk.words[1:], strict=False))
        lines = text.splitlines()
        assert all(lines[w.place.line - 1][w.place.column - 1 :].startswith(w.text) for w in talk.words)
