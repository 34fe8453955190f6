from __future__ import annotations

import json
import os
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linewright.hear.caption_cutting import CutCue, cut
from linewright.hear.caption_files import check_targets, is_ours, webvtt, words_json, words_path, write
from linewright.hear.heard_words import HeardWord
from linewright.support.errors import UnusableInput
from linewright.talk.decode import unsteered
from linewright.talk.load import TalkFormat, load_text
from tests.hear.doubles import said
from tests.hear.w3c import complaints

CUES = (CutCue(0, 1.5, ("Knight f3,", "and on.")), CutCue(1.5, 3723.25, ("R&D: a < b --> c",)))


def plain(text: str) -> list[HeardWord]:
    return [HeardWord(w.text.strip(), w.start, w.end, w.p) for w in said(text)]


def test_captions_as_the_w3c_text_writes_them() -> None:
    # Timestamps, escapes and comments: https://www.w3.org/TR/webvtt1/ sections 4.1 and 4.2.2.
    lines = webvtt(CUES, "heard in talk.ogg").splitlines()
    assert lines[:4] == ["WEBVTT", "", "NOTE", "heard in talk.ogg"]
    assert lines[5:] == [
        "",
        "00:00:00.000 --> 00:00:01.500",
        "Knight f3,",
        "and on.",
        "",
        "00:00:01.500 --> 01:02:03.250",
        "R&amp;D: a &lt; b --&gt; c",
    ]


@pytest.mark.parametrize(
    ("text", "wrong"),
    [
        ("WEBVTT\n\n00:00.000 --> 00:01.000\nfine &amp; well\n", False),
        ("WEBVTT heard\n\nNOTE a comment\n\nfirst\n00:00.000 --> 00:01.000 line:0\nfine\n", False),
        ("WEBVTT\n00:00.000 --> 00:01.000\nno blank line\n", True),
        ("webvtt\n\n00:00.000 --> 00:01.000\nno signature\n", True),
        ("WEBVTT\n\n0:00.000 --> 00:01.000\none digit\n", True),
        ("WEBVTT\n\n00:00.000 --> 00:00.000\nno time\n", True),
        ("WEBVTT\n\n00:02.000 --> 00:03.000\nb\n\n00:01.000 --> 00:02.000\na\n", True),
        ("WEBVTT\n\n00:00.000 --> 00:01.000\na < b\n", True),
        ("WEBVTT\n\n00:00.000 --> 00:01.000\nR&D\n", True),
        ("WEBVTT\n\nNOTE\n00:00.000 --> 00:01.000\nan arrow in a comment\n", True),
    ],
)
def test_the_checker_knows_the_rules(text: str, wrong: bool) -> None:
    assert bool(complaints(text)) is wrong


@settings(deadline=None)
@given(
    st.lists(st.tuples(st.text(min_size=1, max_size=20), st.floats(0, 9), st.floats(0, 3)), max_size=30),
    st.text(max_size=60),
)
def test_captions_are_valid_and_tell_every_word(parts: list[tuple[str, float, float]], by: str) -> None:
    words, at = [], 0.0
    for text, length, gap in parts:
        for run in text.split():
            words.append(HeardWord(run, at, at + length, 0.5))
            at += length + gap
    made = webvtt(cut(words), by)
    assert complaints(made) == []
    assert is_ours(made)
    if any(unsteered(run.text).strip(" \u200b\u200c\u200d\u200e\u200f\u2060\ufeff") for run in words):
        talk = load_text(made, TalkFormat.WEBVTT)
        assert not talk.notes or any("show again" in note for note in talk.notes)


def test_both_files_tell_the_same_talk() -> None:
    words = plain("So, e4, e5, knight f3 & knight c6. That's <it>.")
    captions = load_text(webvtt(cut(words)), TalkFormat.WEBVTT)
    timed = load_text(words_json(words), TalkFormat.RECOGNISER)
    assert captions.text == timed.text == " ".join(w.text for w in words)
    assert [(w.start, w.end, w.confidence) for w in timed.words] == [
        (pytest.approx(w.start, abs=1e-3), pytest.approx(w.end, abs=1e-3), w.p) for w in words
    ]
    assert not captions.notes and not timed.notes


