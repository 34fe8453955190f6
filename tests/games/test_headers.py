"""Tag pairs: what is kept of them."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from linewright.games.api import read_tags
from linewright.games.ingest.headers import clean_date, decode, plain_name, year


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


DATES = [
    # as found, as PGN writes it (standard 8.1.1.3), comment
    ("1992.11.04", "1992.11.04", "as it should be"),
    ("1992.11.4", "1992.11.04", "a zero is missing"),
    ("1992-11-04", "1992.11.04", "ISO 8601"),
    ("1992/11/04", "1992.11.04", "year first is never read otherwise"),
    ("1992", "1992.??.??", "only the year"),
    ("1992.??.04", "1992.??.??", "a day without a month says nothing"),
    ("1992.13.04", "1992.??.??", "no such month"),
    ("1992.11.32", "1992.11.??", "no such day"),
    ("04.11.1992", "1992.11.04", "points: the day first"),
    ("25/12/1992", "1992.12.25", "only one can be the month"),
    ("12/25/1992", "1992.12.25", "only one can be the month"),
    ("3/4/1992", "1992.??.??", "could be either"),
    ("4/4/1992", "1992.04.04", "the same either way"),
    ("????.??.??", "????.??.??", "unknown"),
    ("", "????.??.??", "missing"),
    ("soon", "????.??.??", "no date"),
]


@pytest.mark.parametrize(("found", "expected", "why"), DATES)
def test_dates(found: str, expected: str, why: str) -> None:
    assert read_tags(f'[Date "{found}"]').date == expected, why
    assert clean_date(expected) == expected


RESULTS = [
    ("1-0", 2), ("0-1", 0), ("1/2-1/2", 1), ("1/2", 1), ("½-½", 1), ("0.5-0.5", 1), ("1:0", 2), ("0–1", 0),
    ("1 - 0", 2), ("*", None), ("?", None), ("", None), ("2-0", None), ("1-1", None),
]  # fmt: skip


@pytest.mark.parametrize(("result", "points"), RESULTS)
def test_results(result: str, points: int | None) -> None:
    assert read_tags(f'[Result "{result}"]').half_points == points


@pytest.mark.parametrize(("rating", "expected"), [("2104", 2104), (" 900 ", 900), ("1500P", 1500), ("2400.00", 2400)])
def test_ratings(rating: str, expected: int) -> None:
    assert read_tags(f'[WhiteElo "{rating}"]').white_rating == expected


def test_other_tags_are_kept_as_pgn() -> None:
    tags = read_tags('[Event "x"]\n[Opening "a \\"b\\" \\\\ c"]\n[WhiteTitle "GM"]\n[TimeControl "40/7200:3600"]\n')
    assert tags.others == '[Opening "a \\"b\\" \\\\ c"]\n[WhiteTitle "GM"]'
    assert tags.time_control == "40/7200:3600"


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
