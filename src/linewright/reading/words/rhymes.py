"""What letters, figures and pieces may be misheard as although nobody has counted it: rhymes, homophones, glued words.

A backstop below the counted table of ``soundalikes``: each class of confusion has one price.

The rhyming letters are the "e-set" and its sisters, the hardest letters for recognisers (R. Cole et al., "The ISOLET
spoken letter database", 1990, from memory): b c d e g p t v z; a h j k (and 8); f s x.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import cache

from linewright.language.sounds import consonants
from linewright.language.tables import ENGLISH, Language

#: Letters that rhyme; "z" as American speakers say it.
RHYMING = ("bcdegptvz", "ahjk", "fsx")
BOARD = "abcdefgh"
#: Nats, -log P(heard so | meant), for a letter that no board has, heard for any of its rhyming files.
NO_BOARD = 6.0
#: Nats for a file heard as another file that rhymes with it, where the counted table knows nothing better.
WRONG_FILE = 6.5
#: Nats for a word that sounds exactly like a letter or a figure ("see" for c, "for" for 4).
HOMOPHONE = 6.0
#: Nats for a word that rhymes with a letter, or is but like a figure.
RHYMING_WORD = 7.5
#: Nats for a letter and figure run together into one ordinary word ("gate" for g8).
RUN_TOGETHER = 7.0
#: Nats for words that sound like "castles" or "bishop" and are none ("cars else", "bish up").
SOUNDS_LIKE = 6.5
#: Log-probability in ordinary talk of the ordinary words that stand here and were never counted.
ORDINARY = -8.0


def forms(language: Language = ENGLISH) -> dict[tuple[str, ...], dict[tuple[str, ...], float]]:
    """For each run of heard units the runs of units it may have been, with their nats."""
    out: dict[tuple[str, ...], dict[tuple[str, ...], float]] = {}
    for heard, meant, nats in _confusions(language):
        options = out.setdefault(tuple(heard.split()), {})
        key = tuple(meant.split())
        options[key] = min(nats, options.get(key, nats))
    return out


def _confusions(language: Language) -> Iterator[tuple[str, str, float]]:
    """(heard, meant, nats), units separated by spaces."""
    table = language.table("sound_alikes")
    yield from _letters()
    for key, nats in (("homophones", HOMOPHONE), ("like", RHYMING_WORD)):
        for meant in table.get(key) or ():
            for word in table.listed(f"{key}.{meant}"):
                yield word, meant, nats
    for word in table.listed("rhyming_with_e"):
        for file in RHYMING[0]:
            if file in BOARD:
                yield word, file, RHYMING_WORD
    for word, meant in table.mapping("run_together").items():
        yield word, meant, RUN_TOGETHER


def _letters() -> Iterator[tuple[str, str, float]]:
    for group in RHYMING:
        for heard in group:
            for meant in group:
                if meant in BOARD and meant != heard:
                    yield heard, meant, WRONG_FILE if heard in BOARD else NO_BOARD


def ordinary_words(language: Language = ENGLISH) -> frozenset[str]:
    """Ordinary words among those that may be misheard words of the board."""
    return language.table("sound_alikes").words("ordinary")


@cache
def _by_ear(language: Language) -> tuple[tuple[str, re.Pattern[str]], ...]:
    table = language.table("sound_alikes").mapping("by_ear")
    return tuple((unit, re.compile(pattern)) for unit, pattern in table.items())


def sounds_like(words: str, language: Language = ENGLISH) -> str:
    """``castles`` or ``bishop`` when the words together sound like it, else ``""``.

    >>> sounds_like("cars else"), sounds_like("costs"), sounds_like("bish up")
    ('castles', '', 'bishop')
    """
    sound = consonants(words, language)
    return next((unit for unit, pattern in _by_ear(language) if pattern.fullmatch(sound)), "")
