"""How alike words sound: spelling folded to a few classes of sound, then compared.

The folding is a rough one of our own for English ears (from memory of how such keys are made): vowels are one
class, voiced and unvoiced consonants that recognisers mix up are one, silent letters go.
"""

from __future__ import annotations

import re
import unicodedata
from functools import lru_cache

from rapidfuzz.distance import Levenshtein

#: What b for v (and the reverse) takes from a likeness of 1.
B_FOR_V = 0.05

#: What letters sound like, in this order; the right side uses one letter for each class of sound.
_RULES = tuple(
    (re.compile(pattern), sound)
    for pattern, sound in (
        (r"tsch|tch|sch|sh|ch", "S"),
        (r"gh|^k(?=n)|(?<= )k(?=n)|h", ""),
        (r"ph|v|w(?=[aeiou])", "f"),
        (r"ck|q|x|g|c(?![eiy])", "k"),
        (r"c|z", "s"),
        (r"d", "t"),
        (r"b", "p"),
        (r"j", "S"),
        (r"[aeiouyw]+", "a"),
    )
)


def folded(text: str) -> str:
    """Lower-case letters and digits without marks: ``"Grünfeld"`` is "grunfeld", ``"Pan-Ov"`` is "panov"."""
    plain = unicodedata.normalize("NFKD", text.lower().replace("ß", "ss").replace("ø", "o").replace("ł", "l"))
    return "".join(char for char in plain if char.isalnum())


@lru_cache(maxsize=65536)
def sound(text: str) -> str:
    """The sounds of a word or of words run together, a letter for each class; doubled sounds once."""
    plain = folded(text)
    for pattern, letter in _RULES:
        plain = pattern.sub(letter, plain)
    plain = re.sub(r"a+", "a", plain)
    return re.sub(r"(.)\1+", r"\1", plain)


@lru_cache(maxsize=65536)
def _sound_b_as_v(text: str) -> str:
    return sound(text.replace("b", "v").replace("B", "V"))


def alike(one: str, other: str) -> float:
    """How alike two words (or runs of words) sound, 0-1; b for v counts little.

    >>> alike("caro can", "Caro-Kann"), alike("queen", "rook") < 0.5
    (1.0, True)
    """
    plain = Levenshtein.normalized_similarity(sound(one), sound(other))
    mixed = Levenshtein.normalized_similarity(_sound_b_as_v(one), _sound_b_as_v(other))
    return max(plain, mixed - B_FOR_V)
