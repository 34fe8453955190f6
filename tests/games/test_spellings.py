"""One player or two: spellings of names, joined where the games allow it."""

from __future__ import annotations

from pathlib import Path

import duckdb
import pytest

from linewright.games.api import GamesBase, Spelling, add_games, like_names, same_players
from tests.games.games import pgn


def spelling(
    name: str, games: int = 5, first: int | None = 2000, last: int | None = 2005, rating: float | None = None
) -> Spelling:
    return Spelling(name, games, first, last, rating)


AMBER = spelling("Amber, Ada")
CASES = [
    # spellings, names joined, why
    ([AMBER, spelling("Amber, A.")], {"Amber, A.": "Amber, Ada"}, "an initial, and nobody else of that name"),
    ([AMBER, spelling("A Amber")], {"A Amber": "Amber, Ada"}, "the other federation's style"),
    ([AMBER, spelling("Ada Amber")], {"Ada Amber": "Amber, Ada"}, "written out"),
    ([AMBER, spelling("Amber,Ada", 9)], {"Amber, Ada": "Amber,Ada"}, "the same parts: the more used spelling"),
    ([AMBER, spelling("Ambér, Ada")], {"Amber, Ada": "Ambér, Ada"}, "accents"),
    ([AMBER, spelling("Amber A")], {"Amber A": "Amber, Ada"}, "the initial last"),
    ([AMBER, spelling("Amber, Alma"), spelling("Amber, A.")], {}, "two whom the initial fits"),
    ([AMBER, spelling("Amber, B.")], {}, "another initial"),
    ([AMBER, spelling("Amber")], {}, "a surname alone says too little"),
    ([AMBER, spelling("Ambers, A.")], {}, "another surname"),
    ([AMBER, spelling("Amber, A.", first=1950, last=1960)], {}, "forty years before"),
    ([AMBER, spelling("Amber, A.", first=None, last=None)], {"Amber, A.": "Amber, Ada"}, "undated"),
    ([spelling("Amber, Ada", rating=2600), spelling("Amber, A.", rating=1400)], {}, "ratings far apart"),
    ([spelling("Amber, Ada1"), spelling("Amber, Ada")], {}, "a number tells namesakes apart"),
]


@pytest.mark.parametrize(("spellings", "joined", "why"), CASES, ids=[case[2] for case in CASES])
def test_who_is_one_player(spellings: list[Spelling], joined: dict[str, str], why: str) -> None:
    found = same_players(spellings, {})
    assert {name: player for name, player in found.items() if name != player} == joined
    assert same_players(spellings[::-1], {}) == found


def test_two_who_met_are_two() -> None:
    met = {"Amber, Ada": frozenset({"Amber, A."}), "Amber, A.": frozenset({"Amber, Ada"})}
    assert same_players([AMBER, spelling("Amber, A.")], met) == {"Amber, Ada": "Amber, Ada", "Amber, A.": "Amber, A."}


@pytest.mark.parametrize(
    ("one", "other", "like"),
    [
        ("Nimzowitsch, Aron", "Nimzovich, A", True),
        ("Amber, Ada", "A Amber", True),
        ("Amber, Ada", "", True),
        ("Amber, Ada", "Amber, Bea", False),
        ("Amber, Ada", "Birch, Ada", False),
        ("Yusupov, Artur", "Jusupow, A.", True),
    ],
)
def test_like_names(one: str, other: str, like: bool) -> None:
    assert like_names(one, other) is like is like_names(other, one)


def test_the_base_notes_them(tmp_path: Path) -> None:
    games = [
        pgn("1. e4", White="Amber, Ada"),
        pgn("1. d4", White="A Amber"),
        pgn("1. c4", White="Cedar, Cy", Black="Cedar, C"),
        pgn("1. f4", White="Dogwood, Di"),
    ]
    (tmp_path / "g.pgn").write_text("".join(games))
    add_games(tmp_path / "b.duckdb", [tmp_path / "g.pgn"])
    with duckdb.connect(tmp_path / "b.duckdb", read_only=True) as con:
        assert con.execute("SELECT * FROM spellings").fetchall() == [("A Amber", "Amber, Ada")]
    with GamesBase.open(tmp_path / "b.duckdb") as base:
        assert base.info().players == 5  # Amber, Birch, Dogwood, and two of the name of Cedar
