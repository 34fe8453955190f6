"""What the desk's tests share."""

from __future__ import annotations

from pathlib import Path

import pytest

import linewright.demo
from linewright.games.api import add_games


@pytest.fixture(scope="session")
def base(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A games base of the demo's invented games."""
    file = tmp_path_factory.mktemp("base") / "games.duckdb"
    add_games(file, [Path(linewright.demo.__file__).with_name("games.pgn")])
    return file
