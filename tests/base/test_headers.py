"""Tag pairs: what is kept of them."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from linewright.base.headers import decode, plain_name, read_tags, year


def test_reads_what_is_known() -> None:
    tags = read_tags(
        '[Event "Club \\"A\\" \\\\ B"]\n[Site "?"]\n[Date "1992.11.04"]\n[Round "-"]\n[White "Amber, Ada"]\n'
        '[Black "Bïrch"]\n[Result "1-0"]\n[WhiteElo "2104"]\n[BlackElo "?"]\n[ECO "C95"]\n'
    )
    assert (tags.event, tags.site, tags.round, tags.eco) == ('Club "A" \\ B', "", "", "C95")
    assert (tags.white, tags.black, tags.half_points) == ("Amber, Ada", "Bïrch", 2)
    assert (tags.white_rating, tags.black_rating) == (2104, None)
    assert (tags.date, tags.year, tags.apart) == ("1992.11.04", 1992, None)


@pytest.mark.parametrize(
    ("tag", "kind"),
    [
        ('[FEN "8/8/8/8/8/8/8/K1k5 w - - 0 1"]', "set-up"),
        ('[SetUp "1"]', "set-up"),
        ('[FEN "rnbqkbnr/pppppppp/8/8/8/8/PPPPPPPP/RNBQKBNR w KQkq - 0 1"]', None),
        ('[SetUp "0"]', None),
        ('[Variant "Atomic"]', "variant"),
        ('[Variant "Standard"]', None),
    ],
)
def test_games_apart(tag: str, kind: str | None) -> None:
    apart = read_tags(tag).apart
    assert (apart[0] if apart else None) == kind


@pytest.mark.parametrize(
    ("date", "expected"),
    [("1992.11.04", 1992), ("1906.??.??", 1906), ("????.??.??", None), ("", None), ("04.11.1992", None),
     ("0001.01.01", None), ("1992", 1992), ("٢٠٢٠.01.01", None)],
)  # fmt: skip
def test_years(date: str, expected: int | None) -> None:
    assert year(date) == expected


@pytest.mark.parametrize("rating", ["", "?", "-", "99", "4001", "24a0", "-2400", "２４００", "99999"])
def test_what_is_no_rating(rating: str) -> None:
    assert read_tags(f'[WhiteElo "{rating}"]').white_rating is None


def test_decoding() -> None:
    assert decode("Bïrch".encode()) == decode("Bïrch".encode("latin-1")) == "Bïrch"


def test_names_for_telling_duplicates() -> None:
    assert plain_name("Bírch,  B.") == plain_name("birch, b") != plain_name("Birch, C.")


@given(st.text())
def test_no_text_is_too_bad(text: str) -> None:
    tags = read_tags(text)
    assert tags.half_points in (None, 0, 1, 2)
