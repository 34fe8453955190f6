"""How chess words are misheard: from the words that a recogniser wrote to what may have been said.

Words are cut into *units*: letters and digits stand alone, other words are whole. The table, made from data by
``bench/soundalikes/make.py``, tells for runs of heard units which units were meant and how probably they are then
heard so; what fits the pattern of a move's part is handed on as a :class:`Meaning`.
"""

from __future__ import annotations

import json
import math
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache
from importlib.resources import files
from itertools import pairwise

from linewright.reading.words import rhymes
from linewright.reading.words.tokens import Token

LETTERS = frozenset("abcdefgh")
DIGITS = frozenset("12345678")
PIECES = {"knight": "N", "bishop": "B", "rook": "R", "queen": "Q", "king": "K", "pawn": "P"}
#: The class of each unit that a move's words are made of; every other word is talk.
CLASSES = (
    dict.fromkeys(PIECES, "P") | dict.fromkeys(LETTERS, "L") | dict.fromkeys(DIGITS, "D") | {"takes": "X"}
    | {"castles": "C", "kingside": "S", "queenside": "S", "check": "K", "mate": "M"}
)  # fmt: skip
UNITS = frozenset(CLASSES)
#: Runs of classes that are a part of a move, and the kind of lattice edge that each is.
KINDS = {
    "P": "piece", "PL": "piecefile", "PLD": "pieceto", "PLLD": "pieceto", "L": "file", "LD": "square",
    "LLD": "filesquare", "LX": "filetakes", "D": "rank", "X": "takes", "C": "castles", "S": "side", "K": "check",
    "M": "mate",
}  # fmt: skip
#: Kinds that name a square: what the words around let expect.
SQUARES = frozenset(("square", "filesquare"))
_BEGUN = frozenset(k[:n] for k in KINDS for n in range(1, len(k) + 1))
#: Units of one heard run, so that the lattice stays small.
LONGEST = 3
#: Nats for a comma inside what was one word or square: a recogniser's commas say little.
PAUSE = 0.5
#: Nats for a piece told with its origin ("rook f e1") in words that were not heard so: few moves are.
ORIGIN_SAID = 2.5
#: Nats for each further ordinary word of a run: words keep company ("to four"), more than chance would have it.
COMPANY = 2.0
#: Nats by which a meaning that was never counted is dearer, at least, than the likeliest one that was.
UNCOUNTED = 0.5
#: Probabilities are taken for no surer than this, either way.
SUREST = 0.99

_NUMBERS = {
    w: str(n)
    for n, w in enumerate(
        "one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen sixteen seventeen "
        "eighteen nineteen twenty".split(),
        1,
    )
}
_ALIKE = {"take": "takes", "castle": "castles", "checkmate": "mate"} | _NUMBERS
_SPOKEN = frozenset(PIECES) | {"takes", "castles"}
_MIXED = re.compile(r"[a-z]{1,3}[0-9]{1,3}|[1-9][a-h][1-8]|[bcdfgnrqk][bcdfgh]|[a-h]x")
_NUMBER = re.compile(r"[1-9][0-9]?")


def bare(word: str) -> str:
    """A word without case and punctuation."""
    return word.lower().replace("’", "'").strip("\"'“”‘()[]{}<>,.;:?!…*_`~–—-")


@cache
def atoms(word: str) -> tuple[str, ...]:
    """The units in a bare, lower-case word: letters and digits apart, everything else whole.

    Two digits are taken as they are said, so that "97" is ``90`` (it sounds like "knight d") and ``7``.

    >>> atoms("bd7"), atoms("97"), atoms("before"), atoms("four"), atoms("take")
    (('b', 'd', '7'), ('90', '7'), ('before',), ('4',), ('takes',))
    """
    if not word:
        return ()
    if _NUMBER.fullmatch(word):
        tens = len(word) == 2 and word > "20" and word[1] != "0"
        return (word[0] + "0", word[1]) if tens else (word,)
    if _MIXED.fullmatch(word):
        parts = re.findall(r"[a-z]|[0-9]+", word)
        return tuple(a for p in parts for a in (atoms(p) if p.isdigit() and p[0] != "0" else (p,)))
    return (_ALIKE.get(word, word),)


