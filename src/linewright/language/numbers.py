"""Numbers as trainers say them; the words stand in ``numbers.toml`` of each language."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

from linewright.language.patterns import listed
from linewright.language.tables import ENGLISH, Language


@dataclass(frozen=True, eq=False)
class NumberWords:
    """A language's number words.

    :param cardinals: value by word, the tens and the words that only count as numbers ("no", "a") with them.
    :param ordinals: value by word, from 1.
    :param two_digits: value of two digits of a year, as said.
    """

    units: tuple[str, ...]
    teens: tuple[str, ...]
    tens: tuple[str, ...]
    cardinals: dict[str, int]
    ordinals: dict[str, int]
    two_digits: dict[str, int]


@cache
def number_words(language: Language = ENGLISH) -> NumberWords:
    """The number words of a language."""
    table = language.table("numbers")
    units, teens, tens = table.listed("units"), table.listed("teens"), table.listed("tens")
    cardinals = {word: value for value, word in enumerate(units)}
    cardinals |= {word: value for value, word in enumerate(teens, 11)}
    cardinals |= {word: 10 * value for value, word in enumerate(tens, 2)}
    cardinals |= {word: int(value) for word, value in table.mapping("more").items()}
    zero = table.get("years.zero", "")
    two_digits = {f"{ten} {unit}": 10 * n + m for n, ten in enumerate(tens, 2) for m, unit in enumerate(units[1:10], 1)}
    two_digits |= {ten: 10 * n for n, ten in enumerate(tens, 2)}
    two_digits |= {teen: n for n, teen in enumerate(teens, 11)}
    two_digits |= {f"{zero} {unit}": n for n, unit in enumerate(units) if n}
    two_digits |= dict.fromkeys(units[10:11], 10)
    ordinals = {word: value for value, word in enumerate(table.listed("ordinals"), 1)}
    return NumberWords(units, teens, tens, cardinals, ordinals, two_digits)


def figures(language: Language = ENGLISH) -> dict[str, str]:
    """The figures of the numbers from one to twenty: ``"4"`` for "four"."""
    known = number_words(language)
    words = (*known.units[1:], *known.teens, *known.tens[:1])
    return {word: str(value) for value, word in enumerate(words, 1)}


def number(words: str, language: Language = ENGLISH) -> int | None:
    """The value of ``"three"``, ``"3"``, ``"sixty five"``; None when it is no number."""
    known = number_words(language).cardinals
    total = 0
    for word in words.split():
        if word.isdecimal() and word.isascii():
            total += int(word)
        elif word in known:
            total += known[word]
        else:
            return None
    return total if words.strip() else None


def ordinal(word: str, language: Language = ENGLISH) -> int | None:
    """The value of ``"third"``; None when it is no ordinal up to the twentieth."""
    return number_words(language).ordinals.get(word)


# -- years -------------------------------------------------------------------------------------------------


@dataclass(frozen=True, eq=False)
class YearWords:
    """How a language says years.

    :param centuries: value by the word that a year begins with.
    :param said_of: ends of a word before a year's last two digits that a year is said of: a name, a comma, "in".
    :param counted: what may not follow such a year, which would be counted then.
    """

    centuries: dict[str, int]
    thousands: list[str]
    joined: str
    said_of: re.Pattern[str]
    counted: re.Pattern[str]


@cache
def year_words(language: Language = ENGLISH) -> YearWords:
    """How a language says years."""
    table = language.table("numbers")
    before = listed(str(table.get("years.said_of", "(?!)")))
    return YearWords(
        {word: int(value) for word, value in table.mapping("years.centuries").items()},
        str(table.get("years.thousands", "")).split(),
        str(table.get("years.and", "")),
        re.compile(rf"[A-ZÀ-Þ][\w'’-]*,?$|,$|\b{before}$"),
        re.compile(rf"^(?:{listed(str(table.get('years.counted', '(?!)')))}\b|%)", re.I),
    )


def spelled_years(words: Sequence[str], language: Language = ENGLISH) -> dict[int, str]:
    """Years given in words: index of a word -> what to put for it, ``1979,`` for the first and ``""`` for the others.

    "Nineteen ninety-five", "two thousand and four", "twenty twelve"; with two digits only, "Tilburg seventy-nine",
    those of the twentieth century up to 99 and from 20 on, right after a name or a comma.
    """
    out: dict[int, str] = {}
    at = 0
    while at < len(words):
        year, count = _year_at(words, at, language)
        if year:
            tail = re.search(r"[^\w]*$", words[at + count - 1])
            out[at] = f"{year}{tail[0] if tail else ''}"
            out.update(dict.fromkeys(range(at + 1, at + count), ""))
        at += max(count, 1)
    return out


def _year_at(words: Sequence[str], at: int, language: Language) -> tuple[int, int]:
    """The year said from a word on and by how many words; 0 and 0 for none."""
    said = [re.sub(r"[-–]", " ", re.sub(r"[^\w'’–-]", "", word)).lower() for word in words[at : at + 4]]
    known, digits = year_words(language), number_words(language).two_digits
    if said[:2] == known.thousands:
        for count, last in ((4, said[3:4] if said[2:3] == [known.joined] else []), (3, said[2:3])):
            if last and (value := number(last[0], language)) and value < 100:
                return 2000 + value, count
        return 2000, 2
    for count in (3, 2):
        century, rest = known.centuries.get(said[0]), " ".join(said[1:count])
        if century and len(said) >= count and rest in digits and not re.search(r"[.,;]$", words[at]):
            return century + digits[rest], count
    for count in (2, 1):
        short = digits.get(" ".join(said[:count]), 0) if len(said) >= count else 0
        following = words[at + count] if at + count < len(words) else ""
        if short >= 20 and at and known.said_of.search(words[at - 1]) and not known.counted.match(following):
            return 1900 + short, count
    return 0, 0
