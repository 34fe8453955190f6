"""Building into folders: complete, repeatable, and never over someone else's file."""

from __future__ import annotations

import errno
import io
import json
import os
from dataclasses import replace
from pathlib import Path

import chess.pgn
import pytest
from hypothesis import given
from hypothesis import strategies as st

from linewright.lesson.walk import Walk
from linewright.publish import build as module
from linewright.publish.build import MANIFEST, build
from linewright.support.errors import UnusableInput
from linewright.support.slug import slug_of
from tests.publish.test_passages import short_walk
from tests.support import plain_talk

WALK = replace(short_walk(), talk=replace(short_walk().talk, title="The Scotch, in brief"))
HTML, PGN = "the-scotch-in-brief.html", "the-scotch-in-brief.pgn"


def test_two_files_and_a_manifest(tmp_path: Path) -> None:
    out = tmp_path / "new" / "folder"
    made = build(WALK, (), out)
    assert made == (out / HTML, out / PGN)
    assert sorted(p.name for p in out.iterdir()) == sorted([MANIFEST, HTML, PGN])
    game = chess.pgn.read_game(io.StringIO((out / PGN).read_text(encoding="utf-8")))
    assert game is not None
    assert [move.uci() for move in game.mainline_moves()] == ["e2e4"]
    assert (out / HTML).read_text(encoding="utf-8").startswith("<!DOCTYPE html>")


def test_building_again_and_another_talk_beside(tmp_path: Path) -> None:
    build(WALK, (), tmp_path)
    changed = replace(WALK, side="black")
    build(changed, (), tmp_path)
    assert "Black’s side" in (tmp_path / HTML).read_text(encoding="utf-8")
    other = Walk(plain_talk("hello", title="Other"), ())
    build(other, (), tmp_path)
    listed = json.loads((tmp_path / MANIFEST).read_text())["made"]
    assert set(listed) == {HTML, PGN, "other.html", "other.pgn"}
    assert all(len(digests) == 1 for digests in listed.values())


def refused(tmp_path: Path, *parts: str) -> None:
    before = {p.name: p.read_bytes() for p in tmp_path.iterdir() if p.is_file()}
    with pytest.raises(UnusableInput) as caught:
        build(replace(WALK, side="white"), (), tmp_path)
    assert all(part in str(caught.value) for part in (*parts, "--force")), str(caught.value)
    assert {p.name: p.read_bytes() for p in tmp_path.iterdir() if p.is_file()} == before


def test_a_folder_of_other_files_is_refused(tmp_path: Path) -> None:
    (tmp_path / "letter.txt").write_text("dear")
    refused(tmp_path, "letter.txt", "other files")
    build(WALK, (), tmp_path, force=True)
    assert (tmp_path / "letter.txt").read_text() == "dear"
    build(WALK, (), tmp_path)  # now it is ours too


def test_hidden_files_do_not_count(tmp_path: Path) -> None:
    (tmp_path / ".directory").write_text("")
    build(WALK, (), tmp_path)


def test_a_file_changed_by_hand_is_kept(tmp_path: Path) -> None:
    build(WALK, (), tmp_path)
    (tmp_path / PGN).write_text("my own notes")
    refused(tmp_path, PGN, "was changed since")
    build(WALK, (), tmp_path, force=True)
    assert "my own" not in (tmp_path / PGN).read_text()


def test_a_file_of_the_same_name_is_kept(tmp_path: Path) -> None:
    (tmp_path / HTML).write_text("mine")
    refused(tmp_path, HTML, "was not written by Linewright")


@pytest.mark.parametrize("content", ["", "{", "[]", '{"made": 3}', '{"made": {"a": null}}'])
def test_a_broken_manifest_gives_no_leave(tmp_path: Path, content: str) -> None:
    build(WALK, (), tmp_path)
    (tmp_path / PGN).write_text("mine")
    (tmp_path / MANIFEST).write_text(content)
    refused(tmp_path, "was not written by Linewright")


def test_a_build_cut_off_is_taken_up_again(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    build(WALK, (), tmp_path)
    real = module.write

    def full(path: Path, content: bytes, keep_mode: bool = True) -> None:
        if path.suffix == ".pgn":
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
        real(path, content, keep_mode)

    changed = replace(WALK, side="black")
    with monkeypatch.context() as patch:
        patch.setattr(module, "write", full)
        with pytest.raises(UnusableInput, match="No space left"):
            build(changed, (), tmp_path)
    build(changed, (), tmp_path)
    assert not [p for p in tmp_path.iterdir() if p.name.startswith(".")]


def test_no_leave_to_write(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "file").write_text("")
    with pytest.raises(UnusableInput, match="cannot write"):
        build(WALK, (), tmp_path / "file")

    def refuse(self: Path, target: Path) -> None:
        raise PermissionError(errno.EACCES, os.strerror(errno.EACCES))

    monkeypatch.setattr(Path, "replace", refuse)
    out = tmp_path / "out"
    with pytest.raises(UnusableInput, match="Permission denied"):
        build(WALK, (), out)
    assert list(out.iterdir()) == []


@pytest.mark.parametrize(
    ("title", "slug"),
    [
        (
            "The Panov attack against the Caro-Kann, for the second team",
            "the-panov-attack-against-the-caro-kann-for-the-second-team",
        ),
        ("Grünfeld: Black's way", "grunfeld-blacks-way"),
        ("../../etc/passwd", "etc-passwd"),
        ("国际象棋", "lesson"),
        ("", "lesson"),
    ],
)
def test_slugs(title: str, slug: str) -> None:
    assert slug_of(title) == slug


@given(st.text(max_size=200))
def test_any_title_is_a_file_name(title: str) -> None:
    slug = slug_of(title)
    assert 0 < len(slug) <= 60
    assert set(slug) <= set("abcdefghijklmnopqrstuvwxyz0123456789-")