@dataclass(frozen=True, slots=True)
class Table:
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
    def of(cls, document: Mapping[str, object]) -> Table:
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

    def with_forms(self, forms: Mapping[tuple[str, ...], Mapping[tuple[str, ...], float]]) -> Table:
        """The table with what nobody has counted, which is never taken for likelier than what was."""
        heard = {run: dict(meanings) for run, meanings in self.heard.items()}
        for run, meanings in forms.items():
            known = heard.setdefault(run, {})
            first = min(known, key=lambda m: known[m], default=())
            least = known[first] + UNCOUNTED if first else 0.0
            for meant, nats in meanings.items():
                price = nats if meant == first else max(nats, least)
                known[meant] = min(price, known.get(meant, price))
        talk = dict.fromkeys(rhymes.ORDINARY_WORDS, rhymes.ORDINARY) | dict(self.talk)
        return replace(self, heard={run: tuple(known.items()) for run, known in heard.items()}, talk=talk)


@cache
def table() -> Table:
    """The table as it ships, and below it what was never counted but rhymes."""
    counted = Table.of(json.loads((files("linewright.reading.words") / "soundalikes.json").read_text("utf-8")))
    return counted.with_forms(rhymes.forms())


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


def meanings(tokens: Sequence[Token], index: int, known: Table, expected: float = 0.0) -> list[Meaning]:
    """What the words from token ``index`` on may have been, cheapest first.

    A meaning costs what it is less probable than the best one of the same words; where ordinary talk would often
    have these words ("before"), all of them cost what is missing to the evidence that a plain form gives. A word
    that the recogniser doubted makes the former cheaper, one it was sure of dearer.

    :param expected: nats by which the words around speak for a square here, see :func:`expected`.
    """
    first = atoms(tokens[index].text)
    found: dict[int, dict[tuple[str, str], float]] = {}
    for run in _runs(tokens, _Run(index + 1, first), known):
        key = KINDS["".join(CLASSES[u] for u in run.meant)], value_of(run.meant)
        ends = found.setdefault(run.at, {})
        nats = run.nats + (ORIGIN_SAID if len(run.meant) == 4 else 0.0)
        ends[key] = min(nats, ends.get(key, math.inf))
    for end, unit in _by_ear(tokens, index):
        ends = found.setdefault(end, {})
        key = KINDS[CLASSES[unit]], value_of((unit,))
        ends[key] = min(rhymes.SOUNDS_LIKE, ends.get(key, math.inf))
    out = []
    for end, options in found.items():
        best = min(options.values())
        thin = known.evidence + best + _talk(tokens, index, end, known)
        doubt = known.doubt(_confidence(tokens[index:end]))
        for (kind, value), n in options.items():
            wanted = expected if kind in SQUARES else 0.0
            cost = max(0.0, thin - wanted) + (max(0.0, n - best - doubt) if n > best else 0.0)
            if cost <= known.dearest:
                out.append(Meaning(end, kind, value, cost))
    return sorted(out, key=lambda m: m.cost)[: known.most]


def _by_ear(tokens: Sequence[Token], index: int) -> Iterator[tuple[int, str]]:
    """One or two words that together sound like castling or a bishop: where they end, and the unit."""
    one = tokens[index]
    if one.text in UNITS or _ALIKE.get(one.text) in UNITS:
        return
    if unit := rhymes.sounds_like(one.text):
        yield index + 1, unit
    after = tokens[index + 1] if index + 1 < len(tokens) else None
    if after is None or one.stop or one.pause or after.heading != one.heading or after.text in UNITS:
        return
    if unit := rhymes.sounds_like(one.text + after.text):
        yield index + 2, unit


#: Nats that a piece or "takes" just before is evidence for a square, and that moves all around are.
AFTER_PIECE = 3.0
AMONG_MOVES = 2.5
#: Moves are all around when at least so many of so many tokens before and after are plainly a move's.
MOVE_TOKENS = 3
AROUND = 6
_PLAIN = re.compile(r"[a-h][1-8]|[nbrqk]?[a-h]?x?[a-h][1-8]")


def is_plain(token: Token) -> bool:
    """The word is a square, a piece, a capture or castling as it stands."""
    return _ALIKE.get(token.text, token.text) in _SPOKEN or bool(_PLAIN.fullmatch(token.text))


