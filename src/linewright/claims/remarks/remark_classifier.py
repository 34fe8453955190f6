"""How likely a stretch of words claims something, and of which kind, by the words alone.

A log-linear model of what is seen of a stretch: its words (men, squares, files, numbers, sides and persons taken
together by class), pairs of neighbours, and whether it holds the trade's words of ``claims/remarks.toml``. Its weights
stand in ``likely.json``; ``bench/fit_likely.py`` fits them on talks whose claims are marked.
"""

from __future__ import annotations

import json
import math
import re
import tomllib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cache
from importlib import resources
from itertools import pairwise
from typing import Final

from linewright.claims.model import Kind
from linewright.language.patterns import phrase

#: Log-odds of claiming something from which on words are taken as a remark.
TAKEN: Final = -0.9
#: The name of the class of words that claim nothing.
NOTHING: Final = "nothing"

_OWNED: Final = re.compile(r"(?<=\w)'s\b")
_SQUARE: Final = re.compile(r"[a-h][1-8]")
_CLASSES: Final = {
    **dict.fromkeys("pawn pawns".split(), "PAWN"),
    **dict.fromkeys("knight knights bishop bishops rook rooks queen queens piece pieces".split(), "PIECE"),
    **dict.fromkeys("king kings".split(), "KING"),
    **dict.fromkeys("white black whites blacks".split(), "SIDE"),
    **dict.fromkeys("we i our my us me mine ours you your we've we're i've i'm you've".split(), "US"),
    **dict.fromkeys("he his him she her they their them he's they've they're opponent".split(), "THEM"),
    **dict.fromkeys(
        "no one two three four five six seven eight nine ten both half twenty thirty forty fifty sixty seventy eighty "
        "ninety".split(),
        "NUMBER",
    ),
}
_MEN: Final = frozenset(("PAWN", "PIECE", "KING"))
_THINGS: Final = _MEN | {"SQUARE", "FILE", "SIDE"}
#: Stretches shorter and longer than these, in words, are told apart.
_SHORT, _SHORTISH, _LONG = 4, 7, 12


@dataclass(frozen=True, slots=True)
class Row:
    """What a stretch must hold, a word of each pattern, to speak of a kind."""

    kind: Kind
    all: tuple[re.Pattern[str], ...]

    def found(self, text: str) -> int:
        """How many of the patterns are in a text."""
        return sum(bool(pattern.search(text)) for pattern in self.all)


@dataclass(frozen=True, slots=True)
class Vocabulary:
    """The words of ``claims/remarks.toml``, compiled."""

    states: re.Pattern[str]
    nothing: re.Pattern[str]
    rows: tuple[Row, ...]

    def plainly(self, text: str) -> tuple[Kind, ...]:
        """The kinds that a text plainly speaks of, none where it states nothing."""
        if not self.states.search(text) or self.nothing.search(text):
            return ()
        return tuple(dict.fromkeys(row.kind for row in self.rows if row.found(text) == len(row.all)))


@cache
def vocabulary() -> Vocabulary:
    """The trade's words, read once."""
    source = tomllib.loads((resources.files("linewright.claims.remarks") / "remarks.toml").read_text("utf-8"))
    shared = {name: _barred(source[name]) for name in ("MEN", "SQUARE", "BALANCE")}

    def compiled(listed: str) -> re.Pattern[str]:
        text = _barred(listed)
        for name, words in shared.items():
            text = text.replace(name, f"(?:{words})")
        return phrase(text)

    rows = (Row(Kind(row["kind"]), tuple(compiled(words) for words in row["all"])) for row in source["row"])
    return Vocabulary(compiled(source["states"]), compiled(source["nothing"]), tuple(rows))


def _barred(listed: str) -> str:
    """The list as a pattern: the white space around its bars taken away."""
    return re.sub(r"\s+\|\s+", "|", listed.strip())


def spaced(words: Iterable[str]) -> str:
    """The words as a text, "'s" apart from what it hangs on, be it "is" or an owner."""
    return _OWNED.sub(" s", " ".join(words))


def seen(words: Sequence[str], starts: bool, ends: bool) -> list[str]:
    """Names of what is seen of a stretch of words in lower case; each has weights.

    :param starts: it begins its sentence; ``ends``: it ends it.
    """
    text = spaced(words)
    classes = [_class(word) for word in text.split()]
    held = set(classes)
    names = ["bias", f"first {classes[0]}", f"last {classes[-1]}", *sorted(held)]
    names += sorted({f"{one} {other}" for one, other in pairwise(classes)})
    names += [name for name, true in (("starts", starts), ("ends", ends), ("whole", starts and ends)) if true]
    for most, name in ((_SHORT, "short"), (_SHORTISH, "shortish")):
        names += [f"is {name}"] if len(classes) < most else []
    names += ["is long"] if len(classes) > _LONG else []
    names += ["names a man"] if held & _MEN else []
    names += ["names a thing"] if held & _THINGS else []
    return names + _trade(text)


def _class(word: str) -> str:
    if _SQUARE.fullmatch(word):
        return "SQUARE"
    if len(word) == 1 and word in "bcdefgh":
        return "FILE"
    return "NUMBER" if word.isdecimal() else _CLASSES.get(word, word)


def _trade(text: str) -> list[str]:
    """What the trade's words say of a text."""
    words = vocabulary()
    names = []
    for row in words.rows:
        found = row.found(text)
        if found:
            names.append(f"{'speaks' if found == len(row.all) else 'touches'} {row.kind}")
    names += ["states"] if words.states.search(text) else []
    names += ["no claim"] if words.nothing.search(text) else []
    names += ["plain"] if words.plainly(text) else []
    return list(dict.fromkeys(names))


@dataclass(frozen=True, slots=True)
class Likely:
    """What a stretch of words likely is.

    :param odds: log-odds that it claims something.
    :param kinds: of what kind, if it does, the likeliest first.
    """

    odds: float
    kinds: tuple[Kind, ...]


@cache
def load() -> tuple[tuple[str, ...], dict[str, tuple[float, ...]]]:
    """The classes, and for each name of what is seen the weights, in nats, that it gives to each class."""
    table = json.loads((resources.files("linewright.claims.remarks") / "remark_weights.json").read_text("utf-8"))
    return tuple(table["classes"]), {name: tuple(row) for name, row in table["weights"].items()}


def likely(words: Sequence[str], starts: bool, ends: bool) -> Likely:
    """How likely a stretch of words claims something."""
    classes, weights = load()
    sums = [0.0] * len(classes)
    for name in seen(words, starts, ends):
        for n, weight in enumerate(weights.get(name, ())):
            sums[n] += weight
    nothing = classes.index(NOTHING)
    others = [total for n, total in enumerate(sums) if n != nothing]
    ranked = sorted((n for n in range(len(sums)) if n != nothing), key=lambda n: -sums[n])
    top = max(others)
    odds = top + math.log(sum(math.exp(total - top) for total in others)) - sums[nothing]
    return Likely(odds, tuple(Kind(classes[n]) for n in ranked))
