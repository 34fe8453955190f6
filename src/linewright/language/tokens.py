"""A talk's words taken apart: the word itself, the punctuation around it, the move number written with it.

One way of doing it for all who read words: reading, claims, captions, quotes and what is typed into dialogues. Each
then goes over the words with the spellings that it cares for ("half open", "rookd1").
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import NamedTuple

from linewright.language.tables import ENGLISH, Language

#: Signs that belong to a word at its end: a check's, a promotion's, a percentage's.
KEPT = "%+#†‡="
_FIGURINES = "♔-♟"
_NUMBER = re.compile(r"(\d{1,3})\s*(\.{1,3}|…|\.…)(?=\D)")
_NUMBER_ALONE = re.compile(r"(\d{1,3})(\.{1,3}|…)")
#: Opening signs that may stand before a move number: ``(4.Nxd4``.
_OPENING = "\"'“”‘«»()[]{}<*_`~"
_BEFORE, _AFTER = rf"(?:[^\w{_FIGURINES}%]|_)*", rf"(?:[^\w{_FIGURINES}{KEPT}]|_)*"
_WORD = re.compile(rf"({_BEFORE})(.*?)({_AFTER})", re.DOTALL)
_JOINS = re.compile(r"[-–—/]+|\.{2,}|…")


class WordParts(NamedTuple):
    """A word between the punctuation around it.

    :param before: signs before it; ``core`` the word, ``""`` when there are only signs; ``after`` signs after it.
    """

    before: str
    core: str
    after: str

    @property
    def low(self) -> str:
        """The word in lower case, apostrophes straight."""
        return straightened(self.core.lower())


@dataclass(frozen=True, slots=True)
class TalkWord:
    """A word of a talk, taken apart.

    :param index: the word's index in the talk.
    :param core: bare of punctuation, case kept, apostrophes straight.
    :param offset: characters of the talk's word before ``core``.
    :param after: signs after it; all of them when it is nothing but signs.
    :param number: move number and whether it is White's, written with it or as the word before: ``(4, False)`` for
        ``4...``; else None.
    """

    index: int
    core: str
    offset: int
    after: str
    number: tuple[int, bool] | None = None


def take_apart(text: str) -> WordParts:
    """A word between the punctuation before and after it; all is ``after`` where there is nothing else.

    >>> take_apart("“Nf3+!”,"), take_apart("…")
    (WordParts(before='“', core='Nf3+', after='!”,'), WordParts(before='', core='', after='…'))
    """
    match = _WORD.fullmatch(text)
    assert match is not None
    before, core, after = match.groups()
    return WordParts(before, core, after) if core else WordParts("", "", text)


def word_key(word: str) -> str:
    """A word as it is compared: lower case, letters and digits only.

    >>> word_key("“Knight’s,")
    'knights'
    """
    return "".join(char for char in word.lower() if char.isalnum())


def straightened(text: str) -> str:
    """Text with straight apostrophes, as word lists have them."""
    return text.replace("’", "'").replace("‘", "'")


def numbered_move(text: str) -> tuple[tuple[int, bool] | None, int]:
    """The move number that a word begins with (see :class:`TalkWord`), and how many characters it and its signs take.

    >>> numbered_move("4...Nf6"), numbered_move("(4.Nxd4"), numbered_move("Nf6")
    (((4, False), 4), ((4, True), 3), (None, 0))
    """
    opened = len(text) - len(text.lstrip(_OPENING))
    match = _NUMBER.match(text, opened)
    if match is None:
        return None, 0
    rest = text[match.end() :]
    return (int(match[1]), match[2] == "."), match.end() + len(rest) - len(rest.lstrip(".… "))


def number_alone(text: str) -> tuple[int, bool] | None:
    """The move number that is all of a word: ``4.`` or ``4...``."""
    match = _NUMBER_ALONE.fullmatch(text.strip("()[],"))
    return (int(match[1]), match[2] == ".") if match else None


def joined_parts(core: str) -> list[str]:
    """The parts of a word that hyphens, dashes or strokes join: ``["c5", "pawn"]`` for "c5-pawn"."""
    return [part for part in _JOINS.split(core) if part]


def talk_words(words: Iterable[str]) -> Iterator[TalkWord]:
    """A talk's words taken apart, one for each but for lone move numbers, which go with the word after them."""
    pending: tuple[int, bool] | None = None
    for index, word in enumerate(words):
        text = straightened(word)
        alone = number_alone(text)
        if alone:
            pending = alone
            continue
        number, skipped = numbered_move(text)
        parts = take_apart(text[skipped:])
        yield TalkWord(index, parts.core, skipped + len(parts.before), parts.after, number or pending)
        if parts.core:
            pending = None


def fillers(language: Language = ENGLISH) -> frozenset[str]:
    """Words said while thinking; they mean nothing."""
    return language.table("tokens").words("fillers")
