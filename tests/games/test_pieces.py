"""Files cut ahead of their use, in a thread or in a process of its own: both give the same."""

from __future__ import annotations

import gzip
import os
import signal
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from linewright.games.ingest import file_blocks as cutting
from linewright.games.ingest.file_blocks import pieces, pieces_ahead
from linewright.support.errors import UnusableInput
from tests.games.games import pgn


def games(count: int) -> bytes:
    return "".join(pgn(f"1. e4 e5 {{game {n}}}", "1-0", White=f"Player {n}") for n in range(count)).encode()


def told(found: Any) -> list[tuple[str, int, bytes, list[list[int]]]]:
    return [
        (name, read, cut.data, [column.tolist() for column in (cut.starts, cut.texts, cut.ends, cut.lines, cut.flaws)])
        for name, read, cut in found
    ]


#: What a file may hold: whole, packed, packed and cut short, nothing.
FILES: list[tuple[str, bytes]] = [
    ("whole.pgn", games(300)),
    ("packed.pgn.gz", gzip.compress(games(300))),
    ("short.pgn.gz", gzip.compress(games(30_000))[:-2000]),
    ("damaged.pgn.gz", gzip.compress(games(1))[:12]),
    ("nothing.pgn", b""),
]


@pytest.fixture
def started(monkeypatch: pytest.MonkeyPatch) -> list[subprocess.Popen[bytes]]:
    """The processes that are started, for files of any size."""
    found: list[subprocess.Popen[bytes]] = []
    really = subprocess.Popen

    def start(*args: Any, **named: Any) -> subprocess.Popen[bytes]:
        found.append(really(*args, **named))
        return found[-1]

    monkeypatch.setattr(cutting, "LARGE", 0)
    monkeypatch.setattr(cutting.subprocess, "Popen", start)
    return found


@pytest.mark.parametrize(("name", "content"), FILES, ids=[name for name, _ in FILES])
def test_both_ways_give_the_same(
    name: str, content: bytes, tmp_path: Path, started: list[subprocess.Popen[bytes]]
) -> None:
    path = tmp_path / name
    path.write_bytes(content)
    here: list[str] = []
    there: list[str] = []
    assert told(pieces_ahead(path, there)) == told(pieces(path, here))
    assert there == here
    assert [process.returncode is not None for process in started] == [True]


def missing(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setattr(sys, "executable", str(tmp_path / "none"))


def unknown(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setattr(sys, "executable", "")


def failing(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    broken = tmp_path / "broken"
    broken.write_text("#!/bin/sh\nexit 1\n")
    broken.chmod(0o755)
    monkeypatch.setattr(sys, "executable", str(broken))


@pytest.mark.parametrize("spoil", [missing, unknown, failing])
def test_without_a_process_it_is_done_here(
    spoil: Callable[[pytest.MonkeyPatch, Path], None], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "g.pgn"
    path.write_bytes(games(5))
    spoil(monkeypatch, tmp_path)
    monkeypatch.setattr(cutting, "LARGE", 0)
    assert sum(len(cut) for _, _, cut in pieces_ahead(path, [])) == 5


def test_a_process_that_dies_in_between_is_told(tmp_path: Path, started: list[subprocess.Popen[bytes]]) -> None:
    path = tmp_path / "g.pgn"
    path.write_bytes(games(200_000))  # several blocks, more than a pipe holds
    found = pieces_ahead(path, [])
    next(found)
    os.kill(started[0].pid, signal.SIGKILL)
    with pytest.raises(UnusableInput, match=r"g.pgn broke off"):
        list(found)


def test_leaving_early_ends_the_process(tmp_path: Path, started: list[subprocess.Popen[bytes]]) -> None:
    path = tmp_path / "g.pgn"
    path.write_bytes(games(200_000))
    found = pieces_ahead(path, [])
    next(found)
    assert started[0].poll() is None
    found.close()  # type: ignore[attr-defined]  # a generator
    assert started[0].returncode is not None
