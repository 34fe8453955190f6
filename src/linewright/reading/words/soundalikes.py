"""How chess words are misheard: from the words that a recogniser wrote to what may have been said.

Words are cut into *units* (see ``units``). The table, made from data by ``bench/soundalikes/make.py``, says for runs of
heard units which units were meant and how probably they are then heard so; what fits the pattern of a move's part is
handed on as a :class:`Meaning`.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache
from itertools import pairwise

from linewright.language.tables import ENGLISH, Language
from linewright.reading.words import rhymes
from linewright.reading.words.tokens import Token
from linewright.reading.words.units import BEGUN, KINDS, SQUARES, atoms, talked, units
from linewright.reading.words.vocabulary import DIGITS, LETTERS, vocabulary

#: Units of one heard run, so that the lattice stays small.
LONGEST = 3
#: Nats for a comma inside what was one word or square: a recogniser's commas say little.
PAUSE = 0.5
#: Nats for a piece named with its origin ("rook f e1") in words that were not heard so: few moves are.
ORIGIN_SAID = 2.5
#: Nats for each further ordinary word of a run: words keep company ("to four"), more than chance would have it.
COMPANY = 2.0
#: Nats by which a meaning that was never counted is dearer, at least, than the likeliest one that was.
UNCOUNTED = 0.5
#: Probabilities are taken for no surer than this, either way.
SUREST = 0.99


@dataclass(frozen=True, slots=True)
class SoundAlikes:
    """What runs of heard units may have been.

    :param heard: for each run of heard units, (units meant, nats): -log P(heard so | meant).
    :param talk: log P(word) in ordinary talk, see :func:`talked`; ``other`` for words not listed.
    :param evidence: log-odds for a chess word, in nats, from which a form is as good as a plain one.
    :param dearest: nats above which a meaning is left out.
    :param most: how many meanings of the words from one token on are kept.
    :param trust: (bias, slope) of the log-odds that a chess word is wrong, over its probability's log-odds; the
        bias is relative to all words.
    """

    heard: Mapping[tuple[str, ...], tuple[tuple[tuple[str, ...], float], ...]]
    talk: Mapping[str, float]
    other: float
    evidence: float
    dearest: float
    most: int
    trust: tuple[float, float]

    @classmethod
    def of(cls, document: Mapping[str, object]) -> SoundAlikes:
        """The table from its JSON document; see ``bench/soundalikes/make.py`` for the shape."""
        raw: Mapping[str, Mapping[str, float]] = document["heard"]  # type: ignore[assignment]
        heard = {
            tuple(run.split()): tuple((tuple(meant.split()), nats) for meant, nats in meanings.items())
            for run, meanings in raw.items()
        }
        fields = {name: document[name] for name in ("talk", "other", "evidence", "dearest", "most")}
        return cls(heard, trust=tuple(document["trust"]), **fields)  # type: ignore[arg-type]

    def doubt(self, confidence: float | None) -> float:
        """Nats by which a word's probability speaks for a mishearing, more than words do on average."""
        if confidence is None:
            return 0.0
        p = min(SUREST, max(1.0 - SUREST, confidence))
        return self.trust[0] + self.trust[1] * math.log(p / (1.0 - p))

    def with_forms(
        self, forms: Mapping[tuple[str, ...], Mapping[tuple[str, ...], float]], ordinary: frozenset[str]
    ) -> SoundAlikes:
        """The table with what nobody has counted, which is never taken for likelier than what was.

        :param ordinary: words of talk among it that were never counted there.
        """
        heard = {run: dict(meanings) for run, meanings in self.heard.items()}
        for run, meanings in forms.items():
            known = heard.setdefault(run, {})
            first = min(known, key=lambda m: known[m], default=())
            least = known[first] + UNCOUNTED if first else 0.0
            for meant, nats in meanings.items():
                price = nats if meant == first else max(nats, least)
                known[meant] = min(price, known.get(meant, price))
        talk = dict.fromkeys(ordinary, rhymes.ORDINARY) | dict(self.talk)
        return replace(self, heard={run: tuple(known.items()) for run, known in heard.items()}, talk=talk)


