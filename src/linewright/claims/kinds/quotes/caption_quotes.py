"""Quoted games in captions without capitals, names misheard: the words around a cue that the base knows as players.

``kinds/quote.py`` knows a name by its capital. Here nothing marks a name, so every word near "against" and a year may
be one; the base decides: two who met, best in a game through the position on the board. Where it knows no such
meeting, the words are taken for no quote at all.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Final

import chess

from linewright.claims.claim_kind import ClaimKind, Facts, Found, Library
from linewright.claims.kinds.quotes import quote_claim as quote
from linewright.claims.kinds.quotes.written_quotes import GameQuote, quotes, winner
from linewright.claims.rulings import Ruling
from linewright.claims.sentence.mood import Mood
from linewright.claims.sentence.talk_scene import Scene
from linewright.claims.sentence.words import Sentence
from linewright.games.api import Meeting, parse_name
from linewright.language.wordings import DEFAULT, word_set, wording
from linewright.lesson.finding import Kind

#: How like (0-1) both names must be to a player's: of a game through the position in the year said; of one through
#: it in another year, or where many games went; of one that never was on the board. A wrong name of six letters is at
#: 0.5 to 0.65, one misheard letter leaves 0.83 to 0.9 (edit distance).
ON_THE_BOARD, THROUGH, ANYWHERE = 0.68, 0.85, 0.94
#: Games through a position from which on it tells little of who is meant.
MANY_GAMES = 300
#: Words before the year in which the players may be said, after it in which the result may.
BEFORE_YEAR, AFTER_YEAR = 14, 9
#: Words of a name at most.
LONGEST_NAME = 3
#: Words before the year among which two names side by side must begin: names, a place of two words.
SIDE_BY_SIDE = 5
#: Letters of a name at least, spaces left out: shorter ones are like too much, but for an exact one before a verb.
SHORTEST_NAME = 4

#: Words before the players in which "that was" and doubts count.
BEFORE = 5
#: For each player, the words that may be the name.
Slots = tuple[tuple[str, ...], tuple[str, ...]]
#: The name of the wording.
NAME: Final = "claims/heard_quote"


@dataclass(frozen=True, slots=True)
class HeardQuote:
    """Words that may quote a game.

    :param slots: for each player, the words that may be the name, longest first.
    :param quoted: the rest as ``kinds/quote.py`` wants it, players still empty.
    :param line: the moves said, in UCI, for it.
    :param places: words before the year that may say where.
    :param bare: moves of the line said by words that fit other moves too.
    :param language: in which it is quoted.
    """

    slots: Slots
    quoted: GameQuote
    line: tuple[str, ...]
    places: tuple[str, ...] = ()
    bare: frozenset[int] = frozenset()
    language: str = DEFAULT


def find(sentence: Sentence, scene: Scene) -> Iterator[Found[HeardQuote]]:
    """Each year with two players named near it, except in quotes that are found by their capitals."""
    words = _Words(sentence, scene)
    years = [i for i, text in enumerate(words.texts) if words.said.hint("year", text)]
    if not years or sentence.asked:
        return
    written = [(q.first, q.last) for q in quotes(sentence, scene.walk.talk, scene.language)]
    low = 0
    for year in years:
        start, low = max(low, year - BEFORE_YEAR), year + 1
        token = sentence.tokens[year]
        if any(first <= token.first < last for first, last in written):
            continue
        for found in words.meetings(start, year):
            if not any(a <= sentence.tokens[found.first].first < b for a, b in written):
                yield found


class _Words:
    """The words of a sentence, and what among them may be names and meetings."""

    def __init__(self, sentence: Sentence, scene: Scene) -> None:
        self.sentence, self.scene = sentence, scene
        self.texts = [token.text for token in sentence.tokens]
        self.said = wording(NAME, scene.language)
        self.common = self.listed("never_a_name")

    def listed(self, entry: str) -> frozenset[str]:
        """A plain list of the wording."""
        return word_set(NAME, entry, self.scene.language)

    def meetings(self, start: int, year: int) -> Iterator[Found[HeardQuote]]:
        """What may be a meeting before a year: around a word for it, else two names set side by side."""
        texts = self.texts
        for cue in range(year - 1, start, -1):
            how, length = self._how(cue)
            if not how:
                continue
            left, first = self._ending(start, cue + 1 - length)
            right = self._starting(cue + 1, year)
            if left and right:
                yield self._found((left, right), (first, year), how)
                return
        for cue in range(year - 1, max(start, year - SIDE_BY_SIDE), -1):
            left, right = self._names(range(max(start, cue - 2), cue), cue), self._starting(cue, min(year, cue + 2))
            if left and right and texts[cue] not in self.common and texts[cue - 1] not in self.common:
                yield self._found((left, right), (cue - 1, year), "")

    def _how(self, cue: int) -> tuple[str, int]:
        """How the two met by the words that end at a token, ``met`` where nothing is said of the result, and how many
        words that takes; empty for no such words."""
        one = self.said.hint("meeting", self.texts[cue])
        two = self.said.hint("meeting in two words", " ".join(self.texts[cue - 1 : cue + 1]))
        meant = two or one
        return (meant.value("how"), 1 + (two is not None)) if meant else ("", 0)

    def _found(self, slots: Slots, span: tuple[int, int], how: str) -> Found[HeardQuote]:
        (first, year), texts, scene = span, self.texts, self.scene
        pointed = texts[first - 2 : first] if first >= 2 else []
        if pointed and pointed[0] in self.listed("pointing") and pointed[1] in self.listed("being"):
            first -= 2
        outcome, length = self._outcome(" ".join(texts[year + 1 : year + 1 + AFTER_YEAR]), how)
        last = year + 1 + length
        around = " ".join(texts[max(0, first - BEFORE) : last])
        low, high = self.sentence.tokens[first].first, self.sentence.tokens[last - 1].last
        unsure, its_moves = (self.said.hint(name, around) is not None for name in ("unsure", "its moves"))
        quoted = GameQuote((), int(texts[year]), None, outcome, low, high, unsure, its_moves)
        named = {word for slot in slots for words in slot[-1:] for word in words.split()}
        places = tuple(w for w in texts[first:year] if w not in self.common | named)
        step = scene.step_at(low)
        line = scene.moves(step) if scene.walk.start == chess.STARTING_FEN else ()
        about = HeardQuote(slots, quoted, line, places, scene.bare_moves(step) if line else frozenset(), scene.language)
        return Found(about, first, last, step, Mood(self.said.hint("unreal", around) is not None, vague=unsure))

    def _outcome(self, tail: str, how: str) -> tuple[str | None, int]:
        """How the game is said to have ended, and how many words after the year that takes."""
        if won := self.said.hint("won", tail):
            return winner(won), len(tail[: won.end].split())
        if how not in ("", "met"):
            return how, 0
        if drawn := self.said.hint("drawn", tail):
            return "draw", len(tail[: drawn.end].split())
        return None, 0

    def _ending(self, start: int, cue: int) -> tuple[tuple[str, ...], int]:
        """What may be a name before a word for a meeting, and where it may begin."""
        texts, at, skipped = self.texts, cue, self.listed("skipped")
        while at > start and texts[at - 1] in skipped:
            at -= 1
        first = at
        while first > max(start, at - LONGEST_NAME) and texts[first - 1] not in self.common:
            first -= 1
        met = self.said.hint("meeting", texts[cue])
        if first == at == cue > start and met:
            first = at - 1
            named = texts[first] in self.listed("name_before_verb") and met.value("how") != "met"
            return ((texts[first],) if named else ()), first
        return self._names(range(first, at), at), first

    def _starting(self, at: int, year: int) -> tuple[str, ...]:
        """What may be a name from a place on."""
        last = at
        while last < min(year, at + LONGEST_NAME) and self.texts[last] not in self.common:
            last += 1
        joined = (" ".join(self.texts[at:n]) for n in range(last, at, -1))
        return tuple(words for words in joined if self._may_name(words))

    def _names(self, firsts: range, last: int) -> tuple[str, ...]:
        joined = (" ".join(self.texts[n:last]) for n in firsts)
        return tuple(words for words in joined if self._may_name(words))

    def _may_name(self, words: str) -> bool:
        parts = words.split()
        if len("".join(parts)) < SHORTEST_NAME:
            return False
        return not any(part in self.common or self.said.hint("no name", part) for part in parts)


def decide(heard: HeardQuote, facts: Facts) -> Ruling | None:
    """Which players are meant, then the quote as if it had been written; None where the base knows no such meeting."""
    meeting = _met(heard, facts, facts.library) if facts.library is not None else None
    if meeting is None:
        return None
    names = (meeting.game.white, meeting.game.black)
    players = tuple(" ".join(parse_name(n).surname) for n in (names if meeting.straight else names[::-1]))
    named = {word for player in players for word in player.split()}
    places = facts.library.places if facts.library else frozenset()
    where = [word for word in heard.places if word in places and word not in named]
    quoted = replace(heard.quoted, players=players, event=" ".join(where) or None)
    return quote.decide(quote.QuoteClaim(quoted, heard.line, heard.bare, heard.language), facts)


def _met(heard: HeardQuote, facts: Facts, library: Library) -> Meeting | None:
    """The likeliest meeting: through the position on the board, else one of the year said whose names are beyond
    doubt."""
    slots = [(*words, *(w.replace(" ", "") for w in words if " " in w)) for words in heard.slots]
    year = heard.quoted.year
    here = library.meetings(slots, ON_THE_BOARD, facts.board)
    known = here.through < MANY_GAMES
    near = [m for m in here.found if m.like >= THROUGH or (known and m.game.year == year)]
    if not near:
        near = [m for m in library.meetings(slots, ANYWHERE).found if m.game.year == year]
    return max(near, key=lambda m: (m.game.year == year, m.like), default=None)


HEARD_QUOTE = ClaimKind(Kind.QUOTE, find, decide)
