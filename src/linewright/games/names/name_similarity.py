"""How like a name as said is to the base's names, misheard and misspelled ones included."""

from __future__ import annotations

import re
from functools import lru_cache
from typing import Final

import numpy as np
import numpy.typing as npt
from rapidfuzz import process
from rapidfuzz.distance import Levenshtein

from linewright.games.names.name_lookup import parse_name, surname

Floats = npt.NDArray[np.float64]

#: Letters that sound alike across the spellings in use, written one way; then vowels count as one sound. A crude
#: phonetic code for names of all languages (common practice: Soundex and the like do the same for one).
_SOUNDS: Final = tuple(
    (re.compile(pattern), sound)
    for pattern, sound in (
        (r"tsch|tch|tzsch|cz|ch|č", "c"), (r"sch|sh|sz|š", "s"), (r"ph|pf|v|w", "f"), (r"ck|q|kh|c(?=[aouklr])|g", "k"),
        (r"tz|ts|z", "s"), (r"th|d", "t"), (r"x", "ks"), (r"j|y|ie|ij|ee|ey|ei", "i"), (r"h", ""), (r"b", "p"),
        (r"[aeiou]+", "a"), (r"(.)\1+", r"\1"),
    )
)  # fmt: skip

#: Sounding alike is a little less than being spelled alike.
_BY_SOUND: Final = 0.95


@lru_cache(maxsize=1 << 17)
def sound(word: str) -> str:
    """A word's sound, roughly: equal for spellings that are easily confused."""
    return _sounding(word)


def _sounding(text: str) -> str:
    """A text's sound; no line of it knows of the others, so that many words are done quickest as lines of one text."""
    for pattern, written in _SOUNDS:
        text = pattern.sub(written, text)
    return text


@lru_cache(maxsize=4)
def _surnames(names: tuple[str, ...]) -> tuple[tuple[str, ...], tuple[str, ...], npt.NDArray[np.int64]]:
    """The different surnames, how they sound, and each name's place among them."""
    places: dict[str, int] = {}
    of = np.array([places.setdefault(surname(name), len(places)) for name in names], dtype=np.int64)
    return tuple(places), tuple(_sounding("\n".join(places)).split("\n")), of


def likeness(said: str, names: tuple[str, ...]) -> Floats:
    """How like each name's surname is to the one said, 0-1 (1: spelled the same), shape (names,).

    By edit distance (Levenshtein), over the spelling and over the sound, whichever is nearer; a said name of several
    words is taken whole and by its surname.
    """
    surnames, sounds, of = _surnames(names)
    parsed = parse_name(said)
    forms = tuple({" ".join(parsed.surname), " ".join(parsed.words)} - {""})
    if not forms or not surnames:
        return np.zeros(len(names))
    spelled = process.cdist(forms, surnames, scorer=Levenshtein.normalized_similarity).max(axis=0)
    heard = process.cdist([sound(form) for form in forms], sounds, scorer=Levenshtein.normalized_similarity).max(axis=0)
    best: Floats = np.maximum(spelled, _BY_SOUND * heard).astype(np.float64)[of]
    return best


def evidence(likenesses: Floats, games: npt.NDArray[np.int64], penalty: float, least: float) -> Floats:
    """What a name so like the one said says for a game, in nats (natural log-odds), shape (names,).

    The logarithm of how seldom a game has a player whose name is as like the one said, or more; less a penalty for
    what is misspelled, and never below ``least``: the speaker may have mixed up the players.

    :param games: of each name, shape (names,).
    :param penalty: nats for a name with nothing right in it.
    """
    order = np.argsort(-likenesses, kind="stable")
    counts = np.cumsum(games[order]).astype(np.float64)
    ordered = likenesses[order]
    # All names as like as this one count, those that come behind it in the order too.
    last_alike = np.searchsorted(-ordered, -ordered, side="right") - 1
    part = np.minimum(counts[last_alike] / max(float(games.sum()) / 2, 1.0), 1.0)
    found = np.empty(len(likenesses))
    found[order] = -np.log(np.maximum(part, 1e-12))
    return np.maximum(found - penalty * (1 - likenesses), least)
