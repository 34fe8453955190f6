"""Walking over the lattice: how far a pattern has matched, and the steps that it may take next."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from functools import cache

from linewright.language.tables import ENGLISH, Language
from linewright.reading.phrases.phrase import Phrase
from linewright.reading.words.lattice import Edge, lattice
from linewright.reading.words.tokens import Token
from linewright.reading.words.vocabulary import vocabulary

#: A phrase may run over a comma ("queen a4, check") or, in captions, over a stray one ("knight, f6").
#: Costs in nats; a recogniser's commas say little, a typist's say much.
PAUSE_INSIDE = {True: 0.7, False: 2.5}
#: Nats for each further word between a piece and its square ("the knight drops back to d2"), for a filler there, and
#: how many there may be.
GAP_WORD = 0.15
FILLER = 0.02
MAX_GAP = 5
#: Nats for a word of no known meaning between a piece and its square ("the queen toddles back to c7"), and how many
#: there may be.
ANY_WORD = 0.6
MAX_ANY = 2
#: Meanings that cost more than this, in nats, don't keep a word from being run over.
SURELY = 1.0
#: Nats for a check said in a sentence of its own ("Knight f6. Check."), which may be said of another move.
CHECK_APART = 0.3
#: Words that may stand between a move and its check.
BEFORE_CHECK = 2


@dataclass(frozen=True, eq=False)
class FindingWords:
    """The small words of ``reading/finding.toml``; see there."""

    articles: frozenset[str]
    no_beginning: frozenset[str]
    rests: frozenset[str]
    reaches: frozenset[str]
    before_check: frozenset[str]
    goes: frozenset[str]
    tucks: frozenset[str]
    sends: frozenset[str]
    sends_to: frozenset[str]
    victims: frozenset[str]
    back: frozenset[str]
    no_capture: frozenset[str]
    queens: frozenset[str]
    with_: frozenset[str]


@cache
def finding_words(language: Language) -> FindingWords:
    """The small words of a language."""
    return language.table("reading/finding").filled(FindingWords)


@dataclass(frozen=True, slots=True)
class WalkState:
    """How far a pattern has matched.

    :param at: index of the next token.
    :param gap: small words run over so far; ``unknown`` words of no known meaning among them.
    :param determined: an article stands just before.
    """

    at: int
    phrase: Phrase
    gap: int = 0
    unknown: int = 0
    determined: bool = field(default=False)


class LatticeWalk:
    """The steps over one talk's lattice."""

    def __init__(self, tokens: Sequence[Token], heard: bool, language: Language = ENGLISH) -> None:
        self.tokens = tokens
        self.heard = heard
        self.language = language
        self.lattice = lattice(tokens, heard, language)
        self.words = finding_words(language)
        self.barriers = vocabulary(language).barriers

    def text(self, index: int) -> str:
        """The word of a token, ``""`` past the end."""
        return self.tokens[index].text if index < len(self.tokens) else ""

    def edges(self, state: WalkState, *kinds: str) -> Iterator[tuple[Edge, float]]:
        """Edges of these kinds at the state's token, each with the cost of the punctuation before it."""
        if state.at >= len(self.tokens):
            return
        pause = 0.0
        if state.at > state.phrase.first:
            before = self.tokens[state.at - 1]
            if before.stop or self.tokens[state.at].heading != before.heading:
                return
            pause = PAUSE_INSIDE[self.heard] if before.pause else 0.0
        for edge in self.lattice[state.at]:
            if edge.kind in kinds:
                yield edge, pause

    def step(self, state: WalkState, edge: Edge, cost: float, **said: object) -> WalkState:
        """The state after an edge, at its cost and ``cost`` nats more; ``said`` is what the phrase says then."""
        phrase = replace(
            state.phrase,
            last=edge.end,
            cost=state.phrase.cost + edge.cost + cost,
            **said,  # type: ignore[arg-type]
        )
        return WalkState(edge.end, phrase, state.gap, state.unknown, state.determined)

    def word(self, state: WalkState, cost: float, **said: object) -> WalkState:
        """The state after the next word, whatever it means in the lattice."""
        return self.step(state, Edge(state.at + 1, "word", ""), cost, **said)

    def gaps(self, state: WalkState, *kinds: str) -> Iterator[WalkState]:
        """The state itself and after skipping small words of these kinds."""
        yield state
        if state.gap >= MAX_GAP:
            return
        for edge, pause in self.edges(state, *kinds):
            cost = (FILLER if edge.kind == "fill" else GAP_WORD) + pause
            said: dict[str, object] = {}
            if edge.kind == "on":
                said["on"] = True
            if edge.kind == "other":
                said["other"] = True
            if edge.kind == "verb" and self.tokens[state.at].text not in self.words.rests:
                said["put"] = True
            step = self.step(state, edge, cost, **said)
            yield from self.gaps(replace(step, gap=state.gap + 1), *kinds)
        if "any" in kinds:
            yield from self._over_unknown(state, kinds)

    def _over_unknown(self, state: WalkState, kinds: tuple[str, ...]) -> Iterator[WalkState]:
        """The state after one word that no pattern knows; only a few of them may be run over."""
        if state.unknown >= MAX_ANY or state.at >= len(self.tokens):
            return
        token, before = self.tokens[state.at], self.tokens[state.at - 1]
        plain = token.text.isalpha() and len(token.text) > 1 and token.text not in self.barriers
        if before.stop or before.pause or not plain or self._meant(state.at):
            return
        step = self.word(state, ANY_WORD)
        yield from self.gaps(replace(step, gap=state.gap + 1, unknown=state.unknown + 1), *kinds)

    def _meant(self, index: int) -> bool:
        """The word has a meaning of its own in a move's description."""
        return any(
            e.kind in ("piece", "takes", "took", "castles", "check", "mate", "file") and e.cost < SURELY
            for e in self.lattice[index]
        )

    def checks(self, state: WalkState) -> Iterator[Phrase]:
        """The phrase as it is and with "check" or "mate" after it."""
        yield state.phrase
        if state.at and state.at < len(self.tokens):
            before = self.tokens[state.at - 1]
            if before.stop and not self.heard:
                return
            for skip in self._before_check(state.at):
                for edge in self.lattice[skip] if skip < len(self.tokens) else ():
                    if edge.kind in ("check", "mate"):
                        yield replace(
                            state.phrase,
                            last=edge.end,
                            check=True,
                            mate=edge.kind == "mate",
                            cost=state.phrase.cost + (CHECK_APART if before.stop else 0.0),
                        )

    def _before_check(self, at: int) -> Iterator[int]:
        """``at`` and the places after "with", "and that's", "um" before a check."""
        yield at
        skipped = at
        while skipped < len(self.tokens) and skipped < at + BEFORE_CHECK:
            if self.tokens[skipped].text not in self.words.before_check:
                return
            skipped += 1
            yield skipped
