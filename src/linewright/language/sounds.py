"""How alike words sound: spelling folded to a few classes of sound by each language's own rules, then compared.

There are two keys: the rough one for names, in which all vowels are alike, and one of consonants that keeps the vowels,
for short words of the board. What letters become stands in ``sounds.toml``.
"""

from __future__ import annotations

import re
import unicodedata
from functools import cache, lru_cache

from rapidfuzz.distance import Levenshtein

from linewright.language.tables import ENGLISH, Language

#: What b for v (and the reverse) takes from a likeness of 1.
B_FOR_V = 0.05
#: Words whose sounds are remembered.
KEPT = 65536


@cache
def _rules(name: str, language: Language) -> tuple[tuple[re.Pattern[str], str], ...]:
    return tuple((re.compile(letters), sound) for letters, sound in language.table("sounds").get(name, ()))


def folded(text: str) -> str:
    """Lower-case letters and digits without marks: ``"Grünfeld"`` is "grunfeld", ``"Pan-Ov"`` is "panov"."""
    plain = unicodedata.normalize("NFKD", text.lower().replace("ß", "ss").replace("ø", "o").replace("ł", "l"))
    return "".join(char for char in plain if char.isalnum())


@lru_cache(maxsize=KEPT)
def sound(text: str, language: Language = ENGLISH) -> str:
    """The sounds of a word or of words run together, a letter for each class; doubled sounds once."""
    plain = folded(text)
    for pattern, letter in _rules("key", language):
        plain = pattern.sub(letter, plain)
    return re.sub(r"(.)\1+", r"\1", plain)


@lru_cache(maxsize=KEPT)
def _sound_b_as_v(text: str) -> str:
    return sound(text.replace("b", "v").replace("B", "V"))


def consonants(words: str, language: Language = ENGLISH) -> str:
    """The words as one, their consonants brought to a common spelling.

    >>> consonants("cast less"), consonants("bish up")
    ('kastless', 'bijup')
    """
    out = words.lower()
    for pattern, letter in _rules("consonants", language):
        out = pattern.sub(letter, out)
    return out


def alike(one: str, other: str) -> float:
    """How alike two words (or runs of words) sound, 0-1; b for v counts little.

    >>> alike("caro can", "Caro-Kann"), alike("queen", "rook") < 0.5
    (1.0, True)
    """
    plain = Levenshtein.normalized_similarity(sound(one), sound(other))
    mixed = Levenshtein.normalized_similarity(_sound_b_as_v(one), _sound_b_as_v(other))
    return max(plain, mixed - B_FOR_V)
