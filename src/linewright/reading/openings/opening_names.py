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
from rapidfuzz import fuzz
from rapidfuzz.distance import Levenshtein

from linewright.lesson.sounds import sound
from linewright.reading.openings import opening_words as words
from linewright.reading.openings.opening_index import (
    DEEPER,
    LOOSE_NOUNS,
    STRICT_NOUNS,
    UNKNOWN_TO_TRAINERS,
    Kind,
    Line,
    Name,
    OpeningIndex,
    board_after,
    opening_index,
    plain_words,
    position_key,
)
from linewright.reading.search.positions import Played
from linewright.reading.words.tokens import Token

#: Words that a name may be heard as, and names that may stand side by side ("King's Indian, Classical, Bayonet").
LONGEST, MOST_NAMES = 5, 4
#: Lines given for a name.
MOST_LINES = 6
#: Nats above the likeliest at which a line is left out: one in fifty.
UNLIKELY = 4.0
#: Nats for a line outside the openings named so far, and for each opening named since the one it belongs to.
OUTSIDE, SINCE = 3.5, 0.5
#: Nats for a line that the catalogue knows by another noun: "Marshall gambit" for the Marshall Attack.
OTHER_NOUN = 0.7
#: Nats for a name that sounds alike but isn't spelled so; for each share of its sounds that differs; for no letters
#: in common.
ALIKE, SOUND_OFF, LETTERS_OFF = 0.5, 10.0, 2.0
#: How alike (0-1) words and a name must be before an opening's noun, and after a determiner only; chosen so that
#: ordinary words of the given and the seen talks' captions name none. ``SOUND_SHARE`` of it is sound, the rest letters.
NEAR_NOUN, NEAR_DETERMINER = 0.72, 0.80
#: The same for one word after a determiner only ("the notebook"), and for a name that only the catalogue has.
NEAR_ONE_WORD, NEAR_RARE = 0.88, 0.90
SOUND_SHARE = 0.6
#: How alike (0-1) sounds alone must be for a closer look.
LEAST_SOUND = 0.7
#: The same of letters, where the words were typed.
TYPED_LETTERS = 0.80
#: Sounds that a misheard name has at least, beside a noun and elsewhere: shorter ones are like too much.
FEWEST_SOUNDS, FEWEST_ALONE = 4, 6


#: "His French" is what he speaks.
_LANGUAGES_OF = frozenset("my his her your our their".split())


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
class _Hit:
    """Tokens ``first`` to ``last`` may be a name; ``cost`` in nats as :attr:`NamedOpening.heard`."""

    first: int
    last: int
    name: Name
    cost: float


@dataclass(frozen=True, slots=True)
class _Chain:
    """Names side by side that mean lines together, with the nouns after them.

    :param nouns: the noun after each, ``""`` without one.
    :param joined: each follows the one before directly, without comma and connecting words.
    """

    hits: tuple[_Hit, ...]
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
    def kind(self) -> Kind:
        return min(hit.name.kind for hit in self.hits)


def find_openings(tokens: Sequence[Token], heard: bool, base: Played | None = None) -> list[NamedOpening]:
    """The openings named in a talk, by their first token; they don't overlap.

    At each place the longest name is taken: "Queen's Gambit Declined, Exchange" is one. A name told in passing ("as
    in the Slav") is found as well.

    :param heard: the words come from a recogniser, so that a name may be misheard.
    :param base: games by which a name's lines are weighed; without it by those that were counted beforehand.
    """
    finder = _Finder(tokens, heard, base)
    found, index = list[NamedOpening](), 0
    while index < len(tokens):
        opening = finder.find_at(index)
        if opening is not None:
            found.append(opening)
        index = opening.last if opening else index + 1
    return found