def test_the_words_have_the_documented_shape() -> None:
    document = json.loads(words_json([HeardWord("“e4”,", 1.23456, 2, 0.98765)], "heard in talk.ogg"))
    assert document["words"] == [{"word": "“e4”,", "start": 1.235, "end": 2, "p": 0.988}]
    assert document["made"]["by"] == "heard in talk.ogg"


@pytest.mark.parametrize("text", [webvtt(CUES, "by"), words_json(plain("e4 e5"), "by")])
def test_what_was_edited_is_no_longer_ours(text: str) -> None:
    assert is_ours(text)
    assert not is_ours(text[:-2] + "x\n")
    assert not is_ours(text + "\nmore\n")
    assert not is_ours("WEBVTT\n\n00:00.000 --> 00:01.000\ne4\n")


def test_words_lie_beside_the_captions() -> None:
    assert words_path(Path("a/talk.two.vtt")) == Path("a/talk.two.words.json")


@pytest.fixture
def recording(tmp_path: Path) -> Path:
    path = tmp_path / "talk.ogg"
    path.write_bytes(b"sound")
    return path


def refused(captions: Path, recording: Path) -> str:
    with pytest.raises(UnusableInput) as caught:
        check_targets(captions, recording)
    assert "\n" not in str(caught.value)
    return str(caught.value)


def test_own_files_are_written_over_others_are_not(tmp_path: Path, recording: Path) -> None:
    captions = tmp_path / "talk.vtt"
    check_targets(captions, recording)
    write([(captions, webvtt(CUES)), (words_path(captions), words_json(plain("e4")))])
    check_targets(captions, recording)
    captions.write_text(captions.read_text().replace("Knight", "Night"))
    assert "--force" in refused(captions, recording)
    check_targets(captions, recording, force=True)
    captions.unlink()
    words_path(captions).write_text('{"words": []}')
    assert str(words_path(captions)) in refused(captions, recording)


def test_targets_that_cannot_be(tmp_path: Path, recording: Path) -> None:
    assert "talk.vtt" in refused(tmp_path / "talk.srt", recording)
    assert "no such folder" in refused(tmp_path / "none" / "talk.vtt", recording)
    (tmp_path / "dir.vtt").mkdir()
    assert "folder" in refused(tmp_path / "dir.vtt", recording)
    sound = recording.rename(tmp_path / "sound.vtt")
    assert "recording itself" in refused(sound, sound)


def test_stopping_while_writing_leaves_all_as_it_was(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    captions, words = tmp_path / "talk.vtt", tmp_path / "talk.words.json"
    captions.write_text("before")
    calls = []

    def stop(descriptor: int) -> None:
        calls.append(descriptor)
        if len(calls) == 2:
            raise KeyboardInterrupt

    monkeypatch.setattr(os, "fsync", stop)
    with pytest.raises(KeyboardInterrupt):
        write([(words, "new words"), (captions, "new captions")])
    assert [p.name for p in tmp_path.iterdir()] == ["talk.vtt"]
    assert captions.read_text() == "before"


def test_a_full_disk_is_told_in_one_line(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(descriptor: int) -> None:
        raise OSError(28, os.strerror(28))

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(UnusableInput, match="No space left"):
        write([(tmp_path / "talk.vtt", "text")])
    assert list(tmp_path.iterdir()) == []


def test_permissions_are_those_of_any_new_file(tmp_path: Path) -> None:
    (tmp_path / "plain").write_text("")
    write([(tmp_path / "talk.vtt", "text")])
    assert (tmp_path / "talk.vtt").stat().st_mode == (tmp_path / "plain").stat().st_mode
