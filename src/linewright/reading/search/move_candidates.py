"""The ways to play what is said at one place of a talk: which legal moves the words may mean, and at what cost."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple, Protocol

from linewright.reading.phrases.phrase import Phrase, chief
from linewright.reading.search.legal import Legal
from linewright.reading.search.positions import Match, Position
from linewright.reading.search.returns import TreeNode

#: Likelihoods are flattened: a lesson is no random game.
LIKELIHOOD_POWER = 0.9
#: A position reached in fewer games says nothing of what is usual.
ENOUGH_GAMES = 5
#: Nats, in captions, for a move whose words were misheard beyond what sound-alikes know; only a move that at least
#: this share of at least so many games play can be meant.
GARBLED = 6.0
GARBLED_SHARE = 0.2
#: Castling is seldom heard as anything else.
GARBLED_KINDS = frozenset(("square", "piece", "takes", "san"))
#: Nats that a phrase, or a move that fits it, may cost to count as plain.
PLAINLY = 1.5


class Growth(Protocol):
    """A reading, as far as its tree goes: the one it grew from has the same tree, or one that lacks the last node."""

    @property
    def tree(self) -> tuple[TreeNode, ...]: ...

    @property
    def before(self) -> Growth | None: ...


class Way(NamedTuple):
    """A legal move that some phrase at a token may mean, with the log-probability of playing it so."""

    score: float
    phrase: Phrase
    match: Match


class Ways:
    """All ways to play the phrases that begin at one token, worked out once for each position.

    :param phrases: what is said there.
    :param costs: nats for playing each phrase, by the words around it, whatever the move.
    :param person: the side that the speaker gives the move to, and nats when it is the other's.
    :param heard: the words come from a recogniser, so that they may be garbled.
    """

    def __init__(
        self, phrases: Sequence[Phrase], costs: Sequence[float], person: tuple[bool, float] | None, heard: bool
    ) -> None:
        self.costs = dict(zip(phrases, costs, strict=True))
        self.person = person
        self._enough = min((p.cost for p in phrases), default=0.0) + PLAINLY
        self.ends = frozenset(p.last for p in phrases)
        main = chief(phrases) if heard and phrases else None
        self.garbled = main if main is not None and main.kind in GARBLED_KINDS else None
        self._known: dict[Position, list[Way]] = {}
        self._misheard: dict[Position, list[Way]] = {}
        self.plain = tuple(p for p in phrases if says_plainly(p))
        self._fit: dict[Position, bool] = {}
        self._fit_plainly: dict[Position, bool] = {}
        self._likeliest: dict[Position, float] = {}
        self._reach: dict[int, list[tuple[int, list[Way]]]] = {}

    def of(self, position: Position) -> list[Way]:
        """The ways from this position, best first."""
        known = self._known.get(position)
        if known is None:
            known = self._known[position] = self._find(position)
        return known

    def misheard(self, position: Position) -> list[Way]:
        """The moves usual here that the words may stand for although they sound otherwise."""
        if self.garbled is None:
            return []
        known = self._misheard.get(position)
        if known is None:
            known = self._misheard[position] = self._find_misheard(position, self.garbled)
        return known

    def reach(self, growth: Growth) -> list[tuple[int, list[Way]]]:
        """The tree positions of a reading from which a phrase can be played, with the ways; readings that grew from
        the same one share most of their trees, so that each node is looked at once."""
        grown: list[Growth] = []
        at: Growth | None = growth
        while at is not None and id(at.tree) not in self._reach:
            grown.append(at)
            at = at.before
        found = self._reach[id(at.tree)] if at is not None else []
        size = len(at.tree) if at is not None else 0
        for newer in reversed(grown):
            more = [(i, w) for i in range(size, len(newer.tree)) if (w := self.of(newer.tree[i].position))]
            found = found + more if more else found
            size = len(newer.tree)
            self._reach[id(newer.tree)] = found
        return found

    def fit(self, position: Position) -> bool:
        """Some phrase, and not only a far-fetched meaning of the words, can be played from this position."""
        known = self._fit.get(position)
        if known is None:
            known = self._fit[position] = any(
                phrase.cost + m.cost <= self._enough for phrase in self.costs for m in position.matches(phrase)
            )
        return known

    def fit_plainly(self, position: Position) -> bool:
        """Some phrase that names its move plainly can be played from this position."""
        known = self._fit_plainly.get(position)
        if known is None:
            known = self._fit_plainly[position] = any(
                m.cost <= PLAINLY for phrase in self.plain for m in position.matches(phrase)
            )
        return known

    def likeliest(self, position: Position) -> float:
        """Log-probability that the words name a move that may be played here, whether it is or not."""
        known = self._likeliest.get(position)
        if known is None:
            known = max((way.score + self.costs[way.phrase] for way in self.of(position)), default=-math.inf)
            self._likeliest[position] = known
        return known

    def _find(self, position: Position) -> list[Way]:
        wrong = self.person[1] if self.person is not None and self.person[0] != position.board.turn else 0.0
        found = [
            Way(LIKELIHOOD_POWER * position.log_likelihood(m.legal) - m.cost - phrase.cost - cost - wrong, phrase, m)
            for phrase, cost in self.costs.items()
            for m in position.matches(phrase)
        ]
        return sorted(found, key=lambda way: -way.score)

    def _find_misheard(self, position: Position, garbled: Phrase) -> list[Way]:
        cost = GARBLED + self.costs[garbled]
        phrase = Phrase(garbled.first, garbled.last, "misheard")
        return [
            Way(LIKELIHOOD_POWER * math.log(share) - cost, phrase, Match(legal, 0.0))
            for legal, share in usual(position, GARBLED_SHARE)
            if sounds_near(garbled, legal)
        ]


def says_plainly(phrase: Phrase) -> bool:
    """The words tell a move rather than some move: they name its square, and are not too far-fetched."""
    return bool(phrase.to) and phrase.cost <= PLAINLY and not phrase.past


def sounds_near(phrase: Phrase, legal: Legal) -> bool:
    """Some of the words may still be right: the piece, the square, the capture."""
    if phrase.castles:
        return False
    if phrase.kind == "square" and not phrase.takes:
        return legal.piece == "P" or bool({*legal.to} & {*phrase.to})
    if phrase.takes and not phrase.to:
        return legal.capture
    return phrase.piece == legal.piece or phrase.to == legal.to


def usual(position: Position, least: float) -> list[tuple[Legal, float]]:
    """The moves that at least this share of the games play from a position, with their shares."""
    if not position.counts or position.games < ENOUGH_GAMES:
        return []
    counts, games = position.counts, position.games
    shares = [(legal, counts.get(legal.uci, 0) / games) for legal in position.legal]
    return [(legal, share) for legal, share in shares if share >= least]


def softplus(x: float) -> float:
    """log(1 + e^x), the cost of the event whose log-odds are ``-x``."""
    return math.log1p(math.exp(-abs(x))) + max(x, 0.0)
