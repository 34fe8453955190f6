"""Who played whom, against the games' own headers."""

from __future__ import annotations

from pathlib import Path

import pytest

from linewright.games.api import GamesBase, Player, add_games
from tests.games.games import STANDARD_SAMPLE, moves_to, pgn

GAMES = (
    pgn("1. e4 e5", White="Amber, Ada", Black="Birch, Bo", Date="2019.05.01")
    + pgn("1. d4 d5", White="Cedar, Cy", Black="Amber, Ada", Date="2021.??.??")
    + pgn("1. c4 e5", White="Amber, Ada", Black="Cedar, Cy", Date="2021.01.02")
    + pgn("1. Nf3 d5", White="Amber,A", Black="", Date="????.??.??")
    + STANDARD_SAMPLE
)


@pytest.fixture
def base(tmp_path: Path) -> GamesBase:
    file = tmp_path / "games.pgn"
    file.write_text(GAMES)
    path = tmp_path / "base.duckdb"
    add_games(path, [file])
    return GamesBase.open(path)


def test_players_with_games_and_years(base: GamesBase) -> None:
    with base:
        assert base.players() == (
            Player("Amber, Ada", 3, 2019, 2021),
            Player("Cedar, Cy", 2, 2021, 2021),
            Player("Amber,A", 1, None, None),
            Player("Birch, Bo", 1, 2019, 2019),
            Player("Fischer, Robert J.", 1, 1992, 1992),
            Player("Spassky, Boris V.", 1, 1992, 1992),
        )


@pytest.mark.parametrize(
    ("name", "year", "met"),
    [
        ("Amber, Ada", None, ("Cedar, Cy", "Birch, Bo")),
        ("Amber, Ada", 2019, ("Birch, Bo",)),
        ("Birch, Bo", 2021, ()),
        ("Amber,A", None, ()),
        ("nobody; DROP TABLE games", None, ()),
        ("Spassky, Boris V.", 1992, ("Fischer, Robert J.",)),
    ],
)
def test_opponents(base: GamesBase, name: str, year: int | None, met: tuple[str, ...]) -> None:
    with base:
        assert base.opponents(name, year) == met


def test_opponents_through_a_position(base: GamesBase) -> None:
    with base:
        assert base.opponents("Amber, Ada", through=moves_to("e4")) == ("Birch, Bo",)
        assert base.opponents("Amber, Ada", 2021, moves_to("c4")) == ("Cedar, Cy",)
        assert base.opponents("Amber, Ada", 2019, moves_to("c4")) == ()
