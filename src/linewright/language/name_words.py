"""The words around and within the names of openings and players, by language; see ``names.toml``."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from linewright.language.tables import ENGLISH, Language


@dataclass(frozen=True, eq=False)
class NameWords:
    """Lists of words; what each is for stands beside it in ``names.toml``."""

    function: frozenset[str]
    function_in_captions: frozenset[str]
    board: frozenset[str]
    board_verbs: frozenset[str]
    determiners: frozenset[str]
    before_in_captions: frozenset[str]
    varieties: frozenset[str]
    loose_varieties: frozenset[str]
    adjectives: frozenset[str]
    of_the: frozenset[str]
    contractions: frozenset[str]
    plays: frozenset[str]
    frames: frozenset[str]
    goes: frozenset[str]
    for_: frozenset[str]
    the: frozenset[str]
    goes_on: frozenset[str]
    goes_on_after_comma: frozenset[str]
    not_of_people: frozenset[str]
    not_of_ordinary: frozenset[str]
    of_a_place: frozenset[str]
    of_people: frozenset[str]
    languages_of: frozenset[str]
    possessive_endings: tuple[str, ...]
    strict_nouns: frozenset[str]
    loose_nouns: frozenset[str]
    opening_nouns: frozenset[str]
    ends_open: frozenset[str]
    open_goes_on: frozenset[str]
    no_end: frozenset[str]
    ordinary: frozenset[str]
    ordinary_men: frozenset[str]
    generic: frozenset[str]
    bookkeeping: frozenset[str]
    left_out: frozenset[str]
    branched: frozenset[str]
    spelling: dict[str, str]


@cache
def name_words(language: Language = ENGLISH) -> NameWords:
    """The words of a language."""
    return language.table("names").filled(NameWords)
