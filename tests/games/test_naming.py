"""Which names are meant: styles of writing them, how fast games were, bands."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from linewright.games.api import parse_band
from linewright.games.ingest.time_control import Pace, pace_of
from linewright.games.names.name_lookup import matching, may_be, nearest, parse_name, surname
from linewright.games.names.name_similarity import _surnames, sound
from linewright.games.query.game_filter import Band
from linewright.support.errors import UnusableInput

STYLES = [
    # told, name in the base, may be the same
    ("Amber", "Amber, Ada", True),
    ("amber", "Amber,A", True),
    ("Ada Amber", "Amber, Ada", True),
    ("A. Amber", "Amber, Ada", True),
    ("Amber, A", "Amber, Ada", True),
    ("Amber Ada", "Amber, Ada", True),
    ("Ada Amber", "Amber,A", True),
    ("B Amber", "Amber, Ada", False),
    ("Amber, Bea", "Amber, Ada", False),
    ("Ada", "Amber, Ada", False),
    ("Ambers", "Amber, Ada", False),
    ("Jürgen Größer", "Grosser, Jurgen", True),
    ("van der Birk, Bo", "Van der Birk,B", True),
    ("Bo van der Birk", "Van der Birk, Bo", True),
    ("Cedar-Dogwood, Cy", "Cedar Dogwood,C", True),
    ("Elm Fir", "Elm Fir", True),
    ("Fir Elm", "Elm Fir", True),
    ("", "Amber, Ada", False),
    ("Amber", "", False),
]


@pytest.mark.parametrize(("told", "name", "same"), STYLES)
def test_styles_of_names(told: str, name: str, same: bool) -> None:
    assert may_be(told, name) is same
    assert may_be(name, told) is same
    assert matching(told, (name,)) == ((0,) if same else ())


@given(st.text(max_size=20), st.text(max_size=20))
def test_any_text_is_a_name_or_none(one: str, other: str) -> None:
    assert may_be(one, other) == may_be(other, one)
    assert may_be(one, one) is bool(parse_name(one).surname)


@given(st.text(max_size=30))
def test_a_surname_alone_is_that_of_the_whole_name(name: str) -> None:
    assert surname(name) == " ".join(parse_name(name).surname)


@given(st.lists(st.text("abcdeghijkoqsuvwxyzčšß '-,", max_size=12), min_size=1, max_size=8))
def test_names_sound_the_same_one_by_one_and_together(names: list[str]) -> None:
    surnames, sounds, _ = _surnames(tuple(names))
    assert sounds == tuple(map(sound, surnames))


def test_the_nearest_names_are_offered() -> None:
    assert nearest("Ambre", ("Amber, Ada", "Birch, Bo", "Cedar, Cy"))[:1] == ("Amber, Ada",)
    assert nearest("xq", ("Amber, Ada",)) == ()


PACES: list[tuple[str, str, Pace | None]] = [
    # PGN standard 9.6.1 for the tag; FIDE Laws of Chess 2023, A.1 and B.1 for the bounds
    ("40/7200:3600", "", "classical"),
    ("5400+30", "", "classical"),
    ("3600", "", "classical"),
    ("3599", "", "rapid"),
    ("900+10", "Any blitz", "rapid"),
    ("601", "", "rapid"),
    ("600", "", "blitz"),
    ("180+2", "", "blitz"),
    ("300+6", "", "rapid"),
    ("*180", "", None),
    ("?", "World Rapid 2099", "rapid"),
    ("-", "Blitz evening", "blitz"),
    ("", "Club rapidplay", "rapid"),
    ("", "Rapidan open", None),
    ("", "", None),
]


@pytest.mark.parametrize(("tag", "event", "pace"), PACES)
def test_paces(tag: str, event: str, pace: Pace | None) -> None:
    assert pace_of(tag, event) == pace


@pytest.mark.parametrize(
    ("text", "band"),
    [
        ("2400-2600", (2400, 2600)),
        ("2400-", (2400, None)),
        ("-2600", (None, 2600)),
        ("1999", (1999, 1999)),
        (" 10..20 ", (10, 20)),
        ("10–20", (10, 20)),
    ],
)
def test_bands(text: str, band: Band) -> None:
    assert parse_band(text, "moves") == band


@pytest.mark.parametrize("text", ["", "-", "high", "20-10", "1-2-3"])
def test_what_is_no_band_is_told(text: str) -> None:
    with pytest.raises(UnusableInput, match="moves"):
        parse_band(text, "moves")