@cache
def table(language: Language = ENGLISH) -> SoundAlikes:
    """A language's table as it ships, and below it what was never counted but rhymes."""
    counted = SoundAlikes.of({**NOTHING_COUNTED, **language.table("sound_alikes_counted").values})
    return counted.with_forms(rhymes.forms(language), rhymes.ordinary_words(language))


#: A language whose mishearings nobody has counted.
NOTHING_COUNTED: Mapping[str, object] = {
    "heard": {}, "talk": {}, "other": -10.0, "evidence": 6.0, "dearest": 6.0, "most": 10, "trust": [0.0, 0.0],
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Meaning:
    """What the tokens up to ``end`` may have been.

    :param end: index after the last token.
    :param kind: the kind of lattice edge, one of ``KINDS``' values.
    :param value: the edge's value: ``N``, ``e4``, ``Nbd7`` …
    :param cost: nats, beyond the best meaning of the same words and the plain way to say it.
    """

    end: int
    kind: str
    value: str
    cost: float


@dataclass(frozen=True, slots=True)
class _Run:
    """Units heard so far and what they were meant for.

    :param at: index of the next token; ``units`` what is left of the one before it.
    """

    at: int
    units: tuple[str, ...]
    meant: tuple[str, ...] = ()
    nats: float = 0.0


def meanings(
    tokens: Sequence[Token], index: int, known: SoundAlikes, expected: float = 0.0, language: Language = ENGLISH
) -> list[Meaning]:
    """What the words from token ``index`` on may have been, cheapest first.

    A meaning costs what it is less probable than the best one of the same words; where ordinary talk would often
    have these words ("before"), all of them cost what is missing to the evidence that a plain form gives. A word
    that the recogniser doubted makes the former cheaper, one it was sure of dearer.

    :param expected: nats by which the words around speak for a square here, see :func:`expected`.
    """
    hearing = _Hearing(tokens, known, language)
    found: dict[int, dict[tuple[str, str], float]] = {}
    for run in hearing.runs(_Run(index + 1, atoms(tokens[index].text, language))):
        key = KINDS[hearing.units.pattern(run.meant)], hearing.units.value_of(run.meant)
        ends = found.setdefault(run.at, {})
        nats = run.nats + (ORIGIN_SAID if len(run.meant) == 4 else 0.0)
        ends[key] = min(nats, ends.get(key, math.inf))
    for end, unit in hearing.by_ear(index):
        ends = found.setdefault(end, {})
        key = KINDS[hearing.units.classes[unit]], hearing.units.value_of((unit,))
        ends[key] = min(rhymes.SOUNDS_LIKE, ends.get(key, math.inf))
    out = []
    for end, options in found.items():
        best = min(options.values())
        thin = known.evidence + best + hearing.ordinary(index, end)
        doubt = known.doubt(_confidence(tokens[index:end]))
        for (kind, value), n in options.items():
            wanted = expected if kind in SQUARES else 0.0
            cost = max(0.0, thin - wanted) + (max(0.0, n - best - doubt) if n > best else 0.0)
            if cost <= known.dearest:
                out.append(Meaning(end, kind, value, cost))
    return sorted(out, key=lambda m: m.cost)[: known.most]


#: Nats that a piece or "takes" just before is evidence for a square, and that moves all around are.
AFTER_PIECE = 3.0
AMONG_MOVES = 2.5
#: Moves are all around when at least so many of so many tokens before and after are plainly a move's.
MOVE_TOKENS = 3
AROUND = 6
_PLAIN = re.compile(r"[a-h][1-8]|[nbrqk]?[a-h]?x?[a-h][1-8]")


def is_plain(token: Token, language: Language = ENGLISH) -> bool:
    """The word is a square, a piece, a capture or castling as it stands."""
    return units(language).is_spoken(token.text) or bool(_PLAIN.fullmatch(token.text))


def expected(tokens: Sequence[Token], index: int, language: Language = ENGLISH) -> float:
    """Nats by which the words around speak for a square from token ``index`` on."""
    known = units(language)
    at = index - 1
    if at >= 0 and not tokens[at].stop:
        if tokens[at].text in vocabulary(language).to_square and at > 0 and not tokens[at - 1].stop:
            at -= 1
        if tokens[at].text in known.pieces or known.is_capture(tokens[at].text):
            return AFTER_PIECE
    around = (tokens[max(0, index - AROUND) : index], tokens[index + 1 : index + 1 + AROUND])
    of_moves = sum(is_plain(t, language) for side in around for t in side)
    of_moves += 2 * sum(a.text in LETTERS and known.is_figure(b.text) for side in around for a, b in pairwise(side))
    return AMONG_MOVES if of_moves >= MOVE_TOKENS else 0.0


class _Hearing:
    """The words of a talk as a recogniser may have misheard them."""

    def __init__(self, tokens: Sequence[Token], known: SoundAlikes, language: Language) -> None:
        self.tokens = tokens
        self.known = known
        self.language = language
        self.units = units(language)

    def by_ear(self, index: int) -> Iterator[tuple[int, str]]:
        """One or two words that together sound like castling or a bishop: where they end, and the unit."""
        one, classes = self.tokens[index], self.units.classes
        if self.units.unit(one.text) in classes:
            return
        if unit := rhymes.sounds_like(one.text, self.language):
            yield index + 1, unit
        after = self.tokens[index + 1] if index + 1 < len(self.tokens) else None
        if after is None or one.stop or one.pause or after.heading != one.heading or after.text in classes:
            return
        if unit := rhymes.sounds_like(one.text + after.text, self.language):
            yield index + 2, unit

    def runs(self, run: _Run) -> Iterator[_Run]:
        """All ways to hear parts of a move from here on, up to where a word and a unit end at once."""
        for size in range(1, LONGEST + 1):
            reached = self._reach(run, size)
            if reached is None:
                return
            heard, rest = reached
            for more, nats in self.known.heard.get(heard, ()):
                meant = (*run.meant, *more)
                pattern = self.units.pattern(meant)
                if pattern not in BEGUN:
                    continue
                step = _Run(rest.at, rest.units, meant, run.nats + nats + (PAUSE if self._pause(run, rest) else 0.0))
                if rest.units:
                    yield from self.runs(step)
                    continue
                if pattern in KINDS:
                    yield step
                if pattern[-1] == "L":
                    yield from self._figure(step)

    def _pause(self, before: _Run, after: _Run) -> bool:
        """A comma stands between the words of one heard run."""
        return any(t.pause for t in self.tokens[before.at - 1 : after.at - 1])

    def _figure(self, run: _Run) -> Iterator[_Run]:
        """A letter at a word's end may find its figure in the next word."""
        reached = self._reach(run, 1)
        if reached is None or reached[1].units:
            return
        heard, rest = reached
        for meant, nats in self.known.heard.get(heard, ()):
            if len(meant) == 1 and meant[0] in DIGITS:
                pause = PAUSE if self.tokens[run.at - 1].pause else 0.0
                yield _Run(rest.at, (), (*run.meant, *meant), run.nats + nats + pause)

    def _reach(self, run: _Run, size: int) -> tuple[tuple[str, ...], _Run] | None:
        """The next ``size`` units heard and what follows them; a run doesn't go on over a sentence's end."""
        found, at, tokens = run.units, run.at, self.tokens
        while len(found) < size:
            if at >= len(tokens) or tokens[at - 1].stop or tokens[at].heading != tokens[at - 1].heading:
                return None
            found += atoms(tokens[at].text, self.language)
            at += 1
        return found[:size], _Run(at, found[size:])

    def ordinary(self, first: int, last: int) -> float:
        """Log-probability of these words in ordinary talk."""
        total, usual, known = 0.0, 0, self.known
        for token in self.tokens[first:last]:
            word = talked(token.text, self.language)
            plain = word in known.talk and not (word in LETTERS and token.raw[:1].isupper())
            total += known.talk[word] if plain else known.other
            usual += plain
        return total + COMPANY * max(0, usual - 1)


def _confidence(tokens: Sequence[Token]) -> float | None:
    """The least probability among the words, None when the talk has none."""
    found = [t.confidence for t in tokens if t.confidence is not None]
    return min(found) if found else None