def expected(tokens: Sequence[Token], index: int) -> float:
    """Nats by which the words around speak for a square from token ``index`` on."""
    at = index - 1
    if at >= 0 and not tokens[at].stop:
        if tokens[at].text in ("to", "on") and at > 0 and not tokens[at - 1].stop:
            at -= 1
        if tokens[at].text in PIECES or _ALIKE.get(tokens[at].text, tokens[at].text) == "takes":
            return AFTER_PIECE
    around = (tokens[max(0, index - AROUND) : index], tokens[index + 1 : index + 1 + AROUND])
    told = sum(is_plain(t) for side in around for t in side)
    told += 2 * sum(a.text in LETTERS and _is_figure(b.text) for side in around for a, b in pairwise(side))
    return AMONG_MOVES if told >= MOVE_TOKENS else 0.0


def _is_figure(word: str) -> bool:
    return _ALIKE.get(word, word) in DIGITS


def value_of(meant: Sequence[str]) -> str:
    """The lattice edge's value of some units.

    >>> value_of(("knight", "b", "d", "7")), value_of(("takes",)), value_of(("queenside",))
    ('Nbd7', 'takes', 'Q')
    """
    if meant == ("takes",):
        return "takes"
    if meant[0] in ("kingside", "queenside"):
        return meant[0][0].upper()
    if meant[0] in ("castles", "check", "mate"):
        return ""
    return "".join(PIECES.get(u, "" if u == "takes" else u) for u in meant)


def _runs(tokens: Sequence[Token], run: _Run, known: Table) -> Iterator[_Run]:
    """All ways to hear parts of a move from here on, up to where a word and a unit end at once."""
    for size in range(1, LONGEST + 1):
        reached = _reach(tokens, run, size)
        if reached is None:
            return
        heard, rest = reached
        for meant, nats in known.heard.get(heard, ()):
            told = (*run.meant, *meant)
            if "".join(CLASSES[u] for u in told) not in _BEGUN:
                continue
            step = _Run(rest.at, rest.units, told, run.nats + nats + (PAUSE if _pause(tokens, run, rest) else 0.0))
            if rest.units:
                yield from _runs(tokens, step, known)
                continue
            if "".join(CLASSES[u] for u in told) in KINDS:
                yield step
            if CLASSES[told[-1]] == "L":
                yield from _digit(tokens, step, known)


def _pause(tokens: Sequence[Token], before: _Run, after: _Run) -> bool:
    """A comma stands between the words of one heard run."""
    return any(t.pause for t in tokens[before.at - 1 : after.at - 1])


def _digit(tokens: Sequence[Token], run: _Run, known: Table) -> Iterator[_Run]:
    """A letter at a word's end may find its digit in the next word."""
    reached = _reach(tokens, run, 1)
    if reached is None or reached[1].units:
        return
    heard, rest = reached
    for meant, nats in known.heard.get(heard, ()):
        if len(meant) == 1 and meant[0] in DIGITS:
            pause = PAUSE if tokens[run.at - 1].pause else 0.0
            yield _Run(rest.at, (), (*run.meant, *meant), run.nats + nats + pause)


def _reach(tokens: Sequence[Token], run: _Run, size: int) -> tuple[tuple[str, ...], _Run] | None:
    """The next ``size`` units heard and what follows them; a run doesn't go on over a sentence's end."""
    units, at = run.units, run.at
    while len(units) < size:
        if at >= len(tokens) or tokens[at - 1].stop or tokens[at].heading != tokens[at - 1].heading:
            return None
        units += atoms(tokens[at].text)
        at += 1
    return units[:size], _Run(at, units[size:])


def _talk(tokens: Sequence[Token], first: int, last: int, known: Table) -> float:
    """Log-probability of these words in ordinary talk."""
    total, usual = 0.0, 0
    for token in tokens[first:last]:
        told = talked(token.text)
        plain = told in known.talk and not (told in LETTERS and token.raw[:1].isupper())
        total += known.talk[told] if plain else known.other
        usual += plain
    return total + COMPANY * max(0, usual - 1)


def talked(word: str) -> str:
    """The word as talk is counted: numbers of two digits together.

    >>> talked("four"), talked("27"), talked("before"), talked("d4")
    ('4', '#', 'before', 'd4')
    """
    units = atoms(word)
    if len(units) == 1:
        return units[0]
    return "#" if word.isdigit() else word


def _confidence(tokens: Sequence[Token]) -> float | None:
    """The least probability among the words, None when the talk has none."""
    told = [t.confidence for t in tokens if t.confidence is not None]
    return min(told) if told else None
