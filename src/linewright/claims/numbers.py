"""Numbers as trainers say them."""

from __future__ import annotations

_WORDS = {
    "no": 0, "zero": 0, "none": 0, "a": 1, "an": 1, "one": 1, "won": 1, "single": 1, "two": 2, "to": 2, "too": 2, "both": 2,
    "pair": 2, "couple": 2, "three": 3, "four": 4, "for": 4, "five": 5, "six": 6, "seven": 7, "eight": 8, "nine": 9, "ten": 10,
    "twenty": 20, "thirty": 30, "forty": 40, "fifty": 50, "sixty": 60, "seventy": 70, "eighty": 80, "ninety": 90,
}  # fmt: skip

#: Regex of the small numbers that count pawns or pieces.
SMALL = r"(?:[0-8]|no|one|two|three|four|five|six|seven|eight)"


def number(words: str) -> int | None:
    """The value of ``"three"``, ``"3"``, ``"sixty five"``; None when it is no number."""
    total = 0
    for word in words.replace("-", " ").split():
        if word.isdigit():
            total += int(word)
        elif word in _WORDS:
            total += _WORDS[word]
        else:
            return None
    return total if words.strip() else None
