"""Files of any kind: encodings, telling formats, and never anything but a talk or a clear refusal."""

from __future__ import annotations

import codecs
import json
import os
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from linewright.support.errors import UnusableInput
from linewright.talk import captions
from linewright.talk.load import TalkFormat, kind_of, load_talk, load_text
from linewright.talk.model import Talk

TEXT = "Zunächst ♘f3, naïve!"


@pytest.mark.parametrize(
    ("data", "noted"),
    [
        (TEXT.encode(), False),
        (codecs.BOM_UTF8 + TEXT.encode(), False),
        (codecs.BOM_UTF16_LE + TEXT.encode("utf-16-le"), False),
        (codecs.BOM_UTF16_BE + TEXT.encode("utf-16-be"), False),
    ],
    ids=["utf-8", "utf-8 with mark", "utf-16-le", "utf-16-be"],
)
def test_encodings(tmp_path: Path, data: bytes, noted: bool) -> None:
    file = tmp_path / "talk.txt"
    file.write_bytes(data)
    talk = load_talk(file)
    assert talk.text == TEXT
    assert bool(talk.notes) == noted
    assert talk.words[0].at == (0, 8)


def test_western_letters_that_are_no_utf8_are_noted(tmp_path: Path) -> None:
    file = tmp_path / "talk.txt"
    file.write_bytes("Zunächst “Sf3” – naïve".encode("cp1252"))
    talk = load_talk(file)
    assert talk.text == "Zunächst “Sf3” – naïve"
    assert "UTF-8" in talk.notes[0]


def test_a_file_cut_inside_a_character(tmp_path: Path) -> None:
    file = tmp_path / "talk.txt"
    file.write_bytes(TEXT.encode()[: len("Zunächst ♘".encode()) - 1])
    talk = load_talk(file)
    assert talk.text == "Zunächst "
    assert "cut" in talk.notes[0]


@pytest.mark.parametrize(
    ("text", "kind"),
    [
        ("e4 e5", TalkFormat.TYPED),
        ("1. e4 e5\n2. Nf3", TalkFormat.TYPED),
        ("{start: 8/8/8/8/8/8/8/K1k5 w - - 0 1} so", TalkFormat.TYPED),
        ('[Event "x"]', TalkFormat.TYPED),
        ("WEBVTT\n\n", TalkFormat.WEBVTT),
        ("WEBVTT - a title\n", TalkFormat.WEBVTT),
        ("WEBVTTX\n", TalkFormat.TYPED),
        ("1\n00:00:01,000 --> 00:00:02,000\ne4", TalkFormat.SUBRIP),
        ("\n00:00:01,000 --> 00:00:02,000\ne4", TalkFormat.SUBRIP),
        ('{"words": []}', TalkFormat.RECOGNISER),
        ('[\n {"word": "e4"}]', TalkFormat.RECOGNISER),
    ],
)
def test_formats_are_told_by_their_beginning(text: str, kind: TalkFormat) -> None:
    assert kind_of(text) is kind


def test_the_suffix_settles_the_format(tmp_path: Path) -> None:
    file = tmp_path / "notes.md"
    file.write_text("WEBVTT is a format")
    assert load_talk(file).words[0].text == "WEBVTT"
    file = tmp_path / "captions.txt"
    file.write_text("WEBVTT\n\n00:01.000 --> 00:02.000\ne4\n")
    assert [w.text for w in load_talk(file).words] == ["e4"]


def refusal(path: Path) -> str:
    with pytest.raises(UnusableInput) as caught:
        load_talk(path)
    message = str(caught.value)
    assert "\n" not in message
    assert message.startswith(str(path))
    assert caught.value.todo.endswith(".") or ":" in caught.value.todo
    return message


def test_refusals(tmp_path: Path) -> None:
    files = {
        "empty.txt": b"",
        "spaces.txt": b" \n\t\n",
        "marks.md": b"<!-- nothing -->\n---\n",
        "binary.txt": bytes(range(256)) * 4,
        "binary.vtt": b"\x00" * 64,
        "talk.mp3": b"ID3",
        "talk.docx": b"PK",
    }
    for name, data in files.items():
        (tmp_path / name).write_bytes(data)
    assert "empty" in refusal(tmp_path / "empty.txt")
    assert "no words" in refusal(tmp_path / "spaces.txt")
    assert "no words" in refusal(tmp_path / "marks.md")
    assert "not a text file" in refusal(tmp_path / "binary.txt")
    assert "not a text file" in refusal(tmp_path / "binary.vtt")
    assert "recording" in refusal(tmp_path / "talk.mp3")
    assert "docx" in refusal(tmp_path / "talk.docx")
    assert "folder" in refusal(tmp_path)
    assert "no such file" in refusal(tmp_path / "missing.txt")
    assert "no such file" in refusal(tmp_path / "missing.mp3")
    assert "can't be read" in refusal(tmp_path / ("x" * 300))


