"""How likely a stretch of words claims something, and of which kind, by the words alone.

A log-linear model of what is seen of a stretch: its words (men, squares, files, numbers, sides and persons taken
together by class), pairs of neighbours, and whether it holds the trade's words of ``claims/remarks.toml``. Its weights
stand in the language's ``remark_weights.json``; ``bench/fit_likely.py`` fits them on talks whose claims are marked.
"""

from __future__ import annotations

import json
import math
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from itertools import pairwise
from typing import Final

from linewright.language.folders import DEFAULT, language_folder
from linewright.language.wordings import Wording, table, wording
from linewright.lesson.finding import Kind

#: Log-odds of claiming something from which on words are taken as a remark.
TAKEN: Final = -0.9
#: The name of the class of words that claim nothing.
NOTHING: Final = "nothing"

#: The name of the wording.
NAME: Final = "claims/remarks"
#: Words up to which a stretch is short, rather short, and from which on it is long.
SHORT, SHORTISH, LONG = 4, 7, 12

_OWNED: Final = re.compile(r"(?<=\w)'s\b")
_SQUARE: Final = re.compile(r"[a-h][1-8]")
_MEN: Final = frozenset(("PAWN", "PIECE", "KING"))
_THINGS: Final = _MEN | {"SQUARE", "FILE", "SIDE"}


@dataclass(frozen=True, slots=True)
class HintedKind:
    """What a stretch must hold to speak of a kind.

    :param hints: names of hints of the wording, all of them wanted.
    """

    kind: Kind
    hints: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Vocabulary:
    """The trade's words in a language: ``claims/remarks.toml``.

    :param classes: by a word the class that it is taken together under.
    """

    said: Wording
    topics: tuple[HintedKind, ...]
    classes: Mapping[str, str]

    def holds(self, hint: str, text: str) -> bool:
        return self.said.hint(hint, text) is not None

    def held(self, text: str) -> tuple[int, ...]:
        """For each topic how many of its hints stand in a text."""
        return tuple(sum(self.holds(hint, text) for hint in topic.hints) for topic in self.topics)

    def plainly(self, text: str) -> tuple[Kind, ...]:
        """The kinds that a text plainly speaks of, none where it states nothing."""
        if not self.holds("states", text) or self.holds("nothing", text):
            return ()
        full = (t.kind for t, held in zip(self.topics, self.held(text), strict=True) if held == len(t.hints))
        return tuple(dict.fromkeys(full))


@cache
def vocabulary(language: str = DEFAULT) -> Vocabulary:
    """The trade's words, read once; none where a language has brought none."""
    said = wording(NAME, language)
    try:
        source = table(NAME, language)
    except FileNotFoundError:
        source = {}
    topics = tuple(HintedKind(Kind(row["kind"]), tuple(row["all"])) for row in source.get("row", ()))
    classes = {word: name for name, words in source.get("classes", {}).items() for word in words.split()}
    return Vocabulary(said, topics, classes)


def spaced(words: Iterable[str]) -> str:
    """The words as a text, "'s" split from its word, whether it means "is" or a possessive."""
    return _OWNED.sub(" s", " ".join(words))


def features(words: Sequence[str], starts: bool, ends: bool, language: str = DEFAULT) -> list[str]:
    """Names of what is seen of a stretch of words in lower case; each has weights.

    :param starts: it begins its sentence; ``ends``: it ends it.
    """
    text, known = spaced(words), vocabulary(language)
    classes = [_class(word, known) for word in text.split()]
    held = set(classes)
    names = ["bias", f"first {classes[0]}", f"last {classes[-1]}", *sorted(held)]
    names += sorted({f"{one} {other}" for one, other in pairwise(classes)})
    names += [name for name, true in (("starts", starts), ("ends", ends), ("whole", starts and ends)) if true]
    for most, name in ((SHORT, "short"), (SHORTISH, "shortish")):
        names += [f"is {name}"] if len(classes) < most else []
    names += ["is long"] if len(classes) > LONG else []
    names += ["names a man"] if held & _MEN else []
    names += ["names a thing"] if held & _THINGS else []
    return names + _trade_features(text, known)


def _class(word: str, known: Vocabulary) -> str:
    if _SQUARE.fullmatch(word):
        return "SQUARE"
    if len(word) == 1 and word in "bcdefgh":
        return "FILE"
    return "NUMBER" if word.isdecimal() else known.classes.get(word, word)


def _trade_features(text: str, known: Vocabulary) -> list[str]:
    """What the trade's words say of a text."""
    names = []
    for topic, held in zip(known.topics, known.held(text), strict=True):
        if held:
            names.append(f"{'speaks' if held == len(topic.hints) else 'touches'} {topic.kind}")
    names += ["states"] if known.holds("states", text) else []
    names += ["no claim"] if known.holds("nothing", text) else []
    names += ["plain"] if known.plainly(text) else []
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
def load_weights(language: str = DEFAULT) -> tuple[tuple[str, ...], dict[str, tuple[float, ...]]]:
    """The classes, and for each name of what is seen the weights, in nats, that it gives to each class; none of
    either where a language has brought no weights."""
    file = language_folder(language).joinpath("remark_weights.json")
    if not file.is_file():
        return (), {}
    fitted = json.loads(file.read_text("utf-8"))
    return tuple(fitted["classes"]), {name: tuple(row) for name, row in fitted["weights"].items()}


def classify(words: Sequence[str], starts: bool, ends: bool, language: str = DEFAULT) -> Likely:
    """How likely a stretch of words claims something; without weights it doesn't."""
    classes, weights = load_weights(language)
    if not classes:
        return Likely(-math.inf, ())
    sums = [0.0] * len(classes)
    for name in features(words, starts, ends, language):
        for n, weight in enumerate(weights.get(name, ())):
            sums[n] += weight
    nothing = classes.index(NOTHING)
    others = [total for n, total in enumerate(sums) if n != nothing]
    ranked = sorted((n for n in range(len(sums)) if n != nothing), key=lambda n: -sums[n])
    top = max(others)
    odds = top + math.log(sum(math.exp(total - top) for total in others)) - sums[nothing]
    return Likely(odds, tuple(Kind(classes[n]) for n in ranked))
