"""The words that say of a phrase whether it is played, and that announce a return; one set for each language."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache

from linewright.language.numbers import figures, number_words
from linewright.language.tables import ENGLISH, Language


@dataclass(frozen=True, eq=False)
class ContextWords:
    """The words and phrases of ``reading/context.toml``; see there."""

    place_before: frozenset[str]
    acts: frozenset[str]
    noun_after: frozenset[str]
    plan: frozenset[str]
    leads_in: frozenset[str]
    may: frozenset[str]
    named_after: frozenset[str]
    named_after_pairs: tuple[str, ...]
    denied_pairs: tuple[str, ...]
    frequency: frozenset[str]
    subjects: frozenset[str]
    play_verbs: frozenset[str]
    choosing: frozenset[str]
    so: frozenset[str]
    so_before: frozenset[str]
    of: frozenset[str]
    to: frozenset[str]
    and_: frozenset[str]
    and_then: frozenset[str]
    article: frozenset[str]
    pawn: frozenset[str]
    owners: frozenset[str]
    put_before: frozenset[str]
    correction: frozenset[str]
    correcting: frozenset[str]
    of_corrected: tuple[str, ...]
    open_list: re.Pattern[str]
    question: re.Pattern[str]
    announced: re.Pattern[str]
    hinted: re.Pattern[str]
    hinted_first: frozenset[str]
    if_: re.Pattern[str]
    back_of_piece: re.Pattern[str]
    move: frozenset[str]
    denies: frozenset[str]
    cardinals: dict[str, int]
    ordinals: dict[str, int]


@cache
def context_words(language: Language = ENGLISH) -> ContextWords:
    """The words of a language."""
    table, numbers = language.table("reading/context"), number_words(language)
    tries = table.words("no_move_numbers")
    return table.filled(
        ContextWords,
        correcting=table.words("correction", "correcting"),
        denies=language.table("negation").words("denies"),
        cardinals={word: int(figure) for word, figure in figures(language).items()},
        ordinals={word: value for word, value in numbers.ordinals.items() if word not in tries},
    )
