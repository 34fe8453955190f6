"""The words around an opening's name that show that it is one."""

from __future__ import annotations

import re
from collections.abc import Sequence

from linewright.language.name_words import name_words
from linewright.language.tables import ENGLISH, Language
from linewright.reading.words.tokens import Token

_SQUARE = re.compile(r"[a-h][1-8]|[KQRBN]?[a-h]?[1-8]?x?[a-h][1-8].*|O-O.*", re.IGNORECASE)


class NameContext:
    """The words around the names in one talk."""

    def __init__(self, tokens: Sequence[Token], language: Language = ENGLISH) -> None:
        self.tokens = tokens
        self.words = name_words(language)

    def before(self, index: int) -> str:
        """The word before, ``""`` at a sentence's or a heading's start."""
        tokens = self.tokens
        if index <= 0 or tokens[index - 1].stop or tokens[index - 1].heading != tokens[index].heading:
            return ""
        return tokens[index - 1].text

    def after(self, last: int) -> str:
        """The word after, ``""`` where the clause ends."""
        tokens = self.tokens
        if last >= len(tokens) or tokens[last - 1].stop or tokens[last - 1].pause:
            return ""
        return tokens[last].text if tokens[last].heading == tokens[last - 1].heading else ""

    def determiner_at(self, first: int) -> int | None:
        """Index of the determiner that stands before a name, over at most two adjectives; None without one."""
        tokens, words = self.tokens, self.words
        for index in range(first - 1, max(-1, first - 4), -1):
            if tokens[index].stop or (tokens[index].pause and index < first - 1):
                return None
            text = tokens[index].text
            owned = text.endswith(words.possessive_endings) and text not in words.contractions
            if text in words.determiners or owned:
                return index
            if text not in words.adjectives:
                return None
        return None

    def of_people(self, determiner: int) -> bool:
        """What stands before the determiner speaks of people or of a drink: "she beat the French"."""
        near = [self.before(determiner), self.before(determiner - 1) if determiner else ""]
        return any(word in self.words.of_people for word in near)

    def in_frame(self, determiner: int) -> bool:
        """The words before "the" take an opening: "he goes for the", "she plays the"."""
        word, words = self.before(determiner), self.words
        return word in words.frames or (word in words.for_ and self.before(determiner - 1) in words.goes)

    def goes_on(self, word: str) -> bool:
        """A sentence goes on so after an opening's name."""
        return not word or word in self.words.goes_on or is_move_word(word)

    def capital_within(self, index: int) -> bool:
        """The token is written with a capital that no sentence's start accounts for."""
        return self.tokens[index].raw[:1].isupper() and self.before(index) != ""

    def fills_heading(self, first: int, last: int) -> bool:
        """A heading consists of these tokens alone."""
        tokens = self.tokens
        if not tokens[first].heading:
            return False
        starts = first == 0 or tokens[first - 1].stop or not tokens[first - 1].heading
        return starts and (last >= len(tokens) or tokens[last - 1].stop or not tokens[last].heading)


def is_move_word(word: str) -> bool:
    """A square or a written move."""
    return _SQUARE.fullmatch(word) is not None
