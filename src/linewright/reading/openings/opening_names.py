"""Openings named in a talk, and the lines that their names mean: "it's a Najdorf", "the exchange French".

Names are looked for by their letters and, less freely, by their sounds ("the caro can", "grew in felled"). What is
also a person, a people, a place or an ordinary word is an opening only where the words around it say so.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache

import chess.polyglot

from linewright.language.name_words import name_words
from linewright.language.tables import ENGLISH, Language
from linewright.reading.openings.name_context import NameContext, is_move_word
from linewright.reading.openings.name_hits import NameHit, NameHits
from linewright.reading.openings.opening_index import (
    DEEPER,
    UNKNOWN_TO_TRAINERS,
    CatalogueLine,
    Freedom,
    OpeningIndex,
    OpeningName,
    board_after,
    opening_index,
    position_key,
)
from linewright.reading.search.positions import MoveCounts
from linewright.reading.words.tokens import Token

#: Names that may stand side by side ("King's Indian, Classical, Bayonet").
MOST_NAMES = 4
#: Lines given for a name.
MOST_LINES = 6
#: Nats above the likeliest at which a line is left out: one in fifty.
UNLIKELY = 4.0
#: Nats for a line outside the openings named so far, and for each opening named since the one it belongs to.
OUTSIDE, SINCE = 3.5, 0.5
#: Nats for a line that the catalogue knows by another noun: "Marshall gambit" for the Marshall Attack.
OTHER_NOUN = 0.7


@dataclass(frozen=True, slots=True)
class NamedLine:
    """A line that an opening's name may mean.

    :param moves: UCI from the start position, by the commonest order of moves.
    :param name: what the line is called.
    :param prior: nats that it is less likely meant than the likeliest line of the name; 0 for that one.
    """

    moves: tuple[str, ...]
    name: str
    prior: float


@dataclass(frozen=True, slots=True)
class NamedOpening:
    """An opening named in a talk.

    :param first: index of the name's first token; articles before it don't belong to it.
    :param last: index after its last token, an opening's noun ("variation") with it.
    :param lines: what it may mean, the likeliest first, 1 to ``MOST_LINES``, each position once.
    :param heard: nats for how the words differ from the name: 0 where it is spelled right.
    """

    first: int
    last: int
    lines: tuple[NamedLine, ...]
    heard: float


@dataclass(frozen=True, slots=True)
class _Chain:
    """Names side by side that mean lines together, with the nouns after them.

    :param nouns: the noun after each, ``""`` without one.
    :param joined: each follows the one before directly, without comma and connecting words.
    """

    hits: tuple[NameHit, ...]
    nouns: tuple[str, ...]
    last: int
    joined: bool = True

    @property
    def first(self) -> int:
        return self.hits[0].first

    @property
    def cost(self) -> float:
        return sum(hit.cost for hit in self.hits)

    @property
    def kind(self) -> Freedom:
        return min(hit.name.kind for hit in self.hits)


def find_openings(
    tokens: Sequence[Token], heard: bool, base: MoveCounts | None = None, language: Language = ENGLISH
) -> list[NamedOpening]:
    """The openings named in a talk, by their first token; they don't overlap.

    At each place the longest name is taken: "Queen's Gambit Declined, Exchange" is one. A name said in passing ("as
    in the Slav") is found as well.

    :param heard: the words come from a recogniser, so that a name may be misheard.
    :param base: games by which a name's lines are weighed; without it by those that were counted beforehand.
    """
    finder = _Finder(tokens, heard, base, language)
    found, index = list[NamedOpening](), 0
    while index < len(tokens):
        opening = finder.find_at(index)
        if opening is not None:
            found.append(opening)
        index = opening.last if opening else index + 1
    return found


class _Finder:
    """One pass over a talk; remembers the openings named so far."""

    def __init__(self, tokens: Sequence[Token], heard: bool, base: MoveCounts | None, language: Language) -> None:
        self.tokens = tokens
        self.heard = heard
        self.base = base
        self.index: OpeningIndex = opening_index(language)
        self.around = NameContext(tokens, language)
        self.words = name_words(language)
        self.hits = NameHits(self.around, heard, self.index, language)
        self.named: list[str] = []  # keys of the openings named so far, the last one first

    def find_at(self, index: int) -> NamedOpening | None:
        """The longest name that begins at a token, the one most like its words."""
        options = [chain for chain in self._chains(index) if self._accepts(chain)]
        for chain in sorted(options, key=lambda chain: (-chain.last, chain.cost, len(chain.hits), chain.nouns)):
            lines = self._lines(chain)
            if lines:
                self._remember(chain, lines[0][0])
                named = tuple(NamedLine(line.moves, line.title, round(prior, 2)) for line, prior in lines)
                return NamedOpening(chain.first, chain.last, named, round(chain.cost, 2))
        return None

    # -- names side by side ----------------------------------------------------------------------------------

    def _chains(self, index: int) -> Iterator[_Chain]:
        """All names that begin here, alone and with those after them that they mean a line with."""
        for hit in self.hits.at(index):
            noun, last = self._noun(hit)
            yield from self._longer(_Chain((hit,), (noun,), last))

    def _longer(self, chain: _Chain) -> Iterator[_Chain]:
        yield chain
        if len(chain.hits) == MOST_NAMES:
            return
        for start, joined in self._continuations(chain):
            for hit in self.hits.at(start):
                names = [*(h.name for h in chain.hits), hit.name]
                if hit.name in names[:-1] or not self.index.meant_by(names):
                    continue
                noun, last = self._noun(hit)
                longer = _Chain((*chain.hits, hit), (*chain.nouns, noun), last, chain.joined and joined)
                if joined or self._follows_loosely(chain, longer):
                    yield from self._longer(longer)

    def _continuations(self, chain: _Chain) -> Iterator[tuple[int, bool]]:
        """Where a next name may begin, with whether it follows directly."""
        at = chain.last
        if at >= len(self.tokens) or self.tokens[at - 1].stop or self.tokens[at].heading != self.tokens[at - 1].heading:
            return
        yield at, not self.tokens[at - 1].pause
        if self.tokens[at].text in self.words.of_the and not self.tokens[at - 1].pause:
            article = at + 1 < len(self.tokens) and self.tokens[at + 1].text in self.words.determiners
            following = at + (2 if article else 1)
            if following < len(self.tokens):
                yield following, False

    def _follows_loosely(self, chain: _Chain, longer: _Chain) -> bool:
        """After a comma, or after "of the", a second name belongs to the first one."""
        hit = longer.hits[-1]
        following = self.around.after(longer.last)
        if not self.tokens[chain.last - 1].pause:  # "the Rubinstein variation of the French"
            own = chain.nouns[-1] or self.around.determiner_at(chain.first) is not None
            article = self.tokens[hit.first - 1].text in self.words.determiners
            return bool(own) and hit.name.kind <= (Freedom.SHY if article else Freedom.PEOPLE)
        if longer.nouns[-1]:
            return True
        if hit.name.kind >= Freedom.PLAIN:
            return not following or (self.tokens[hit.first].raw[:1].isupper() and self.around.goes_on(following))
        return not following or following in self.words.goes_on_after_comma or is_move_word(following)

    def _noun(self, hit: NameHit) -> tuple[str, int]:
        """The opening's noun right after a name, and the index after it; ``("", hit.last)`` without one."""
        following = self.index.plain(self.around.after(hit.last))
        loose = following in self.words.loose_nouns and hit.name.kind < Freedom.PLAIN
        if (following in self.words.strict_nouns or loose) and following not in hit.name.text.split():
            return following, hit.last + 1
        return "", hit.last

    # -- whether it is an opening ------------------------------------------------------------------------------

    def _accepts(self, chain: _Chain) -> bool:
        """The words around say that it is an opening, as far as its own words don't."""
        if len(chain.hits) > 1:
            return self._accepts_together(chain)
        hit, noun = chain.hits[0], chain.nouns[0]
        kind = hit.name.kind
        if kind is Freedom.SURE:
            people = self.around.after(chain.last) in self.words.of_a_place
            return not people and not self._acronym_in_small(hit)
        if noun in self.words.strict_nouns:
            return kind < Freedom.CATALOGUED or self._in_named(hit.name)
        if self.around.fills_heading(chain.first, chain.last):
            return kind < Freedom.PLAIN or self._in_named(hit.name)
        if kind >= Freedom.PLAIN:
            return self._accepts_ordinary(chain)
        return self._accepts_shy(chain)

    def _accepts_together(self, chain: _Chain) -> bool:
        """Two or more names: not two persons side by side, and not ordinary words alone."""
        if chain.kind <= Freedom.PEOPLE:
            doubtful = chain.kind is Freedom.PEOPLE or (chain.joined and chain.hits[-1].name.kind >= Freedom.PLAIN)
            return bool(chain.nouns[-1]) or not doubtful or self._ends_well(chain)
        return any(noun in self.words.strict_nouns for noun in chain.nouns) and chain.kind < Freedom.PLAIN

    def _ends_well(self, chain: _Chain) -> bool:
        """What follows leaves the last name a name, and no verb: "the Slav exchange is", but not "exchange on d5"."""
        following = self.around.after(chain.last)
        if chain.hits[-1].name.kind >= Freedom.PLAIN and following in self.words.not_of_ordinary:
            return False
        return self.around.goes_on(following)

    def _acronym_in_small(self, hit: NameHit) -> bool:
        one = len(hit.name.text) == 3 and hit.last == hit.first + 1
        return one and not self.heard and not self.tokens[hit.first].raw.isupper()

    def _accepts_shy(self, chain: _Chain) -> bool:
        """A person, a people or a place: "the Marshall", "his French", "she plays French"."""
        kind = chain.hits[0].name.kind
        following = self.around.after(chain.last)
        bad = kind is Freedom.PEOPLE and following in self.words.not_of_people
        if not self.around.goes_on(following) or bad:
            return False
        determiner = self.around.determiner_at(chain.first)
        if determiner is None:
            verb = self.around.before(chain.first) in self.words.plays
            return verb and kind is Freedom.PEOPLE and (not following or following in self.words.goes_on)
        article = self.tokens[determiner].text
        if kind is Freedom.RARE:
            spelled = chain.hits[0].cost == 0 and article in self.words.the and self._capital(chain)
            return spelled and self._in_named(chain.hits[0].name)
        if kind is Freedom.PEOPLE and article in self.words.languages_of:
            return False
        return not self.around.of_people(determiner)

    def _accepts_ordinary(self, chain: _Chain) -> bool:
        """An ordinary word of a family that was named: "the Exchange", "he goes for the exchange and ..."."""
        determiner = self.around.determiner_at(chain.first)
        following = self.around.after(chain.last)
        if determiner is None or chain.hits[0].cost or not self._in_named(chain.hits[0].name):
            return False
        if self.tokens[determiner].text not in self.words.the or not self.around.goes_on(following):
            return False
        if following in self.words.not_of_ordinary:
            return False
        return self._capital(chain) or self.around.in_frame(determiner)

    def _capital(self, chain: _Chain) -> bool:
        """The trainer wrote the name with a capital; a recogniser's capitals say little."""
        return not self.heard and self.around.capital_within(chain.first)

    def _in_named(self, name: OpeningName) -> bool:
        """One of its lines belongs to an opening that was named before."""
        return any(not self.index.above(key).isdisjoint(self.named) for key in name.lines)

    # -- what it means -----------------------------------------------------------------------------------------

    def _lines(self, chain: _Chain) -> list[tuple[CatalogueLine, float]]:
        """The lines that the names mean, likeliest first, with the nats that they are less likely than the first."""
        meant = self.index.meant_by(hit.name for hit in chain.hits)
        priced = [(self._price(key, kind, chain), self.index.lines[key]) for key, kind in meant.items()]
        if not priced:
            return []
        priced.sort(key=lambda pair: pair[0])
        best, first = priced[0]
        deeper = [(self._price(key, Freedom.SURE, chain) + DEEPER, self.index.lines[key]) for key in first.also]
        out: dict[str, tuple[CatalogueLine, float]] = {}
        for price, line in sorted([*priced, *deeper], key=lambda pair: pair[0]):
            if price - best <= UNLIKELY and len(out) < MOST_LINES:
                out.setdefault(position_key(line.moves), (line, max(0.0, price - best)))
        return list(out.values())

    def _price(self, key: str, kind: Freedom, chain: _Chain) -> float:
        """Nats for a line: by its games, by what was named before, by the noun."""
        line = self.index.lines[key]
        price = -math.log(1 + self._games(line))
        if kind in (Freedom.RARE, Freedom.CATALOGUED):
            price += UNKNOWN_TO_TRAINERS
        if len(chain.hits) == 1 and self.named and chain.kind is not Freedom.SURE:
            above = self.index.above(key)
            since = next((rank for rank, named in enumerate(self.named) if named in above), None)
            price += OUTSIDE if since is None else min(OUTSIDE, SINCE * since)
        if chain.nouns[-1] in self.words.strict_nouns:
            own = self.index.names.get(f"{chain.hits[-1].name.text} {chain.nouns[-1]}".replace(" ", ""))
            price += OTHER_NOUN if own is not None and key not in own.lines else 0.0
        return price

    def _games(self, line: CatalogueLine) -> int:
        if self.base is None:
            return line.games
        key = _zobrist(line.moves)
        return sum(self.base.moves_played([key]).get(key, {}).values())

    def _remember(self, chain: _Chain, line: CatalogueLine) -> None:
        family = self.index.family(line.key)
        kept = [key for key in self.named if key not in (line.key, family)]
        self.named = [line.key, family, *kept] if family != line.key else [line.key, *kept]


@cache
def _zobrist(moves: tuple[str, ...]) -> int:
    return chess.polyglot.zobrist_hash(board_after(moves))


__all__ = ["NamedLine", "NamedOpening", "find_openings"]
