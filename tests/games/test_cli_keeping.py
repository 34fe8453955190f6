"""The commands that keep a base: remove, export, upgrade, and adding in parts."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from typer.testing import CliRunner

from linewright.cli.base.commands import app
from tests.games.games import movetext, pgn, random_game


@pytest.fixture
def base(tmp_path: Path) -> Path:
    for name, numbers in (("one", range(3)), ("two", range(2, 6))):
        text = "".join(pgn(movetext(random_game(n, 40)), "1-0", White=f"Player {n}") for n in numbers)
        (tmp_path / f"{name}.pgn").write_text(text)
    path = tmp_path / "b.duckdb"
    run("add", str(tmp_path / "one.pgn"), str(tmp_path / "two.pgn"), "--base", str(path))
    return path


def run(*words: str, code: int = 0) -> str:
    result = CliRunner().invoke(app, list(words))
    assert result.exit_code == code, result.output
    return result.output


def test_remove(base: Path, tmp_path: Path) -> None:
    source = str(tmp_path / "one.pgn")
    assert run("remove", "one.pgn", "--base", str(base)) == (
        f"{base}: 2 games of {source} removed; 1 is kept, since another source has it too.\n"
    )
    told = json.loads(run("remove", "two.pgn", "--base", str(base), "--json"))
    assert (told["removed"], told["kept"]) == (4, 0)
    assert 'has no source "two.pgn"' in run("remove", "two.pgn", "--base", str(base), code=2)


def test_export(base: Path, tmp_path: Path) -> None:
    out = tmp_path / "out.pgn"
    assert run("export", str(out), "--base", str(base)) == f"{out}: 6 games written.\n"
    assert out.read_text().count("[Event ") == 6
    assert "exists" in run("export", str(out), "--base", str(base), code=2)
    run("export", str(out), "--base", str(base), "--force", "--source", "one.pgn")
    assert out.read_text().count("[Event ") == 3


def test_upgrade(base: Path) -> None:
    assert run("upgrade", "--base", str(base)) == f"{base}: up to date.\n"


def test_adding_in_parts(base: Path, tmp_path: Path) -> None:
    pytest.importorskip("distributed", reason="needs the extra linewright[cluster]")
    parts = tmp_path / "parts"
    files = [str(tmp_path / "one.pgn"), str(tmp_path / "two.pgn")]
    assert "6 games added" in run("add", "--on", "local", "--base", str(parts), *files)
    in_parts, in_file = (json.loads(run("info", "--base", str(path), "--json")) for path in (parts, base))
    assert {**in_parts, "path": 0, "size": 0} == {**in_file, "path": 0, "size": 0}
    assert "is a folder" in run("add", "--base", str(parts), *files, code=2)
