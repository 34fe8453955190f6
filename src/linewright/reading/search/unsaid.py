"""Moves that nobody read: unsaid, or lost in garbled words. The line goes on over them where the next words fit.

One unread move costs five or six, since from then on the wrong side is to move. So where a plain phrase fits no
position, readings are grown over the moves that may have been lost before it, each at a price that only words which
fit afterwards can pay back.
"""

from __future__ import annotations

import heapq
import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cache
from typing import NamedTuple

from linewright.language.tables import ENGLISH, Language
from linewright.reading.phrases.phrase import Phrase
from linewright.reading.phrases.verbs import verb_forms
from linewright.reading.search.hypothesis import Hypothesis, Proposal
from linewright.reading.search.legal import Legal
from linewright.reading.search.move_candidates import LIKELIHOOD_POWER, Ways, usual
from linewright.reading.search.positions import Atlas, Match, Position
from linewright.reading.words.tokens import Token

#: Nats for a move that went unsaid, by how many words that no phrase explains stand where it would have been said:
#: none at all, one or two, more. With more it may well have been said in words that nobody reads.
UNSAID = (6.0, 5.0, 4.0)
#: The same where a man is named, or what a man does.
UNSAID_HINTED = 3.0
#: Nats for each one more in a row, and the share of the games that must play it.
UNSAID_MORE = 3.0
#: The same where there are words enough for each: so many to a move.
UNSAID_MORE_TOLD = 2.0
CLAUSE = 4
UNSAID_IN_A_ROW = 3
UNSAID_SHARE = 0.15
#: Readings, best first, that are grown over unsaid moves.
UNSAID_TRIED = 60
#: Nats for a move lost that is not one of the usual ones; tried for so many of the best readings, with so many of the
#: position's likeliest moves, each at least this likely.
LOST = 6.0
LOST_TRIED = 12
LOST_MOVES = 8
LOST_LEAST = 0.01
#: Nats for a lesson that begins further on, its first moves unsaid.
LATER = 3.0
#: The positions in which a lesson may begin: so many of the likeliest, none deeper than this many plies.
OPENINGS = 600
OPENINGS_DEEP = 16
#: Of these, how many are tried for one phrase.
OPENINGS_TRIED = 24
#: Where a reading is known to have lost the line: nats for taking it up again from any position shown so far, or known
#: from games, over moves that nobody read; tried for so many of the best readings, over so many moves, each played in
#: at least this share of the games.
RESCUE = 4.0
RESCUED = 6
RESCUE_MOVES = 4
RESCUE_SHARE = 0.08


class LikelyOpening(NamedTuple):
    """A position that games come to from the start.

    :param way: the moves that lead to it.
    :param likely: log-probability of coming to it.
    """

    position: Position
    way: tuple[Legal, ...]
    likely: float


