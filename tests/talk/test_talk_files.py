"""Which files of a folder are talks: for courses, for the desk, for what to do next."""

from __future__ import annotations

from pathlib import Path

import pytest

from linewright.cli.terminal.next_steps import next_steps
from linewright.desk.files.folder import Folder
from linewright.desk.files.versions import Versions
from linewright.talk.load import (
    CAPTION_SUFFIXES,
    EDITED_SUFFIXES,
    PLAYED_SUFFIXES,
    RECORDING_SUFFIXES,
    SUFFIXES,
    TALK_SUFFIXES,
    TYPED_SUFFIXES,
)
from linewright.talk.talk_files import SourceTalk, source_talk, talk_stem, talks_in


def test_every_suffix_that_settles_a_format_is_a_talk_s() -> None:
    assert set(SUFFIXES) <= set(TALK_SUFFIXES)
    assert set(EDITED_SUFFIXES) == {suffix for suffix in TALK_SUFFIXES if not suffix.endswith(".json")}
    assert len(set(TALK_SUFFIXES)) == len(TALK_SUFFIXES)
    assert set(PLAYED_SUFFIXES) < set(RECORDING_SUFFIXES)


@pytest.mark.parametrize("suffix", [*TALK_SUFFIXES, ".MD", ".Srt"])
def test_a_talk_of_each_suffix_is_found_for_a_course_and_on_the_desk(tmp_path: Path, suffix: str) -> None:
    folder = tmp_path / "talks"
    folder.mkdir()
    (folder / f"a talk{suffix}").write_text("e4")
    assert [path.name for path in talks_in(folder)] == [f"a talk{suffix}"]
    listed = [talk.name for talk in Folder(folder, Versions(tmp_path / "versions")).talks()]
    edited = not suffix.endswith("json")
    assert listed == ([f"a talk{suffix}"] if edited else []), "a program's file is no page's to edit"


@pytest.mark.parametrize("suffix", [*TYPED_SUFFIXES, *CAPTION_SUFFIXES, ".words.json"])
def test_what_to_do_next_names_a_talk_of_each_suffix(tmp_path: Path, suffix: str) -> None:
    (tmp_path / f"slav{suffix}").write_text("e4")
    assert f"linewright check slav{suffix}" in "\n".join(next_steps(tmp_path))


def test_what_to_do_next_takes_no_data_file_for_a_talk(tmp_path: Path) -> None:
    (tmp_path / "package.json").write_text("{}")
    assert "package.json" not in "\n".join(next_steps(tmp_path))


@pytest.mark.parametrize(
    ("files", "recording", "comment"),
    [
        (("slav.mp3",), "slav.mp3", "beside it under its name"),
        (("slav.wav", "slav.mp4"), "slav.mp4", "of two the one with a picture"),
        (("other.mp3", "slav.mkv", "slav.md"), None, "another's, or none that browsers play"),
    ],
)
def test_the_recording_beside_a_talk(
    tmp_path: Path, files: tuple[str, ...], recording: str | None, comment: str
) -> None:
    for name in files:
        (tmp_path / name).write_bytes(b"")
    for talk in ("slav.vtt", "slav.words.json"):
        expected = SourceTalk(tmp_path / talk, tmp_path / recording if recording else None)
        assert source_talk(tmp_path / talk) == expected, comment
    assert talk_stem(Path("a.b.vtt")) == "a.b"


def test_the_desk_shows_the_recording_that_a_course_plays(tmp_path: Path) -> None:
    folder = tmp_path / "talks"
    folder.mkdir()
    for name in ("slav.vtt", "slav.aac", "slav.wav", "slav.mp4"):
        (folder / name).write_text("")
    (listed,) = Folder(folder, Versions(tmp_path / "versions")).talks()
    assert folder / listed.recording == source_talk(folder / "slav.vtt").recording
