"""Files are written whole or not at all."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from linewright.support.atomic_write import beside, write


def test_a_new_file_has_any_new_files_permissions_and_an_old_one_keeps_its_own(tmp_path: Path) -> None:
    path, plain = tmp_path / "a.txt", tmp_path / "plain"
    plain.touch()
    write(path, b"one")
    assert path.stat().st_mode == plain.stat().st_mode
    path.chmod(0o600)
    write(path, b"two")
    assert (path.read_bytes(), path.stat().st_mode & 0o777) == (b"two", 0o600)
    write(path, b"three", keep_mode=False)
    assert (path.read_bytes(), path.stat().st_mode) == (b"three", plain.stat().st_mode)


@pytest.mark.parametrize("step", ["fsync", "replace"])
def test_a_failure_leaves_the_old_file_and_nothing_else(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, step: str
) -> None:
    path = tmp_path / "a.txt"
    path.write_bytes(b"mine")

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os if step == "fsync" else Path, step, full)
    with pytest.raises(OSError, match="No space"):
        write(path, b"new")
    monkeypatch.undo()
    assert [p.name for p in tmp_path.iterdir()] == ["a.txt"]
    assert path.read_bytes() == b"mine"


def test_what_lies_beside_takes_nobodys_place(tmp_path: Path) -> None:
    part = beside(tmp_path / "a.txt", b"new")
    assert part.read_bytes() == b"new" and not (tmp_path / "a.txt").exists()