@dataclass
class Unsaid:
    """Grows readings over moves that were not read."""

    atlas: Atlas
    tokens: Sequence[Token]
    rescues: frozenset[int] = frozenset()
    language: Language = ENGLISH
    _openings: list[LikelyOpening] | None = None

    def before(self, hypotheses: Sequence[Hypothesis], index: int, ways: Ways) -> list[Hypothesis]:
        """Readings in which moves went unsaid, or were lost, before a phrase that doesn't fit without them."""
        tried = [h for h in hypotheses[:UNSAID_TRIED] if not h.forced]
        out = self._lessons_later(tried, index, ways)
        if index in self.rescues:
            out += self._rescued(tried[:RESCUED], index, ways)
        waiting = [h for h in tried if not ways.fit(h.position)]
        if not any(ways.fit_plainly(h.position) for h in hypotheses[:LOST_TRIED]):
            out += self._lost(waiting[:LOST_TRIED], index, ways)
        for depth in range(UNSAID_IN_A_ROW):
            self.atlas.ask(h.position for h in waiting)
            grown = [after for h in waiting for after in obvious(h, index, self._cost(h.since, index, depth))]
            out += [h for h in grown if ways.fit(h.position)]
            waiting = [h for h in grown if not ways.fit(h.position)]
        self.atlas.ask(h.position for h in out)
        return out

    def _lost(self, hypotheses: Sequence[Hypothesis], index: int, ways: Ways) -> list[Hypothesis]:
        """Readings after any likely move, where a plain phrase fits once the other side is to move."""
        out: list[Hypothesis] = []
        plain = [h for h in hypotheses if h.position.passed is not None and ways.fit_plainly(h.position.passed)]
        for hypothesis in plain:
            position = hypothesis.position
            likely = heapq.nlargest(LOST_MOVES, position.legal, key=position.log_likelihood)
            for legal in likely:
                score = position.log_likelihood(legal)
                if score < math.log(LOST_LEAST):
                    break
                if ways.fit_plainly(position.after(legal)):
                    out.append(
                        grown_by(hypothesis, Phrase(index, index, "unsaid"), legal, LOST - LIKELIHOOD_POWER * score)
                    )
        return out

    def _rescued(self, hypotheses: Sequence[Hypothesis], index: int, ways: Ways) -> list[Hypothesis]:
        """Readings taken up again where the words fit, over usual moves from anywhere in their trees."""
        out: list[Hypothesis] = []
        for hypothesis in hypotheses:
            level: list[tuple[int, Position, tuple[Legal, ...], float]]
            level = [(at, node.position, (), 0.0) for at, node in enumerate(hypothesis.tree)]
            for _ in range(RESCUE_MOVES):
                self.atlas.ask(position for _, position, _, _ in level)
                level = [
                    (at, position.after(legal), (*way, legal), likely + math.log(share))
                    for at, position, way, likely in level
                    for legal, share in usual(position, RESCUE_SHARE)
                ]
                level = heapq.nlargest(OPENINGS // 4, level, key=lambda row: row[3])
                out += [
                    grown_along(replace(hypothesis, at=at), index, way, RESCUE - LIKELIHOOD_POWER * likely)
                    for at, position, way, likely in level
                    if ways.fit_plainly(position)
                ]
            if hypothesis.tree[0].position.board.fullmove_number == 1:
                out += [
                    grown_along(replace(hypothesis, at=0), index, o.way, RESCUE - LIKELIHOOD_POWER * o.likely)
                    for o in self._likely_openings(hypothesis.tree[0].position)
                    if ways.fit_plainly(o.position)
                ][:OPENINGS_TRIED]
        return out

    def _cost(self, since: int, until: int, depth: int) -> float:
        """Nats for a move lost between two tokens, by the words there, ``depth`` others being lost there too."""
        words = [t.text for t in self.tokens[since:until]]
        if depth:
            return UNSAID_MORE if len(words) < CLAUSE * (depth + 1) else UNSAID_MORE_TOLD
        if not hints(self.language).isdisjoint(words):
            return UNSAID_HINTED
        return UNSAID[min(len(words), 3) - (len(words) > 1)]

    def _lessons_later(self, hypotheses: Sequence[Hypothesis], index: int, ways: Ways) -> list[Hypothesis]:
        """Readings of a lesson that begins some moves on: "so after the bishop comes to c4 …"."""
        root = next((h for h in hypotheses if h.played is None), None)
        if root is None or len(root.tree) > 1 or not ways.plain:
            return []
        found = [o for o in self._likely_openings(root.position) if ways.fit_plainly(o.position)]
        return [grown_along(root, index, o.way, LATER - LIKELIHOOD_POWER * o.likely) for o in found[:OPENINGS_TRIED]]

    def _likely_openings(self, root: Position) -> list[LikelyOpening]:
        if self._openings is None:
            self._openings = sorted(likely_openings(root, self.atlas), key=lambda o: -o.likely)
        return self._openings


@cache
def hints(language: Language = ENGLISH) -> frozenset[str]:
    """Words that tell of a move in whatever way: the men, and the forms of what they do."""
    table = language.table("reading/unsaid")
    verbs = [verb_forms(base, language) for base in table.listed("verbs")]
    return table.words("men", "other_forms") | {form for v in verbs for form in (v.base, v.third, v.past)}


def likely_openings(root: Position, atlas: Atlas) -> Iterator[LikelyOpening]:
    """The positions that most games come to, the root left out; none without a base."""
    level = [LikelyOpening(root, (), 0.0)]
    for _ in range(OPENINGS_DEEP):
        atlas.ask(o.position for o in level)
        after = [
            LikelyOpening(o.position.after(legal), (*o.way, legal), o.likely + math.log(share))
            for o in level
            for legal, share in usual(o.position, 0.0)
            if share > 0.0
        ]
        level = heapq.nlargest(OPENINGS // 4, after, key=lambda o: o.likely)
        yield from level


def obvious(hypothesis: Hypothesis, index: int, cost: float) -> Iterator[Hypothesis]:
    """The reading after each reply that many games play from its position, unsaid before token ``index``."""
    for legal, share in usual(hypothesis.position, UNSAID_SHARE):
        yield grown_by(hypothesis, Phrase(index, index, "unsaid"), legal, cost - LIKELIHOOD_POWER * math.log(share))


def grown_by(hypothesis: Hypothesis, phrase: Phrase, legal: Legal, cost: float) -> Hypothesis:
    """The reading after a move that was not read, at a cost in nats.

    :param phrase: where it went unsaid.
    """
    proposal = Proposal(hypothesis.score - cost, hypothesis, phrase, Match(legal, 0.0), hypothesis.at)
    return replace(proposal.grow(), since=hypothesis.since)


def grown_along(hypothesis: Hypothesis, index: int, way: Iterable[Legal], cost: float) -> Hypothesis:
    """The reading after the moves of a known opening, at a cost in nats for all of them."""
    for legal in way:
        hypothesis = grown_by(hypothesis, Phrase(index, index, "given"), legal, cost)
        cost = 0.0
    return hypothesis