class _Finder:
    """One pass over a talk; remembers the openings named so far."""

    def __init__(self, tokens: Sequence[Token], heard: bool, base: Played | None) -> None:
        self.tokens = tokens
        self.heard = heard
        self.base = base
        self.index: OpeningIndex = opening_index()
        self.letters = [plain_words(token.text).replace(" ", "") for token in tokens]
        self.sounds = [sound(letters) for letters in self.letters]
        self.named: list[str] = []  # keys of the openings named so far, the last one first
        self._hits: dict[int, tuple[_Hit, ...]] = {}

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
        for hit in self._hits_at(index):
            noun, last = self._noun(hit)
            yield from self._longer(_Chain((hit,), (noun,), last))

    def _longer(self, chain: _Chain) -> Iterator[_Chain]:
        yield chain
        if len(chain.hits) == MOST_NAMES:
            return
        for start, joined in self._continuations(chain):
            for hit in self._hits_at(start):
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
        if self.tokens[at].text in words.OF_THE and not self.tokens[at - 1].pause:
            article = at + 1 < len(self.tokens) and self.tokens[at + 1].text in words.DETERMINERS
            following = at + (2 if article else 1)
            if following < len(self.tokens):
                yield following, False

    def _follows_loosely(self, chain: _Chain, longer: _Chain) -> bool:
        """After a comma, or after "of the", a second name belongs to the first one."""
        hit = longer.hits[-1]
        following = words.after(self.tokens, longer.last)
        if not self.tokens[chain.last - 1].pause:  # "the Rubinstein variation of the French"
            own = chain.nouns[-1] or words.determiner_at(self.tokens, chain.first) is not None
            article = self.tokens[hit.first - 1].text in words.DETERMINERS
            return bool(own) and hit.name.kind <= (Kind.SHY if article else Kind.PEOPLE)
        if longer.nouns[-1]:
            return True
        if hit.name.kind >= Kind.PLAIN:
            return not following or (self.tokens[hit.first].raw[:1].isupper() and words.goes_on(following))
        return not following or following in ("with", "where", "is") or words.is_move_word(following)

    def _noun(self, hit: _Hit) -> tuple[str, int]:
        """The opening's noun right after a name, and the index after it; ``("", hit.last)`` without one."""
        following = plain_words(words.after(self.tokens, hit.last))
        known = following in STRICT_NOUNS or (following in LOOSE_NOUNS and hit.name.kind < Kind.PLAIN)
        if known and following not in hit.name.text.split():
            return following, hit.last + 1
        return "", hit.last

    # -- whether it is an opening ------------------------------------------------------------------------------

    def _accepts(self, chain: _Chain) -> bool:
        """The words around say that it is an opening, as far as its own words don't."""
        if len(chain.hits) > 1:
            return self._accepts_together(chain)
        hit, noun = chain.hits[0], chain.nouns[0]
        kind = hit.name.kind
        if kind is Kind.SURE:
            people = words.after(self.tokens, chain.last) in words.OF_A_PLACE
            return not people and not self._acronym_in_small(hit)
        if noun in STRICT_NOUNS:
            return kind < Kind.CATALOGUED or self._in_named(hit.name)
        if words.fills_heading(self.tokens, chain.first, chain.last):
            return kind < Kind.PLAIN or self._in_named(hit.name)
        if kind >= Kind.PLAIN:
            return self._accepts_ordinary(chain)
        return self._accepts_shy(chain)

    def _accepts_together(self, chain: _Chain) -> bool:
        """Two or more names: not two persons side by side, and not ordinary words alone."""
        if chain.kind <= Kind.PEOPLE:
            doubtful = chain.kind is Kind.PEOPLE or (chain.joined and chain.hits[-1].name.kind >= Kind.PLAIN)
            return bool(chain.nouns[-1]) or not doubtful or self._ends_well(chain)
        return any(noun in STRICT_NOUNS for noun in chain.nouns) and chain.kind < Kind.PLAIN

    def _ends_well(self, chain: _Chain) -> bool:
        """What follows leaves the last name a name, and no verb: "the Slav exchange is", but not "exchange on d5"."""
        following = words.after(self.tokens, chain.last)
        if chain.hits[-1].name.kind >= Kind.PLAIN and following in words.NOT_OF_ORDINARY:
            return False
        return words.goes_on(following)

    def _acronym_in_small(self, hit: _Hit) -> bool:
        one = len(hit.name.text) == 3 and hit.last == hit.first + 1
        return one and not self.heard and not self.tokens[hit.first].raw.isupper()

    def _accepts_shy(self, chain: _Chain) -> bool:
        """A person, a people or a place: "the Marshall", "his French", "she plays French"."""
        kind = chain.hits[0].name.kind
        following = words.after(self.tokens, chain.last)
        bad = kind is Kind.PEOPLE and following in words.NOT_OF_PEOPLE
        if not words.goes_on(following) or bad:
            return False
        determiner = words.determiner_at(self.tokens, chain.first)
        if determiner is None:
            verb = words.before(self.tokens, chain.first) in words.PLAYS
            return verb and kind is Kind.PEOPLE and (not following or following in words.GOES_ON)
        article = self.tokens[determiner].text
        if kind is Kind.RARE:
            told = chain.hits[0].cost == 0 and article == "the" and self._capital(chain)
            return told and self._in_named(chain.hits[0].name)
        if kind is Kind.PEOPLE and article in _LANGUAGES_OF:
            return False
        return not words.of_people(self.tokens, determiner)

    def _accepts_ordinary(self, chain: _Chain) -> bool:
        """An ordinary word of a family that was named: "the Exchange", "he goes for the exchange and ..."."""
        determiner = words.determiner_at(self.tokens, chain.first)
        following = words.after(self.tokens, chain.last)
        if determiner is None or chain.hits[0].cost or not self._in_named(chain.hits[0].name):
            return False
        if self.tokens[determiner].text != "the" or not words.goes_on(following):
            return False
        if following in words.NOT_OF_ORDINARY:
            return False
        return self._capital(chain) or words.in_frame(self.tokens, determiner)

    def _capital(self, chain: _Chain) -> bool:
        """The trainer wrote the name with a capital; a recogniser's capitals say little."""
        return not self.heard and words.capital_within(self.tokens, chain.first)

    def _in_named(self, name: Name) -> bool:
        """One of its lines belongs to an opening that was named before."""
        return any(not self.index.above(key).isdisjoint(self.named) for key in name.lines)

    # -- names in the words ------------------------------------------------------------------------------------

    def _hits_at(self, first: int) -> tuple[_Hit, ...]:
        """The names that the words from here may be, each once, at its least cost."""
        known = self._hits.get(first)
        if known is None:
            found: dict[tuple[int, str], _Hit] = {}
            spelled = tuple(self._spelled(first))
            exact = {hit.name.text for hit in spelled}
            misheard = (*self._alike(first), *self._near(first))
            for hit in (*spelled, *(hit for hit in misheard if hit.name.text not in exact)):
                old = found.get((hit.last, hit.name.text))
                if old is None or hit.cost < old.cost:
                    found[hit.last, hit.name.text] = hit
            known = self._hits[first] = tuple(found.values())
        return known

    def _windows(self, first: int) -> Iterator[int]:
        """Where words from here may end: before a comma's or a sentence's end."""
        for last in range(first + 1, min(first + LONGEST, len(self.tokens)) + 1):
            yield last
            token = self.tokens[last - 1]
            if token.stop or token.pause or (last < len(self.tokens) and self.tokens[last].heading != token.heading):
                return

    def _spelled(self, first: int) -> Iterator[_Hit]:
        letters = ""
        for last in self._windows(first):
            letters += self.letters[last - 1]
            name = self.index.names.get(letters)
            if name is not None and name.text not in words.BOARD:
                yield _Hit(first, last, name, 0.0)
            own = self.index.names.get(letters[:-1]) if self._possessive(last) else None
            if own is not None and own.kind in (Kind.SHY, Kind.PEOPLE, Kind.RARE):
                yield _Hit(first, last, own, 0.0)
            if letters not in self.index.beginnings:
                return

    def _possessive(self, last: int) -> bool:
        """The name's last word is a possessive before an opening's noun: "Alekhine's Defence"."""
        following = plain_words(words.after(self.tokens, last))
        return self.tokens[last - 1].text.endswith("'s") and following in STRICT_NOUNS

    def _alike(self, first: int) -> Iterator[_Hit]:
        """Names that sound exactly as the words do."""
        if not self._may_begin(first):
            return
        sounds = ""
        for last in self._windows(first):
            sounds = self._join(sounds, self.sounds[last - 1])
            if sounds not in self.index.sound_beginnings:
                return
            for name in self.index.by_sound.get(sounds, ()):
                if self._may_sound(first, last, name) and self._enough(first, last, name, sounds):
                    least = NEAR_NOUN if self._noun_after(last) else NEAR_DETERMINER
                    least = NEAR_RARE if name.kind is Kind.RARE else least
                    yield from self._misheard(first, last, name, sounds, sounds, least)

    def _near(self, first: int) -> Iterator[_Hit]:
        """Names that sound almost as the words do, where an opening is called for."""
        if not self._may_begin(first):
            return
        determiner = self._called_for(first)
        sounds = ""
        for last in self._windows(first):
            sounds = self._join(sounds, self.sounds[last - 1])
            noun = self._noun_after(last)
            least = NEAR_NOUN if noun else NEAR_ONE_WORD if last == first + 1 else NEAR_DETERMINER
            if not (noun or determiner) or len(sounds) < (FEWEST_SOUNDS if noun else FEWEST_ALONE):
                continue
            for length in range(len(sounds) - 2, len(sounds) + 3):
                for other in self.index.near_sounds.get((sounds[0], length), ()):
                    if other == sounds or Levenshtein.normalized_similarity(sounds, other) < LEAST_SOUND:
                        continue
                    for name in self.index.by_sound[other]:
                        if name.kind < Kind.RARE and self._may_sound(first, last, name, exactly=False):
                            yield from self._misheard(first, last, name, sounds, other, least)

    def _misheard(self, first: int, last: int, name: Name, sounds: str, meant: str, least: float) -> Iterator[_Hit]:
        letters = "".join(self.letters[first:last])
        share = fuzz.ratio(letters, name.text.replace(" ", "")) / 100
        alike = Levenshtein.normalized_similarity(sounds, meant)
        if (not self.heard and share < TYPED_LETTERS) or SOUND_SHARE * alike + (1 - SOUND_SHARE) * share < least:
            return
        yield _Hit(first, last, name, ALIKE + SOUND_OFF * (1.0 - alike) + LETTERS_OFF * (1.0 - share))

    @staticmethod
    def _join(sounds: str, more: str) -> str:
        return sounds + more[1:] if sounds and more and sounds[-1] == more[0] else sounds + more

    def _may_begin(self, first: int) -> bool:
        """A misheard name may begin here; after a variety's name it is the next word that does."""
        text = self.tokens[first].text
        return text not in words.NO_BEGINNING and not words.is_move_word(text) and not text.isdigit()

    def _may_sound(self, first: int, last: int, name: Name, exactly: bool = True) -> bool:
        """No word of the board is misheard for a part of a name that hasn't it, and none is left over at the end.

        :param exactly: the words sound exactly as the name does; where not, they hold no word of the board at all.
        """
        own = name.text.split() if exactly else []
        spoken = self.letters[first:last]
        if self.tokens[last - 1].text in words.FUNCTION and not self._noun_after(last):
            return False
        if any(token.text[-1:].isdigit() for token in self.tokens[first:last]):
            return False
        if any(word in STRICT_NOUNS and word not in name.text.split() for word in spoken):
            return False
        return all(word in own for word in spoken if word in words.BOARD)

    def _noun_after(self, last: int) -> bool:
        return plain_words(words.after(self.tokens, last)) in STRICT_NOUNS

    def _enough(self, first: int, last: int, name: Name, sounds: str) -> bool:
        """An exact likeness of sound counts: for long names of openings alone, for others where one is called for."""
        if self._noun_after(last):
            return len(sounds) >= FEWEST_SOUNDS
        if name.kind is Kind.RARE:
            return False
        if name.kind is Kind.SURE and len(sounds) >= FEWEST_ALONE:
            return True
        return len(sounds) >= FEWEST_ALONE - 1 and self._called_for(first)

    def _called_for(self, first: int) -> bool:
        """An opening's name may follow: after a determiner, a variety ("exchange") or the name of a family."""
        previous = words.before(self.tokens, first)
        if previous in words.VARIETIES or plain_words(previous) in self.index.family_ends:
            return True
        return words.determiner_at(self.tokens, first) is not None and previous not in _LANGUAGES_OF

    # -- what it means -----------------------------------------------------------------------------------------

    def _lines(self, chain: _Chain) -> list[tuple[Line, float]]:
        """The lines that the names mean, likeliest first, with the nats that they are less likely than the first."""
        meant = self.index.meant_by(hit.name for hit in chain.hits)
        priced = [(self._price(key, kind, chain), self.index.lines[key]) for key, kind in meant.items()]
        if not priced:
            return []
        priced.sort(key=lambda pair: pair[0])
        best, first = priced[0]
        deeper = [(self._price(key, Kind.SURE, chain) + DEEPER, self.index.lines[key]) for key in first.also]
        out: dict[str, tuple[Line, float]] = {}
        for price, line in sorted([*priced, *deeper], key=lambda pair: pair[0]):
            if price - best <= UNLIKELY and len(out) < MOST_LINES:
                out.setdefault(position_key(line.moves), (line, max(0.0, price - best)))
        return list(out.values())

    def _price(self, key: str, kind: Kind, chain: _Chain) -> float:
        """Nats for a line: by its games, by what was named before, by the noun."""
        line = self.index.lines[key]
        price = -math.log(1 + self._games(line))
        if kind in (Kind.RARE, Kind.CATALOGUED):
            price += UNKNOWN_TO_TRAINERS
        if len(chain.hits) == 1 and self.named and chain.kind is not Kind.SURE:
            above = self.index.above(key)
            since = next((rank for rank, named in enumerate(self.named) if named in above), None)
            price += OUTSIDE if since is None else min(OUTSIDE, SINCE * since)
        if chain.nouns[-1] in STRICT_NOUNS:
            own = self.index.names.get(f"{chain.hits[-1].name.text} {chain.nouns[-1]}".replace(" ", ""))
            price += OTHER_NOUN if own is not None and key not in own.lines else 0.0
        return price

    def _games(self, line: Line) -> int:
        if self.base is None:
            return line.games
        key = _zobrist(line.moves)
        return sum(self.base.moves_played([key]).get(key, {}).values())

    def _remember(self, chain: _Chain, line: Line) -> None:
        family = self.index.family(line.key)
        kept = [key for key in self.named if key not in (line.key, family)]
        self.named = [line.key, family, *kept] if family != line.key else [line.key, *kept]


@cache
def _zobrist(moves: tuple[str, ...]) -> int:
    return chess.polyglot.zobrist_hash(board_after(moves))


__all__ = ["NamedLine", "NamedOpening", "find_openings"]
