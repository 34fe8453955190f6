"""Numbers as trainers say them."""

from __future__ import annotations

import re
from collections.abc import Sequence

_UNITS = "zero one two three four five six seven eight nine ten".split()
_TEENS = "eleven twelve thirteen fourteen fifteen sixteen seventeen eighteen nineteen".split()
_TENS = "twenty thirty forty fifty sixty seventy eighty ninety".split()
_WORDS = {
    **{word: value for value, word in enumerate(_UNITS)},
    **{word: value for value, word in enumerate(_TEENS, 11)},
    **{word: 10 * value for value, word in enumerate(_TENS, 2)},
    "no": 0,
    "none": 0,
    "a": 1,
    "an": 1,
}

#: Regex of the small numbers that count pawns or pieces.
SMALL = r"(?:[0-8]|no|one|two|three|four|five|six|seven|eight)"


def number(words: str) -> int | None:
    """The value of ``"three"``, ``"3"``, ``"sixty five"``; None when it is no number."""
    total = 0
    for word in words.split():
        if word.isdecimal() and word.isascii():
            total += int(word)
        elif word in _WORDS:
            total += _WORDS[word]
        else:
            return None
    return total if words.strip() else None


_ORDINALS = {
    word: value
    for value, word in enumerate(
        "first second third fourth fifth sixth seventh eighth ninth tenth eleventh twelfth thirteenth fourteenth "
        "fifteenth sixteenth seventeenth eighteenth nineteenth twentieth".split(),
        1,
    )
}


def nth(times: int) -> str:
    """``"third"`` for 3; figures beyond the third, which positions seldom reach."""
    return {1: "first", 2: "second", 3: "third"}.get(times, f"{times}th")


def ordinal(word: str) -> int | None:
    """The value of ``"third"``; None when it is no ordinal up to the twentieth."""
    return _ORDINALS.get(word)


#: "Ninety-five", "nineteen", "twelve", "oh four": two digits of a year, as said.
_TWO_DIGITS = {
    **{f"{ten} {unit}": 10 * (n + 2) + m for n, ten in enumerate(_TENS) for m, unit in enumerate(_UNITS[1:10], 1)},
    **{ten: 10 * (n + 2) for n, ten in enumerate(_TENS)},
    **{teen: 11 + n for n, teen in enumerate(_TEENS)},
    **{f"oh {unit}": n for n, unit in enumerate(_UNITS) if n},
    "ten": 10,
}
_CENTURIES = {"eighteen": 1800, "nineteen": 1900, "twenty": 2000}
#: A year said by its last two digits needs something before it that a year is said of: a name or a comma.
_NAMED = re.compile(r"[A-ZÀ-Þ][\w'’-]*,?$|,$|\b(?:in|of|from|since)$")
#: What may not follow such a year: it would be counted ("seventy-nine games").
_COUNTED = re.compile(r"^(?:moves?|games?|percent|per|years?|points?|minutes?|pupils?|times|out|%|of|to|or)\b", re.I)


def spelled_years(words: Sequence[str]) -> dict[int, str]:
    """Years given in words: index of a word -> what to put for it, ``1979,`` for the first and ``""`` for the others.

    "Nineteen ninety-five", "two thousand and four", "twenty twelve"; with two digits only, "Tilburg seventy-nine",
    those of the twentieth century up to 99 and from 20 on, right after a name or a comma.
    """
    out: dict[int, str] = {}
    at = 0
    while at < len(words):
        year, count = _year_at(words, at)
        if year:
            tail = re.search(r"[^\w]*$", words[at + count - 1])
            out[at] = f"{year}{tail[0] if tail else ''}"
            out.update(dict.fromkeys(range(at + 1, at + count), ""))
        at += max(count, 1)
    return out


def _year_at(words: Sequence[str], at: int) -> tuple[int, int]:
    """The year said from a word on and by how many words; 0 and 0 for none."""
    said = [re.sub(r"[-–]", " ", re.sub(r"[^\w'’–-]", "", word)).lower() for word in words[at : at + 4]]
    if said[:2] == ["two", "thousand"]:
        for count, last in ((4, said[3:4] if said[2:3] == ["and"] else []), (3, said[2:3])):
            if last and (value := number(last[0])) and value < 100:
                return 2000 + value, count
        return 2000, 2
    for count in (3, 2):
        century, rest = _CENTURIES.get(said[0]), " ".join(said[1:count])
        if century and len(said) >= count and rest in _TWO_DIGITS and not re.search(r"[.,;]$", words[at]):
            return century + _TWO_DIGITS[rest], count
    for count in (2, 1):
        short = _TWO_DIGITS.get(" ".join(said[:count]), 0) if len(said) >= count else 0
        following = words[at + count] if at + count < len(words) else ""
        if short >= 20 and at and _NAMED.search(words[at - 1]) and not _COUNTED.match(following):
            return 1900 + short, count
    return 0, 0
