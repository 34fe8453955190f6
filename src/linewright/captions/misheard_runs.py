"""Short runs of heard words that may be a misheard name."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from linewright.captions.edits import part
from linewright.language.name_words import name_words
from linewright.language.tokens import WordParts
from linewright.lesson.step_words import step_spans
from linewright.lesson.walk import MoveStep, Walk
from linewright.talk.model import Talk

#: Words that a misheard name may run over: "care of can", "Bob and it".
LONGEST = 4

_WORDS = name_words()
#: Words that no name begins with.
FUNCTION = _WORDS.function | _WORDS.function_in_captions
#: Words before a name that show it is one: "the Slav", "an exchange Caro-Kann".
DETERMINERS = (_WORDS.determiners - {"another"}) | _WORDS.before_in_captions
#: The same, of openings only: an ordinary word seldom follows.
VARIETIES = _WORDS.varieties
#: Words after one: "the Panov attack".
OPENING_NOUNS = _WORDS.opening_nouns

_SQUARE_OR_NUMBER = re.compile(r".*[0-9].*")
_MARK_INSIDE = re.compile(r"[.,;:?!…\"“”()]")


@dataclass(frozen=True, slots=True)
class Window:
    """Words ``first`` up to ``last`` of a talk.

    :param text: their cores, separated by spaces; a final ``'s`` is left to ``after``.
    :param after: what follows the last core: ``"'s"`` and punctuation.
    :param before: the word before, lower case and bare; ``""`` at a sentence's start.
    :param following: the word after, lower case and bare; ``""`` at a sentence's or clause's end.
    :param capital: it begins with a capital that no sentence's start accounts for.
    :param plain: it holds words of the board, so that only a name's own spelling counts.
    """

    first: int
    last: int
    text: str
    after: str
    before: str
    following: str
    capital: bool
    plain: bool


class Windows:
    """All windows of a talk that hold no words of a move, no square and no number."""

    def __init__(self, walk: Walk) -> None:
        self.talk: Talk = walk.talk
        self.parts: list[WordParts] = [part(word.text) for word in walk.talk.words]
        self._taken = {i for first, last in step_spans_of_moves(walk) for i in range(first, last)}

    def at(self, first: int) -> Iterator[Window]:
        """The windows that begin at a word, shortest first."""
        if self.parts[first].low in FUNCTION:
            return
        for last in range(first + 1, min(first + LONGEST, len(self.parts)) + 1):
            index = last - 1
            p = self.parts[index]
            if index in self._taken or not p.core or _SQUARE_OR_NUMBER.match(p.core):
                return
            if not self._open_ended(index):
                yield self._window(first, last)
            if _MARK_INSIDE.search(p.after) or (last < len(self.parts) and self.parts[last].before):
                return

    def of(self, first: int, last: int) -> Window | None:
        """The window of exactly these words, None when they can't be a name."""
        return next((w for w in self.at(first) if w.last == last), None) if 0 <= first < last else None

    def _open_ended(self, index: int) -> bool:
        following = self.following(index)
        return self.parts[index].low in _WORDS.ends_open and following in _WORDS.open_goes_on

    def following(self, index: int) -> str:
        """The word after, ``""`` where the sentence or clause ends."""
        if index + 1 >= len(self.parts) or self.parts[index].after:
            return ""
        return self.parts[index + 1].low

    def previous(self, index: int) -> str:
        """The word before, ``""`` where the sentence begins."""
        if index == 0 or re.search(r"[.?!…]", self.parts[index - 1].after):
            return ""
        return self.parts[index - 1].low

    def _window(self, first: int, last: int) -> Window:
        cores = [self.parts[i].core for i in range(first, last)]
        after = self.parts[last - 1].after
        possessive = re.fullmatch(r"(.*\w)('s|’s)", cores[-1])
        if possessive:
            cores[-1], after = possessive[1], possessive[2] + after
        before = self.previous(first)
        capital = any(core[:1].isupper() for core in (cores if before else cores[1:]))
        plain = any(p.low in _WORDS.board for p in self.parts[first:last]) or self.parts[last - 1].low in _WORDS.no_end
        return Window(first, last, " ".join(cores), after, before, self.following(last - 1), capital, plain)


def step_spans_of_moves(walk: Walk) -> list[tuple[int, int]]:
    """The words of the moves; those of returns may hold names ("back to the Slav")."""
    return [span for step, span in zip(walk.steps, step_spans(walk), strict=True) if isinstance(step, MoveStep)]
