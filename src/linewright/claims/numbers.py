"""Numbers as trainers say them."""

from __future__ import annotations

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


def ordinal(word: str) -> int | None:
    """The value of ``"third"``; None when it is no ordinal up to the twentieth."""
    return _ORDINALS.get(word)
