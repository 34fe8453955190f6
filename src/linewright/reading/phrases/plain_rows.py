"""What can be said in plain words of a move: the rows of ``plain_words.txt``, and the small words around them.

A row holds the deed, how far it is from naming the move (in nats), and a pattern. In a pattern

* ``~come|get`` is a verb by its base forms, in the third person or the past; after "I", "we" or "they" as it stands;
* ``M`` is the piece that moves ("the other bishop", "the rook's pawn", "it"), ``N`` the same without "it";
* ``T`` is what the deed is done to: a piece, a square, both, or "it"; ``Q`` the square where it is done;
* ``F`` is a file: "the b file", "the open file";
* ``S``, ``B`` and ``E`` hold no word: somebody who moves ("he", "White") is named just before, a clause begins or ends
  here;
* other words stand for themselves; ``out|in`` are choices, ``on?`` may be left out.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from functools import cache

from linewright.language.tables import Language
from linewright.reading.phrases.verbs import forms
from linewright.reading.words.vocabulary import vocabulary


@dataclass(frozen=True, slots=True)
class PlainRow:
    """A line of ``plain_words.txt``."""

    kind: str
    cost: float
    pattern: tuple[str, ...]


@dataclass(frozen=True, eq=False)
class PlainVocabulary:
    """The words of ``reading/plain_words.toml``; see there."""

    subjects: frozenset[str]
    plain_form: frozenset[str]
    must: tuple[str, ...]
    adverbs: frozenset[str]
    adverb_endings: tuple[str, ...]
    pronouns: frozenset[str]
    it: frozenset[str]
    determiners: frozenset[str]
    which: frozenset[str]
    file_articles: frozenset[str]
    places: frozenset[str]
    with_: frozenset[str]
    agents: frozenset[str]
    clause_joins: frozenset[str]
    file: frozenset[str]
    pawn: frozenset[str]
    bishop: frozenset[str]
    open_files: tuple[str, ...]
    squared: frozenset[str]
    both: re.Pattern[str]
    both_castle: frozenset[str]
    everybody: re.Pattern[str]
    everybody_castles: frozenset[str]
    castled: frozenset[str]
    pawns: dict[str, str]
    side_pieces: dict[tuple[str, ...], str]
    shades: dict[str, str]
    pieces: dict[str, str]
    barriers: frozenset[str]


@cache
def plain_vocabulary(language: Language) -> PlainVocabulary:
    """The small words of a language."""
    table, known = language.table("reading/plain_words"), vocabulary(language)
    sides = {tuple(words.split()): file for words, file in table.sorted_out("side_pieces").items()}
    return table.filled(
        PlainVocabulary,
        pawns=table.sorted_out("pawns"),
        side_pieces=sides,
        shades=table.sorted_out("shades"),
        pieces=known.pieces,
        barriers=known.barriers,
    )


_SLOTS = frozenset("MNTQFSBE")


class PlainRows:
    """The lines of a language's ``plain_words.txt``, by the words that lead to them.

    :ivar by_word: rows by their first word; ``after_piece`` those of a piece by the word after it.
    :ivar verbs: for each item of a pattern that is a verb, its forms; ``words`` the words of each other item.
    """

    def __init__(self, text: str, language: Language) -> None:
        self.rows = tuple(_parsed(text))
        items = {item for row in self.rows for item in row.pattern}
        self.verbs = {item: forms(item[1:].rstrip("?").split("|"), language) for item in items if item[0] == "~"}
        self.words = {item: frozenset(item.rstrip("?").split("|")) for item in items - _SLOTS if item[0] != "~"}
        self.by_word = self._index(0, lambda pattern: pattern[0] not in ("M", "N"))
        self.after_piece = self._index(1, lambda pattern: pattern[0] in ("M", "N"))

    def _words_of(self, item: str) -> Iterable[str]:
        """The words that an item of a pattern can be; ``""`` for what isn't said by its word."""
        return self.verbs.get(item) or self.words.get(item) or ("",)

    def _index(self, place: int, wanted: Callable[[tuple[str, ...]], bool]) -> dict[str, tuple[PlainRow, ...]]:
        """The wanted rows by the word at a place of their patterns, or after what may be left out there."""
        out: dict[str, list[PlainRow]] = {}
        for row in self.rows:
            pattern = row.pattern[row.pattern[0] in ("S", "B") :]
            if not wanted(pattern):
                continue
            for at in range(place, len(pattern)):
                for word in self._words_of(pattern[at]):
                    out.setdefault(word, []).append(row)
                if not pattern[at].endswith("?"):
                    break
        return {word: tuple(dict.fromkeys(rows)) for word, rows in out.items()}


def _parsed(text: str) -> Iterator[PlainRow]:
    for line in text.splitlines():
        if not line or line.startswith("#"):
            continue
        cost, *pattern = line[16:].split()
        heads = pattern[0].split("|") if pattern[0] == "N|S" else pattern[:1]
        yield from (PlainRow(line[:16].strip(), float(cost), (head, *pattern[1:])) for head in heads)


@cache
def plain_rows(language: Language) -> PlainRows:
    """The rows of a language."""
    return PlainRows(language.text("reading/plain_words.txt"), language)
