"""Numbers and years as trainers say them."""

from __future__ import annotations

import pytest

from linewright.language.numbers import number, spelled_years

NUMBERS = [("three", 3), ("3", 3), ("sixty five", 65), ("no", 0), ("", None), ("many", None), ("²", None)]


@pytest.mark.parametrize(("words", "value"), NUMBERS)
def test_numbers(words: str, value: int | None) -> None:
    assert number(words) == value


@pytest.mark.parametrize(
    ("text", "figures"),
    [
        ("in Rosenholm seventy-nine, and it took", "in Rosenholm 1979, and it took"),
        ("Dunmarsh nineteen ninety five was cold", "Dunmarsh 1995 was cold"),
        ("in two thousand and four, at home", "in 2004, at home"),
        ("since twenty twelve.", "since 2012."),
        ("he won in Dunmarsh, twenty moves", "he won in Dunmarsh, twenty moves"),
        ("Linde needed seventy-nine moves", "Linde needed seventy-nine moves"),
        ("nineteen games, twenty pupils", "nineteen games, twenty pupils"),
    ],
)
def test_years_in_words_are_written_in_figures(text: str, figures: str) -> None:
    words = text.split()
    years = spelled_years(words)
    assert " ".join(w for n, word in enumerate(words) if (w := years.get(n, word))) == figures
