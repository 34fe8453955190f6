"""Short runs of heard words that may be a misheard name."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from linewright.captions.edits import WordParts, part
from linewright.lesson.step_words import step_spans
from linewright.lesson.walk import MoveStep, Walk
from linewright.talk.model import Talk

#: Words that a misheard name may run over: "care of can", "Bob and it".
LONGEST = 4

#: Words that no name begins with.
FUNCTION = frozenset(
    "a an the this that these those his her my our your their its i he she we you they it him them us me who which "
    "what whose and or but if then than so as at in on of to for from with by into onto about is are was were be been "
    "am isn't wasn't it's that's there here have has had do does did will would can could shall should may might must "
    "not no never also just only very too now when where why how all both each every some any more most one two three "
    "play plays played playing go goes went call called say said says know see white black let let's get got give "
    "he's she's we're you're they're i'm i've we've he'd i'd i'll we'll you'll what's don't because though".split()
)
#: Words before a name that show it is one: "the Slav", "an exchange Caro-Kann".
DETERMINERS = frozenset(
    "a an the this that his her my our your their exchange advance modern classical old closed open accelerated "
    "against with into play plays in is".split()
)
#: The same, of openings only: an ordinary word seldom follows.
VARIETIES = frozenset("exchange advance classical accelerated".split())
#: Words after one: "the Panov attack".
OPENING_NOUNS = frozenset(
    "attack defence defense opening variation gambit system game line lines player players pawn structure setup "
    "counter-gambit countergambit indian declined accepted exchange main formation position positions lesson".split()
)
#: Where a run ends in one of these, it was no name when the sentence goes on like that: "pen of my uncle".
_ENDS_OPEN = frozenset("of or and in to for it at".split())
_GOES_ON = frozenset("a an the this that these his her my our your their its me him them us it you".split())

#: Words of the board, which belong to no misheard name.
BOARD = frozenset(
    "pawn pawns knight knights bishop bishops rook rooks queen queens king kings square squares file files rank ranks "
    "takes take castles castle check mate board move moves white black".split()
)
_NO_END = frozenset("a an the this that his her my our your their is was".split())

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
        return self.parts[index].low in _ENDS_OPEN and following in _GOES_ON

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
        plain = any(p.low in BOARD for p in self.parts[first:last]) or self.parts[last - 1].low in _NO_END
        return Window(first, last, " ".join(cores), after, before, self.following(last - 1), capital, plain)


def step_spans_of_moves(walk: Walk) -> list[tuple[int, int]]:
    """The words of the moves; those of returns may hold names ("back to the Slav")."""
    return [span for step, span in zip(walk.steps, step_spans(walk), strict=True) if isinstance(step, MoveStep)]
