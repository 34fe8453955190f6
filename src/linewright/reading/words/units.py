"""Units of speech on the board: letters and figures stand alone, other words are whole.

What is heard and what is meant are both cut so; the counted table of ``soundalikes`` is one of units.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache

from linewright.language.numbers import figures
from linewright.language.tables import ENGLISH, Language
from linewright.reading.words.vocabulary import DIGITS, LETTERS

#: Runs of classes that are a part of a move, and the kind of lattice edge that each is. A piece is ``P``, a letter
#: ``L``, a figure ``D``, a capture ``X``, castling ``C`` and its side ``S``, check ``K``, mate ``M``.
KINDS = {
    "P": "piece", "PL": "piecefile", "PLD": "pieceto", "PLLD": "pieceto", "L": "file", "LD": "square",
    "LLD": "filesquare", "LX": "filetakes", "D": "rank", "X": "takes", "C": "castles", "S": "side", "K": "check",
    "M": "mate",
}  # fmt: skip
#: Kinds that name a square: what the words around lead one to expect.
SQUARES = frozenset(("square", "filesquare"))
#: Beginnings of such runs.
BEGUN = frozenset(k[:n] for k in KINDS for n in range(1, len(k) + 1))
_MIXED = re.compile(r"[a-z]{1,3}[0-9]{1,3}|[1-9][a-h][1-8]|[bcdfgnrqk][bcdfgh]|[a-h]x")
_NUMBER = re.compile(r"[1-9][0-9]?")


@dataclass(frozen=True, eq=False)
class Units:
    """The units of a language.

    :param classes: the class of each unit that a move's words are made of; every other word is talk.
    :param pieces: letter by unit; ``wings`` the same for castling's sides.
    :param same: the unit that stands for a word: ``takes`` for "take", ``4`` for "four".
    """

    classes: Mapping[str, str]
    pieces: Mapping[str, str]
    wings: Mapping[str, str]
    same: Mapping[str, str]

    def unit(self, word: str) -> str:
        """The unit that a whole word is."""
        return self.same.get(word, word)

    def is_capture(self, word: str) -> bool:
        return self.classes.get(self.unit(word)) == "X"

    def is_spoken(self, word: str) -> bool:
        """The word is a piece, a capture or castling."""
        return self.classes.get(self.unit(word)) in ("P", "X", "C")

    def is_figure(self, word: str) -> bool:
        return self.unit(word) in DIGITS

    def pattern(self, meant: Sequence[str]) -> str:
        """The classes of units, in a row; see ``KINDS``."""
        return "".join(self.classes[unit] for unit in meant)

    def value_of(self, meant: Sequence[str]) -> str:
        """The lattice edge's value of some units.

        >>> known = units()
        >>> known.value_of(("knight", "b", "d", "7")), known.value_of(("takes",)), known.value_of(("queenside",))
        ('Nbd7', 'takes', 'Q')
        """
        first = self.classes[meant[0]]
        if first == "X":
            return "takes"
        if first == "S":
            return self.wings[meant[0]]
        if first in "CKM":
            return ""
        return "".join(self.pieces.get(unit, "" if self.classes[unit] == "X" else unit) for unit in meant)


@cache
def units(language: Language = ENGLISH) -> Units:
    """The units of a language."""
    table = language.table("sound_alikes")
    pieces = table.mapping("units.pieces")
    classes = dict.fromkeys(pieces, "P") | dict.fromkeys(LETTERS, "L") | dict.fromkeys(DIGITS, "D")
    same = table.mapping("same") | figures(language)
    return Units(classes | table.mapping("units.classes"), pieces, table.mapping("units.wings"), same)


@cache
def atoms(word: str, language: Language = ENGLISH) -> tuple[str, ...]:
    """The units in a bare, lower-case word: letters and digits apart, everything else whole.

    Two digits are taken as they are said, so that "97" is ``90`` (it sounds like "knight d") and ``7``.

    >>> atoms("bd7"), atoms("97"), atoms("before"), atoms("four"), atoms("take")
    (('b', 'd', '7'), ('90', '7'), ('before',), ('4',), ('takes',))
    """
    if not word:
        return ()
    if _NUMBER.fullmatch(word):
        tens = len(word) == 2 and word > "20" and word[1] != "0"
        return (word[0] + "0", word[1]) if tens else (word,)
    if _MIXED.fullmatch(word):
        parts = re.findall(r"[a-z]|[0-9]+", word)
        return tuple(a for p in parts for a in (atoms(p, language) if p.isdigit() and p[0] != "0" else (p,)))
    return (units(language).unit(word),)


def talked(word: str, language: Language = ENGLISH) -> str:
    """The word as talk is counted: numbers of two digits together.

    >>> talked("four"), talked("27"), talked("before"), talked("d4")
    ('4', '#', 'before', 'd4')
    """
    found = atoms(word, language)
    if len(found) == 1:
        return found[0]
    return "#" if word.isdigit() else word