def test_a_file_of_endless_length_is_refused() -> None:
    if not Path("/dev/zero").exists():
        pytest.skip("needs /dev/zero")
    assert "too long" in refusal(Path("/dev/zero"))


@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() == 0, reason="root may read everything")
def test_no_permission_on_disk(tmp_path: Path) -> None:
    file = tmp_path / "talk.txt"
    file.write_text("e4")
    file.chmod(0)
    assert "permission" in refusal(file)


def test_no_permission(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    file = tmp_path / "talk.txt"
    file.write_text("e4")

    def refuse(self: Path, mode: str) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "open", refuse)
    assert "permission" in refusal(file)


def check_laws(talk: Talk) -> None:
    """What every talk keeps, whatever it was read from."""
    assert talk.words
    end = 0
    for word in talk.words:
        assert word.text
        assert word.at[0] >= end
        assert word.at[1] > word.at[0]
        end = word.at[1]
        assert word.start <= word.end
        assert word.place.line >= 1
        assert word.place.column >= 1
        assert word.confidence is None or 0 <= word.confidence <= 1
    assert end <= len(talk.text)
    assert all("\n" not in note and note.startswith(talk.source) for note in talk.notes)


@settings(deadline=None, max_examples=300, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.binary(max_size=300), st.sampled_from([".txt", ".md", ".vtt", ".srt", ".json", "", ".pgn"]))
def test_any_bytes_are_a_talk_or_refused(tmp_path: Path, data: bytes, suffix: str) -> None:
    file = tmp_path / f"talk{suffix}"
    file.write_bytes(data)
    try:
        talk = load_talk(file)
    except UnusableInput as error:
        assert "\n" not in str(error)
    else:
        check_laws(talk)


STAMPS = st.sampled_from(["00:01.000", "00:00:02,500", "00:02.500", "01:00:00.000", "00:61.000", "9:9", "x", ""])
LINES = st.one_of(
    st.builds("{} --> {}".format, STAMPS, STAMPS),
    st.builds("so <{}>e4 <c>d5".format, STAMPS),
    st.sampled_from(
        ["", "", "WEBVTT", "NOTE x", "STYLE", "1", "e4", "e4 e5 &amp; <v A>d4</v>", "<", "&#0;", "&#xD800;"]
    ),
    st.text(max_size=10),
)


@settings(deadline=None, max_examples=500)
@given(st.lists(LINES, max_size=14), st.sampled_from(["\n", "\r\n", "\r"]), st.sampled_from(TalkFormat))
def test_any_lines_are_a_talk_or_refused(lines: list[str], end: str, kind: TalkFormat) -> None:
    text = ("WEBVTT\n\n" if kind is TalkFormat.WEBVTT else "") + end.join(lines)
    try:
        talk = load_text(text, kind, "talk")
    except UnusableInput:
        return
    check_laws(talk)
    if kind is not TalkFormat.TYPED:
        assert all(talk.text[slice(*w.at)] == w.text for w in talk.words)


@settings(deadline=None, max_examples=300)
@given(
    st.lists(
        st.tuples(st.floats(0, 100), st.floats(0, 100), st.lists(st.sampled_from(["a", "bb", "ccc\n"]), min_size=1)),
        min_size=1,
        max_size=8,
    )
)
def test_times_stay_inside_their_cue(rows: list[tuple[float, float, list[str]]]) -> None:
    for start, length, parts in rows:
        pieces: list[tuple[str, int] | float] = []
        for i, part in enumerate(parts):
            pieces += [(letter, 0) for letter in part + " "]
            pieces.append(start + length * i / len(parts))
        cue = captions.ReadCue(start, start + length, captions.spoken(pieces))
        times = captions.word_times(cue)
        flat = [moment for pair in times for moment in pair]
        assert flat == sorted(flat)
        assert cue.start <= flat[0]
        assert flat[-1] <= cue.end


JSON_WORDS = st.lists(
    st.fixed_dictionaries(
        {"word": st.text(max_size=6)},
        optional={
            "start": st.floats() | st.integers() | st.none() | st.text(max_size=2),
            "end": st.floats() | st.integers() | st.booleans(),
            "p": st.floats(),
        },
    ),
    max_size=6,
)


@settings(deadline=None, max_examples=300)
@given(JSON_WORDS, st.booleans())
def test_any_recognisers_words_are_a_talk_or_refused(items: list[dict[str, object]], nested: bool) -> None:
    data = {"segments": [{"words": items}, *items]} if nested else {"words": items}
    try:
        talk = load_text(json.dumps(data), TalkFormat.RECOGNISER, "talk")
    except UnusableInput:
        return
    check_laws(talk)
    starts = [w.start for w in talk.words]
    assert starts == sorted(starts)
