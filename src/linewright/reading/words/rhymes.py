"""What letters, figures and pieces may be misheard as although nobody has counted it: rhymes, homophones, glued words.

A backstop below the counted table of ``soundalikes``: each class of confusion has one price.

The rhyming letters are the "e-set" and its sisters, the hardest letters for recognisers (R. Cole et al., "The ISOLET
spoken letter database", 1990, from memory): b c d e g p t v z; a h j k (and 8); f s x.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

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

_HOMOPHONES = {
    "a": "eh ay", "b": "be bee", "c": "see sea cee si", "d": "dee", "e": "ee", "f": "ef eff", "g": "gee jee ji",
    "h": "aitch each age", "1": "won", "2": "to too tu", "3": "three's", "4": "for fore", "5": "fives",
    "6": "sicks sixth", "7": "sevens", "8": "ate eighth aight", "takes": "tax tex", "knight": "night nite nights",
}  # fmt: skip
_LIKE = {
    "b": "bead", "c": "seed seat", "d": "deed", "e": "he", "g": "jeep", "h": "ach ache h's", "f": "if half have",
    "1": "want", "3": "tree free", "4": "far floor form", "5": "fife live", "6": "sex sick", "7": "heaven",
    "8": "hate age aid", "knight": "knife nine nate",
}  # fmt: skip
#: Words that rhyme with the letters of the first class without being any of them.
_E_WORDS = "pee pea tea tee ti vee ve zee ze key she chi we me".split()
_RUN_TOGETHER = {"gate": "g 8", "date": "d 8", "bait": "b 8", "bate": "b 8", "default": "d 4", "deport": "d 4"}
#: Ordinary words among the above: as words of talk they are far more frequent than words that were never counted.
ORDINARY_WORDS = frozenset(
    "we me key tea date gate have half live free tree want nine deed seed seat far floor form age aid tax "
    "default half sick".split()
)


def forms() -> dict[tuple[str, ...], dict[tuple[str, ...], float]]:
    """For each run of heard units the runs of units it may have been, with their nats."""
    out: dict[tuple[str, ...], dict[tuple[str, ...], float]] = {}

    def add(heard: str, meant: str, nats: float) -> None:
        options = out.setdefault(tuple(heard.split()), {})
        key = tuple(meant.split())
        options[key] = min(nats, options.get(key, nats))

    for heard, meant, nats in _letters():
        add(heard, meant, nats)
    for meant, words in _HOMOPHONES.items():
        for word in words.split():
            add(word, meant, HOMOPHONE)
    for meant, words in _LIKE.items():
        for word in words.split():
            add(word, meant, RHYMING_WORD)
    for word in _E_WORDS:
        for file in RHYMING[0]:
            if file in BOARD:
                add(word, file, RHYMING_WORD)
    for word, meant in _RUN_TOGETHER.items():
        add(word, meant, RUN_TOGETHER)
    return out


def _letters() -> Iterator[tuple[str, str, float]]:
    for group in RHYMING:
        for heard in group:
            for meant in group:
                if meant in BOARD and meant != heard:
                    yield heard, meant, WRONG_FILE if heard in BOARD else NO_BOARD


# -- words by their consonants ---------------------------------------------------------------------------

_SOFTENED = ((r"[^a-z]", ""), (r"c(?=[eiy])", "s"), (r"th", "d"), (r"sh|ch", "j"), (r"[ckq]+", "k"), (r"[zx]", "s"))
#: "castles": k, an open vowel (with or without r), s, perhaps a silent t, l (or the th of "those"), a hiss at the end.
_CASTLES = re.compile(r"k(?:a|ah|ar|aa)s+t?[aeiou]*(?:l+|d)[aeiou]*s+e?")
_BISHOP = re.compile(r"(?:b|f)(?:ee|[ie])?j[aeiou]+p+s?")


def softened(words: str) -> str:
    """The words as one, their consonants brought to a common spelling.

    >>> softened("cast less"), softened("bish up")
    ('kastless', 'bijup')
    """
    out = words.lower()
    for pattern, sound in _SOFTENED:
        out = re.sub(pattern, sound, out)
    return out


def sounds_like(words: str) -> str:
    """``castles`` or ``bishop`` when the words together sound like it, else ``""``.

    >>> sounds_like("cars else"), sounds_like("costs"), sounds_like("bish up")
    ('castles', '', 'bishop')
    """
    sound = softened(words)
    if _CASTLES.fullmatch(sound):
        return "castles"
    return "bishop" if _BISHOP.fullmatch(sound) else ""
