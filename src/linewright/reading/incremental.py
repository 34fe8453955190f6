"""Reading a talk again and again while it is written: only from a little before what changed.

The search goes through the words in order, so what it knew before a changed sentence still holds; it is kept at
sentence starts on the way. The walk is the same as :func:`linewright.reading.reader.read_talk`'s, but for what a
sentence looks ahead over more than :data:`AHEAD` words.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field

import chess

from linewright.lesson.walk import Walk
from linewright.reading.answers import Answer
from linewright.reading.reader import best_walk, uncollected
from linewright.reading.search.beam import Search
from linewright.reading.search.breaks import Agreement
from linewright.reading.search.hypothesis import Hypothesis, Proposal, prune
from linewright.reading.search.positions import Atlas, MoveCounts, Position
from linewright.reading.search.search_setup import Reading, SaidTalk, context_of, said_talk, search_of, take_up_again
from linewright.talk.model import Talk

#: Tokens that what is said of a phrase depends on after it, at most: corrections and lists reach a dozen or two.
AHEAD = 30
#: Tokens between two places that the search can be taken up from: each holds some hundred readings.
APART = 24
#: Tokens read past a change before a first look is given: by then most of its doubts are settled.
PEEK = 24
#: Tokens from one look to the next, while much is left to read.
PEEK_AGAIN = 160
#: Readings after which positions are rebuilt: they remember phrases by their place in the talk.
FRESH = 200


@dataclass(frozen=True, slots=True)
class _Halt:
    """A place from which the search can be taken up: what waits there, and the best score at each token."""

    waiting: Mapping[int, tuple[Proposal, ...]]
    tops: Mapping[int, float]


@dataclass(slots=True)
class _Kept:
    """The last reading, finished or not.

    :param halts: by token index; all of them hold for ``said``.
    """

    said: SaidTalk
    search: Search
    root: Position
    halts: dict[int, _Halt] = field(default_factory=dict)


class GrowingReader:
    """Reads one talk as it grows. Use it in one thread."""

    def __init__(self, base: MoveCounts | None = None) -> None:
        self._base = base
        self._atlas = Atlas(base)
        self._kept: _Kept | None = None
        self._readings = 0

    def read(
        self,
        talk: Talk,
        answers: Sequence[Answer] = (),
        stop: Callable[[], bool] = lambda: False,
        peek: Callable[[Walk, int], None] | None = None,
    ) -> Walk | None:
        """The walk of the talk as it stands now; None when it was stopped.

        :param stop: asked at every token; a stopped reading is taken up by the next as far as it holds.
        :param peek: given a first reading that ends a little after what changed, with the index of the first word
            that it did not look at; and further ones on the way, while there is much more to read.
        :raises UnusableInput: when a ``{start: FEN}`` mark holds no legal position.
        """
        said = said_talk(talk, self._base, answers)
        words, board = said.words, chess.Board(said.start)
        search, first = self._taken_up(said, board)
        look = first + AHEAD + PEEK
        with uncollected():
            for index in range(first, len(words)):
                if stop():
                    return None
                self._halt(search, index)
                search.advance(index, said.forced)
                if index + 1 == look and peek is not None and len(words) - look > PEEK:
                    final = prune(list(search.waiting.get(look, ())), search.beam)
                    reading = Reading(search, final, Agreement(search, final))
                    peek(best_walk(talk, words, reading, board, said.side), words[look].word)
                    look += PEEK_AGAIN
            self._halt(search, len(words))
            best = take_up_again(search, search.finish(said.forced), lambda at: self._again(said, search, at))
            walk = best_walk(talk, words, best, board, said.side)
        _forget_targets(search)
        return walk

    def _again(self, said: SaidTalk, search: Search, rescues: frozenset[int]) -> tuple[Search, list[Hypothesis]]:
        """Read the whole talk once more, taking the line up again at these tokens."""
        assert self._kept is not None
        other = search_of(said, search.context, self._atlas, self._kept.root, rescues=rescues)
        return other, other.run(said.forced)

    def _halt(self, search: Search, index: int) -> None:
        """Keep the search's state before a sentence, here and there."""
        assert self._kept is not None
        halts = self._kept.halts
        begins = index == 0 or index == len(search.context.tokens) or search.context.tokens[index - 1].stop
        if index in halts or not begins or (halts and index - max(halts) < APART and index != 0):
            return
        halts[index] = _Halt({at: tuple(waiting) for at, waiting in search.waiting.items()}, dict(search.tops))

    def _taken_up(self, said: SaidTalk, board: chess.Board) -> tuple[Search, int]:
        """A search over the talk as it is now, and the token it is to go on from."""
        self._readings += 1
        kept = self._kept
        same = kept is not None and (kept.said.start, kept.said.side, kept.said.heard) == (
            said.start,
            said.side,
            said.heard,
        )
        if kept is None or not same or self._readings % FRESH == 0:
            self._atlas = Atlas(self._base)
            root = self._atlas.start(board)
        else:
            root = kept.root
        search = search_of(said, context_of(said), self._atlas, root)
        fresh = _Kept(said, search, root)
        self._kept = fresh
        if kept is None or kept.root is not root:
            return search, 0
        limit = unchanged(kept.said, said) - AHEAD
        fresh.halts = {at: halt for at, halt in kept.halts.items() if at <= limit}
        if not fresh.halts:
            return search, 0
        first = max(fresh.halts)
        _restore(search, first, fresh.halts[first], kept.search)
        return search, first


def _restore(search: Search, first: int, halt: _Halt, before: Search) -> None:
    """Put a search where another one halted, before token ``first``."""
    search.waiting = {at: list(waiting) for at, waiting in halt.waiting.items()}
    search.tops = dict(halt.tops)
    search.alive = {at: alive for at, alive in before.alive.items() if at < first}
    for waiting in search.waiting.values():
        for proposal in waiting:
            # Where a return may go is remembered by token; what comes after the halt may be said otherwise now.
            proposal.source.targets = {}


def _forget_targets(search: Search) -> None:
    """Where returns may go is only asked while the search is there; remembered, it takes a seventh of the memory."""
    for alive in search.alive.values():
        for hypothesis in alive:
            hypothesis.targets = {}


def unchanged(old: SaidTalk, new: SaidTalk) -> int:
    """How many tokens from the start are said, steered and settled alike in two versions of a talk."""
    last = min(len(old.words), len(new.words))
    same = next((i for i in range(last) if old.words[i] != new.words[i]), last)
    marks = [at for at in old.forced.keys() | new.forced.keys() if old.forced.get(at) != new.forced.get(at)]
    settled = [a.first for a in set(old.answers) ^ set(new.answers)]
    if old.named.title != new.named.title:
        return 0
    one, two = old.named.named, new.named.named
    named = [at for at in one.keys() | two.keys() if one.get(at) != two.get(at)]
    return min([same, *marks, *settled, *named])
